"""Where two people may have changed in a set, as a table: closed form from when its reps begin."""

from __future__ import annotations

from types import SimpleNamespace
from typing import cast

import pytest

from analysis.training.records import SetRecord
from tui.training.person import Person
from tui.training.two_people import CHANGE_S, Break, long_break, parting


def set_of(*begins_s: float, partial: int | None = None) -> SetRecord:
    made = [SimpleNamespace(start_s=one, counts=place != partial) for place, one in enumerate(begins_s)]
    return cast(SetRecord, SimpleNamespace(reps=made, end_s=max(begins_s, default=0.0) + 3.0))


@pytest.mark.parametrize(
    ("done", "found"),
    [
        (set_of(), None),
        (set_of(0), None),
        (set_of(0, 60), None),  # nothing is known of what is usual
        (set_of(0, 2, 4, 6 + CHANGE_S - 0.01), None),
        (set_of(0, 2, 4, 6 + CHANGE_S), Break(3, 3, 2 + CHANGE_S)),
        (set_of(0, 2, 12, 14, 22, 24), Break(2, 2, 10)),
        (set_of(0, 8, 16, 24), None),  # slow all the time
        (set_of(0, 2, 4, 14, 16, partial=1), Break(3, 2, 10)),
    ],
)
def test_the_longest_time_from_rep_to_rep(done: SetRecord, found: Break | None) -> None:
    assert long_break(done) == found


def person(*sets: SetRecord) -> Person:
    board = SimpleNamespace(all_sets=sets, measured=sets, ended=False)
    return cast(Person, SimpleNamespace(session=SimpleNamespace(board=board), host_s=lambda at_s: at_s))


@pytest.mark.parametrize(("partial", "words"), [(None, "rep 4 was Jonas Reiter's"), (3, None)])
def test_reps_after_the_break_go_to_who_came_next_and_an_attempt_alone_to_nobody(
    partial: int | None, words: str | None
) -> None:
    done = set_of(0, 2, 4, 14, partial=partial)
    found = parting({"Mara Lindt": person(done), "Jonas Reiter": person()}, "Jonas Reiter")
    assert (found.words if found else None) == words
