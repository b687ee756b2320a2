"""Lines in a terminal are broken between words; nothing is lost, and each part fits (closed forms)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tui.words import lines
from tui.words.lines import folded, print_lines

WORD = st.text(st.characters(categories=("Lu", "Ll")), min_size=1, max_size=12)


@given(st.lists(WORD, min_size=1, max_size=40), st.integers(0, 8), st.integers(40, 100))
def test_no_word_is_lost_or_cut_and_every_part_fits_and_hangs(words: list[str], indent: int, width: int) -> None:
    line = " " * indent + " ".join(words)
    parts = list(folded(line, width))
    assert " ".join(parts).split() == words
    assert all(len(part) <= width for part in parts)
    assert [len(part) - len(part.lstrip()) for part in parts] == [indent] + [indent + 2] * (len(parts) - 1)


def test_what_is_not_looked_at_stays_whole_and_a_message_of_lines_keeps_them() -> None:
    long = "word " * 60
    assert list(folded(long, None)) == [long]
    assert list(folded("one\n  two", 80)) == ["one", "  two"]


@pytest.mark.parametrize(("looked_at", "most"), [(True, 80), (False, None)])
def test_a_terminals_width_holds_only_where_somebody_looks(
    looked_at: bool, most: int | None, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setattr(lines.sys.stdout, "isatty", lambda: looked_at)
    print_lines(["word " * 59 + "word"])
    shown = capsys.readouterr().out.splitlines()
    assert len(shown) > 1 if most else len(shown) == 1
    assert max(map(len, shown)) <= (most or 300)
