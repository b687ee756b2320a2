"""Who stops short and is followed at once is counted on with the next one; one key parts the two on the spot.

What was done is known from `relay`: three reps, and five by another six seconds later, five asked of each.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from relay import relay
from shared_bar import NAMES, Bar, assert_replays, script_of, sent_by
from virtual_session import Gym, arrivals

from analysis.motion.mounts import Mount
from analysis.training.corrections import Act, Because
from analysis.training.verdict import Outcome
from sensor.virtual.motion import FileFeed
from tui.views.turn_view import TurnsView

MARA, JONAS, INES = NAMES
SEEN_ON, ALL_HERS = 1, 3
"""Draws: in the one Jonas is seen to hang after his second rep, in the other all that was seen is taken for Mara's."""


def done_by_two(gym: Gym, folder: Path, seed: int) -> Bar:
    table = folder / "bar.csv"
    relay(table, (3, 5), (6.0,), mount="moving-bar", seed=seed)
    bar = Bar(gym, mount=Mount.MOVING_BAR)
    bar.give(arrivals(FileFeed(table)))
    return bar


def counts_of(bar: Bar) -> list[list[int]]:
    boards = [bar.bar.people[name].session.board for name in (MARA, JONAS)]
    return [[one.verdict.count for one in board.sets] for board in boards]


def shown_now(bar: Bar, gym: Gym) -> TurnsView:
    bar.bar.tick()
    turns = gym.book.snapshots[-1].turns
    assert turns is not None
    return turns


@pytest.mark.parametrize(
    ("seed", "before", "after"),
    [(SEEN_ON, [[5], [2]], [[3], [4]]), (ALL_HERS, [[6], []], [[3], [3]])],
    ids=["who came next goes on", "nobody else was seen"],
)
def test_one_key_gives_the_reps_to_who_came_next_and_u_takes_them_back(
    gym: Gym, tmp_path: Path, seed: int, before: list[list[int]], after: list[list[int]]
) -> None:
    bar = done_by_two(gym, tmp_path, seed)
    assert counts_of(bar) == before
    asked = shown_now(bar, gym)
    assert asked.parted == f"reps 4 to {before[0][0]} were {JONAS}'s"
    (doubt,) = asked.doubts
    assert doubt == f"{MARA}, set 1: two people? p: {asked.parted}. 10 s from rep 3 to 4."
    bar.wishes.part_set()
    assert counts_of(bar) == after
    parted = shown_now(bar, gym)
    assert (parted.parted, parted.doubts, parted.is_given) == ("", (), True)
    bar.wishes.take_back()
    assert counts_of(bar) == before
    again = shown_now(bar, gym)
    assert (again.parted, again.is_given) == (asked.parted, False)
    bar.wishes.part_set()
    bar.bar.end()
    assert [bar.counts()[name] for name in (MARA, JONAS)] == after
    assert_replays(gym)


def test_hers_stay_as_measured_his_are_counted_and_the_log_says_why(gym: Gym, tmp_path: Path) -> None:
    bar = done_by_two(gym, tmp_path, SEEN_ON)
    whole = bar.bar.people[MARA].session.board.sets[0]
    bar.wishes.part_set()
    (hers,), (his,) = (bar.bar.people[name].session.board.sets for name in (MARA, JONAS))
    assert [rep.start_s for rep in hers.reps] == [rep.start_s for rep in whole.reps[:3]]
    assert all(rep.phases for rep in hers.verdict.reps)
    assert hers.end_s < whole.end_s - 5.0  # her rest runs from her own last rep
    assert his.verdict.tempo_outcome is Outcome.NOT_MEASURABLE
    bar.bar.end()
    records = bar.records()
    (left_out,), (more,) = (gym.logbook.corrections(records[name].session_id) for name in (MARA, JONAS))
    assert (left_out.kind, left_out.reason) == (Act.DROP_REP, Because.SOMEBODY_ELSE)
    assert left_out.text == f"reps 4 to 5 were {JONAS}'s: left out by key"
    assert (more.kind, more.value) == (Act.COUNT, {"count": 4, "seen": 2})
    assert more.text == f"2 reps more: counted with {MARA}'s set by key"
    assert [mark.disagrees for name in (MARA, JONAS) for mark in records[name].marks] == [False, False]


def test_nothing_is_parted_where_nothing_looks_like_two(gym: Gym) -> None:
    bar = Bar(gym)
    bar.give(sent_by(script_of(5, 5, rest_s=20.0)), lambda: bar.bar.route.on == JONAS)
    before = counts_of(bar)
    assert before == [[5], []]
    bar.wishes.part_set()
    shown = shown_now(bar, gym)
    assert (shown.parted, shown.doubts, shown.is_given) == ("", (), False)
    assert counts_of(bar) == before
