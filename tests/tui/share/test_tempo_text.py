"""A tempo as it travels comes back as it was; what is none is told."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.training.prescription import Tempo
from tui.share.tempo import TempoError, tempo_of, tempo_text

TENTHS = st.integers(5, 95).map(lambda tenths: tenths / 10)


@given(TENTHS, TENTHS, TENTHS | st.none(), TENTHS)
def test_a_tempo_comes_back(down: float, bottom: float, up: float | None, top: float) -> None:
    tempo = Tempo(down_s=down, bottom_s=bottom, up_s=up, top_s=top)
    assert tempo_of(tempo_text(tempo)) == tempo
    assert len(tempo_text(tempo)) <= 40  # share/schemas/word.1.json


def test_digits_of_the_trade_are_in_its_order() -> None:
    assert tempo_of("20x1") == Tempo(down_s=2, bottom_s=0, up_s=None, top_s=1)
    assert tempo_of(" 3-0-1-1.5 ") == Tempo(down_s=3, bottom_s=0, up_s=1, top_s=1.5)


@pytest.mark.parametrize("text", ["", "201", "2-0-1", "2-0-1-1-1", "2-0-1-x", "2-0-1--1", "nan1", "2-0-1-1e5"])
def test_what_is_no_tempo_is_told(text: str) -> None:
    with pytest.raises(TempoError, match="four figures"):
        tempo_of(text)


@pytest.mark.parametrize(("text", "why"), [("0-0-1-1", "lowering"), ("2-11-1-1", "bottom"), ("2-0-99-1", "rise")])
def test_what_no_plan_allows_is_told(text: str, why: str) -> None:
    with pytest.raises(TempoError, match=why):
        tempo_of(text)
