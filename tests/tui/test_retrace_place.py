"""Where a replay goes by each move; the numbers follow from the made-up session (`retrace_feed`)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from retrace_feed import FIRST_S, REP_S, SECOND_S, SETS, view

from tui.retrace import place as moves
from tui.retrace.place import CLOSEST_S, SPEEDS, Place
from tui.retrace.view import Note

VIEW = view()


def at(head_s: float, from_s: float = 0.0, to_s: float = 100.0, **more: object) -> Place:
    return Place(head_s, from_s, to_s, **more)  # type: ignore[arg-type]


def test_it_opens_on_the_whole_at_the_first_set() -> None:
    there = moves.opened(VIEW)
    assert (there.head_s, there.from_s, there.to_s) == (FIRST_S, 0.0, 100.0)
    assert not there.playing


def test_it_opens_close_to_the_rep_that_is_asked_for() -> None:
    there = moves.opened(VIEW, SECOND_S + REP_S + 1.0)
    assert there.head_s == SECOND_S + REP_S + 1.0
    assert there.width_s == pytest.approx(REP_S * (1 + 2 * moves.BESIDE))
    assert there.from_s < SECOND_S + REP_S < SECOND_S + 2 * REP_S < there.to_s


def test_enter_goes_from_whole_to_set_to_rep_to_whole() -> None:
    place = at(SECOND_S + REP_S + 0.5)
    widths = []
    for _ in range(3):
        place = moves.closer(place, VIEW)
        widths.append(place.width_s)
    of_set = SETS[1].end_s - SETS[1].start_s
    assert widths == pytest.approx([of_set * 1.3, REP_S * 1.3, 100.0])
    assert place.head_s == SECOND_S + REP_S + 0.5


def test_before_the_first_set_there_is_nothing_closer() -> None:
    assert moves.closer(at(2.0, 0.0, 50.0), VIEW).width_s == 100.0


def test_reps_phases_and_sets_are_stepped_and_the_last_one_stays() -> None:
    starts = [rep.start_s for one in SETS for rep in one.reps]
    place, seen = at(0.0), []
    for _ in range(len(starts) + 1):
        place = moves.rep_stepped(place, VIEW, 1)
        seen.append(place.head_s)
    assert seen == [*starts, starts[-1]]
    assert moves.phase_stepped(at(FIRST_S), VIEW, 1).head_s == FIRST_S + 1.0
    assert moves.phase_stepped(at(FIRST_S), VIEW, -1).head_s == FIRST_S
    assert moves.set_stepped(at(FIRST_S), VIEW, 1).head_s == SECOND_S
    assert moves.set_stepped(at(SECOND_S + 0.5), VIEW, -1).head_s == SECOND_S


def test_what_was_told_live_is_stepped_to() -> None:
    """A top is told 1.4 s after the begin of its rep, the rep 4.3 s after it."""
    place, seen = at(FIRST_S), []
    for _ in range(3):
        place = moves.told_stepped(place, VIEW, 1)
        seen.append(place.head_s)
    assert seen == pytest.approx([FIRST_S + 1.4, FIRST_S + 4.3, FIRST_S + REP_S + 1.4])
    assert moves.told_stepped(place, VIEW, -1).head_s == pytest.approx(FIRST_S + 4.3)
    assert moves.told_stepped(at(0.0), VIEW, -1).head_s == 0.0
    last = moves.told_stepped(at(99.0), VIEW, -1)
    assert last.head_s == VIEW.live.refined_s[-1]


def test_marks_are_walked_round_and_round_both_ways() -> None:
    noted = view(notes=tuple(Note(at_s, "", "", "") for at_s in (70.0, 20.0)))
    for by, stops in ((1, [70.0, 20.0, 70.0]), (-1, [20.0, 70.0, 20.0])):
        place, seen = at(30.0), []
        for _ in range(3):
            place = moves.note_stepped(place, noted, by)
            seen.append(place.head_s)
        assert seen == stops
    assert moves.note_stepped(at(30.0), view(notes=()), 1) == at(30.0)


def test_a_step_out_of_sight_takes_the_window_along() -> None:
    there = moves.rep_stepped(at(FIRST_S, 9.0, 15.0), VIEW, 1)
    assert there.from_s <= there.head_s
    assert there.head_s + REP_S <= there.to_s
    assert there.width_s == pytest.approx(6.0)


@pytest.mark.parametrize("speed", SPEEDS)
def test_playing_goes_by_its_speed(speed: float) -> None:
    assert moves.played(at(20.0, speed=speed, playing=True), VIEW, 0.5).head_s == pytest.approx(20.0 + 0.5 * speed)


def test_it_plays_to_the_end_and_stops_there() -> None:
    there = moves.played(at(99.9, playing=True), VIEW, 1.0)
    assert (there.head_s, there.playing) == (100.0, False)
    again = moves.toggled(there, VIEW)
    assert (again.head_s, again.playing) == (0.0, True)


def test_the_window_turns_over_like_a_page() -> None:
    there = moves.played(at(19.9, 10.0, 20.0, playing=True), VIEW, 0.2)
    assert there.from_s == pytest.approx(20.1 - 1.0)
    assert there.width_s == pytest.approx(10.0)


def test_a_loop_begins_anew_at_its_end() -> None:
    place = moves.looped(at(FIRST_S + 1.0), VIEW)
    assert place.loop == (FIRST_S, FIRST_S + REP_S)
    assert moves.played(place, VIEW, REP_S).head_s == pytest.approx(FIRST_S + 1.0)
    assert moves.played(place, VIEW, 3.0).head_s == pytest.approx(FIRST_S + 4.0)
    assert moves.played(place, VIEW, 4.0).head_s == pytest.approx(FIRST_S + 0.5)
    assert moves.looped(place, VIEW).loop is None
    assert moves.rep_stepped(moves.rep_stepped(place, VIEW, 1), VIEW, 1).loop is None


def test_between_reps_there_is_nothing_to_loop() -> None:
    assert moves.looped(at(50.0), VIEW).loop is None


def test_speed_stays_on_its_list() -> None:
    assert moves.faster(at(0.0, speed=3.1), 1).speed == 8.0
    assert moves.faster(at(0.0, speed=16.0), 1).speed == 16.0
    assert moves.faster(at(0.0, speed=0.25), -1).speed == 0.25


def test_a_recording_that_turns_out_shorter_is_shown_whole_again() -> None:
    shorter = view(end_s=85.0)
    assert moves.refitted(at(90.0), VIEW, shorter) == at(85.0, 0.0, 85.0)
    close = moves.refitted(at(95.0, 90.0, 100.0), VIEW, shorter)
    assert (close.from_s, close.to_s, close.head_s) == (75.0, 85.0, 85.0)


MOVES = st.lists(
    st.sampled_from(
        [
            lambda one: moves.zoomed(one, VIEW, 1 / 1.5),
            lambda one: moves.zoomed(one, VIEW, 1.5),
            lambda one: moves.panned(one, VIEW, 0.25),
            lambda one: moves.panned(one, VIEW, -0.25),
            lambda one: moves.closer(one, VIEW),
            lambda one: moves.rep_stepped(one, VIEW, 1),
            lambda one: moves.rep_stepped(one, VIEW, -1),
            lambda one: moves.phase_stepped(one, VIEW, 1),
            lambda one: moves.set_stepped(one, VIEW, -1),
            lambda one: moves.looped(one, VIEW),
            lambda one: moves.played(one, VIEW, 0.7),
            lambda one: moves.faster(one, 1),
            lambda one: moves.moved_to(one, VIEW, 1000.0),
        ]
    ),
    max_size=40,
)


@given(MOVES)
def test_whatever_is_done_the_head_is_in_sight_and_the_window_within_the_recording(done: list) -> None:  # type: ignore[type-arg]
    place = moves.opened(VIEW)
    for move in done:
        place = move(place)
        assert VIEW.start_s - 1e-9 <= place.from_s <= place.head_s + 1e-9
        assert place.head_s <= place.to_s + 1e-9
        assert place.to_s <= VIEW.end_s + 1e-9
        assert place.width_s >= CLOSEST_S - 1e-9
