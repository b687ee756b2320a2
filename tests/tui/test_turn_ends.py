"""What is told at the end of a shared bar of somebody's sets: those that were asked for, and what was more."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

import pytest

from analysis.training.verdict import Outcome
from tui.session.board import Board
from tui.training.turn_ends import turn_end

MET, MISSED = Outcome.MET, Outcome.MISSED


@pytest.mark.parametrize(
    ("outcomes", "told"),
    [
        ((), "no set done"),
        ((MET,), "1 of 3 sets, 1 met"),
        ((MET, MISSED, MET), "3 of 3 sets, 2 met"),
        ((MET, MISSED, MET, MET), "3 of 3 sets, 2 met, 1 extra"),
    ],
)
def test_more_sets_than_were_asked_for_are_told_as_extra(outcomes: tuple[Outcome, ...], told: str) -> None:
    sets = [SimpleNamespace(verdict=SimpleNamespace(outcome=one, count=5)) for one in outcomes]
    verdict = SimpleNamespace(summary=("",), outcome=MISSED)
    board: Any = SimpleNamespace(prescription=SimpleNamespace(sets=3), sets=sets, next_text=(), verdict=lambda: verdict)
    assert turn_end("Mara Lindt", cast(Board, board)).done == told
