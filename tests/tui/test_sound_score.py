"""Which sound when, as tables: snapshots in, notes out. The tempo of the made-up session is up 1, top 1, down 2."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from screen_feed import CLOSED, GOOD, PRESCRIPTION, THREE, snapshot

from analysis.motion.events import Phase
from analysis.training.prescription import Tempo
from sensor.source import LinkState
from tui.session.messages import Link, Snapshot, Stage
from tui.sound.score import Note, Score, Sound

TICK_S = 0.1
TEMPO = {Sound.UP, Sound.TOP, Sound.HELD, Sound.LOWERED, Sound.PAUSED}


def heard(*snapshots: Snapshot) -> list[Note]:
    score = Score()
    notes = [note for one in snapshots for note in score.of(one)]
    return [note for note in notes if note.sound is not Sound.SENSOR_THERE]


def sounds(*snapshots: Snapshot) -> list[Sound]:
    return [note.sound for note in heard(*snapshots)]


def in_set(at_s: float, phase: Phase, began_s: float, **changes: object) -> Snapshot:
    held: dict[str, object] = {"cue": "", "count": 0, "closed": (), "set_number": 1, "elapsed_s": at_s, "phase": phase}
    return snapshot(Stage.SET, **{**held, "phase_s": at_s - began_s, **changes})


def lasting(phase: Phase, from_s: float, until_s: float, **changes: object) -> list[Snapshot]:
    """A phase, looked at every tenth of a second from its begin on."""
    ticks = range(round((until_s - from_s) / TICK_S))
    return [in_set(from_s + TICK_S * tick, phase, from_s, **changes) for tick in ticks]


def rep(from_s: float, *, top_s: float, down_s: float, count: int = 0) -> list[Snapshot]:
    """A rep with a rise of one second."""
    top, down = from_s + 1.0, from_s + 1.0 + top_s
    return [
        *lasting(Phase.UP, from_s, top, count=count),
        *lasting(Phase.TOP, top, down, provisional=True, count=count),
        *lasting(Phase.DOWN, down, down + down_s, provisional=True, count=count),
        *lasting(Phase.BOTTOM, down + down_s, down + down_s + 0.5, count=count + 1),
    ]


def rounded(notes: Sequence[Note]) -> list[tuple[float, Sound, int]]:
    return [(round(note.at_s, 3), note.sound, note.number) for note in notes]


FIRST = in_set(9.9, Phase.BOTTOM, 9.0)


def test_a_rep_as_asked_for() -> None:
    """Each at its time: the end of the hold a second after the top, of the lowering two seconds after that."""
    assert rounded(heard(FIRST, *rep(10.0, top_s=1.0, down_s=2.2))) == [
        (10.0, Sound.UP, 0),
        (11.0, Sound.TOP, 0),
        (12.0, Sound.HELD, 0),
        (14.0, Sound.LOWERED, 0),
        (14.2, Sound.COUNT, 1),
    ]


def test_half_of_the_way_down_and_the_stop_after_it_are_no_lowering() -> None:
    """Down for 2.2 s, as long as a whole lowering is to last: of a one-and-a-half rep nobody knows which it is."""
    halved = replace(PRESCRIPTION, half_pause_s=1.0)
    seen = [replace(one, prescription=halved) for one in (FIRST, *rep(10.0, top_s=1.0, down_s=2.2))]
    assert sounds(*seen) == [Sound.UP, Sound.TOP, Sound.HELD, Sound.COUNT]


@pytest.mark.parametrize(
    ("top_s", "down_s", "missing"),
    [(1.0, 1.2, {Sound.LOWERED}), (0.4, 0.4, {Sound.HELD, Sound.LOWERED}), (3.0, 2.5, set())],
    ids=["dropped", "neither", "longer than asked"],
)
def test_what_was_not_long_enough_is_not_heard(top_s: float, down_s: float, missing: set[Sound]) -> None:
    assert TEMPO - {Sound.PAUSED} - set(sounds(FIRST, *rep(10.0, top_s=top_s, down_s=down_s))) == missing


def test_a_lowering_after_a_long_hold_counts_from_its_own_begin() -> None:
    notes = heard(FIRST, *rep(10.0, top_s=3.0, down_s=2.5))
    assert [round(note.at_s, 3) for note in notes if note.sound is Sound.LOWERED] == [16.0]


def test_the_end_of_a_hold_that_was_too_short_is_not_heard_and_the_lowering_counts_from_its_own_begin() -> None:
    """The lowering is told a moment after it has begun, before the hold's time would have been over."""
    top = lasting(Phase.TOP, 11.0, 11.6, provisional=True)
    down = [in_set(11.6 + TICK_S * tick, Phase.DOWN, 11.4, provisional=True) for tick in range(28)]
    notes = heard(FIRST, *lasting(Phase.UP, 10.0, 11.0), *top, *down)
    assert rounded(notes)[2:] == [(13.4, Sound.LOWERED, 0)]


def test_the_end_of_a_hold_is_heard_though_the_lowering_is_told_before_it() -> None:
    """A hold asked for of 0.3 s, told as over a moment after its time, is heard; one that lasted 0.2 s is not."""
    asked = replace(PRESCRIPTION, tempo=Tempo(2.0, 0.0, 1.0, 0.3))
    for down_s, told in ((11.35, [Sound.HELD]), (11.2, [])):
        top = [in_set(11.1, Phase.TOP, 11.0, provisional=True, prescription=asked)]
        down = [in_set(11.4, Phase.DOWN, down_s, provisional=True, prescription=asked)]
        before = lasting(Phase.UP, 10.0, 11.0, prescription=asked)
        assert [sound for sound in sounds(before[0], *before[1:], *top, *down) if sound is Sound.HELD] == told


def test_a_pause_at_the_bottom() -> None:
    asked = replace(PRESCRIPTION, tempo=Tempo(2.0, 1.0, 1.0, 1.0))
    before = in_set(9.9, Phase.DOWN, 9.5, prescription=asked)
    pause = lasting(Phase.BOTTOM, 10.0, 11.5, prescription=asked)
    assert rounded(heard(before, *pause)) == [(11.0, Sound.PAUSED, 0)]


def test_a_rise_as_fast_as_possible_has_no_end_to_be_told() -> None:
    asked = replace(PRESCRIPTION, tempo=Tempo(0.0, 0.0, None, 0.0))
    rising = lasting(Phase.UP, 10.0, 13.0, prescription=asked)
    top = lasting(Phase.TOP, 13.0, 16.0, prescription=asked, provisional=True)
    assert sounds(in_set(9.9, Phase.BOTTOM, 9.0, prescription=asked), *rising, *top) == [Sound.UP, Sound.TOP]


def test_a_phase_that_is_known_too_late_is_not_told() -> None:
    """The verdict allows .3 s; a tick half a second late would teach another tempo."""
    assert sounds(FIRST, in_set(14.0, Phase.DOWN, 11.5)) == []
    assert sounds(FIRST, in_set(13.7, Phase.DOWN, 11.5)) == [Sound.LOWERED]


def test_a_phase_that_flickers_is_one_phase() -> None:
    phases = [Phase.UP, Phase.BOTTOM] * 4
    flickering = [in_set(10.0 + TICK_S * tick, phase, 10.0) for tick, phase in enumerate(phases)]
    assert sounds(FIRST, *flickering) == [Sound.UP]


def test_the_count_goes_up_and_back() -> None:
    counts = [0, 1, 1, 2, 1, 2, 4]
    shown = [in_set(10.0 + tick, Phase.BOTTOM, 9.0, count=count) for tick, count in enumerate(counts)]
    assert [(note.sound, note.number) for note in heard(FIRST, *shown)] == [
        (Sound.COUNT, 1),
        (Sound.COUNT, 2),
        (Sound.COUNT_BACK, 1),
        (Sound.COUNT, 2),
        (Sound.COUNT, 4),
    ]


def test_what_was_off_in_a_rep_comes_after_its_number() -> None:
    shown = [
        in_set(10.0, Phase.BOTTOM, 9.0, count=1, cue="hold the top"),
        in_set(11.0, Phase.BOTTOM, 9.0, count=1, cue="hold the top"),
        in_set(14.0, Phase.BOTTOM, 9.0, count=2, cue="hold the top"),
        in_set(18.0, Phase.BOTTOM, 9.0, count=3),
        in_set(19.0, Phase.BOTTOM, 9.0, count=2, cue="hold the top"),
    ]
    off = [(round(note.at_s, 3), note.words) for note in heard(FIRST, *shown) if note.sound is Sound.OFF]
    assert off == [(10.7, "hold the top"), (14.7, "hold the top")]


def test_the_first_rep_of_a_set_is_counted_though_the_set_before_had_as_many() -> None:
    resting = snapshot(Stage.REST, count=1, elapsed_s=9.9)
    assert sounds(resting, in_set(10.0, Phase.BOTTOM, 9.9, count=1, closed=CLOSED)) == [Sound.COUNT]


def test_a_cluster_set_goes_on_counting() -> None:
    waiting = snapshot(Stage.REST, count=4, gap_s=20.0, rest_left_s=5.0, elapsed_s=9.9)
    shown = [in_set(10.0 + tick, Phase.BOTTOM, 9.9, count=4 + tick, closed=CLOSED) for tick in range(2)]
    assert [note.number for note in heard(waiting, *shown)] == [5]


def resting(lefts_s: Sequence[float]) -> list[Snapshot]:
    return [snapshot(Stage.REST, rest_left_s=left, elapsed_s=100.0 - left) for left in lefts_s]


@pytest.mark.parametrize(
    ("lefts_s", "expected"),
    [
        ([11.0, 10.1, 10.0, 9.9], [(90.0, Sound.REST_NEARLY_OVER)]),
        ([0.2, 0.1, 0.0, -0.1, -5.0], [(100.0, Sound.REST_OVER)]),
        ([9.0, 8.9], []),
        ([-3.0, -3.1], []),
    ],
    ids=["ten seconds left", "over", "began shorter", "long over"],
)
def test_a_rest(lefts_s: list[float], expected: list[tuple[float, Sound]]) -> None:
    assert [(round(note.at_s, 3), note.sound) for note in heard(*resting(lefts_s))] == expected


def test_a_set_is_done_once_as_its_number_is_reached() -> None:
    last = in_set(10.0, Phase.AWAY, 10.0, count=10)
    begun = in_set(9.9, Phase.DOWN, 9.0, count=9)
    closed = snapshot(Stage.REST, count=10, elapsed_s=14.0)
    one_more = replace(last, count=11, elapsed_s=12.0)
    assert sounds(begun, last, one_more, closed) == [Sound.COUNT, Sound.SET_DONE, Sound.COUNT]


def test_number_what_was_off_and_the_sets_end_do_not_sound_at_once() -> None:
    last = in_set(10.0, Phase.AWAY, 10.0, count=10, cue="slower down")
    assert rounded(heard(in_set(9.9, Phase.DOWN, 9.0, count=9), last)) == [
        (10.0, Sound.COUNT, 10),
        (10.7, Sound.OFF, 0),
        (11.4, Sound.SET_DONE, 0),
    ]


def test_a_set_that_is_over_before_its_number_is_done() -> None:
    failed = [in_set(10.0 + tick, Phase.AWAY, 9.0, count=6, ended=True) for tick in range(3)]
    assert sounds(in_set(9.9, Phase.DOWN, 9.0, count=6), *failed) == [Sound.SET_DONE]


@pytest.mark.parametrize(
    ("before", "after", "expected"),
    [
        (in_set(10.0, Phase.AWAY, 9.0, count=8), snapshot(Stage.REST, elapsed_s=11.0), [Sound.SET_DONE]),
        (in_set(10.0, Phase.AWAY, 9.0), snapshot(Stage.READY, elapsed_s=11.0), []),
        (in_set(10.0, Phase.AWAY, 9.0, closed=THREE[:2]), snapshot(Stage.DONE, elapsed_s=11.0), [Sound.SET_DONE]),
    ],
    ids=["ended early", "was no set", "the last one"],
)
def test_a_set_that_closes(before: Snapshot, after: Snapshot, expected: list[Sound]) -> None:
    start = snapshot(Stage.READY, elapsed_s=9.0)
    assert [one for one in sounds(start, before, after) if one is not Sound.COUNT] == expected


def test_a_warm_up_has_no_number_to_reach() -> None:
    shown = [in_set(10.0 + tick, Phase.BOTTOM, 9.0, count=9 + tick, warm_up=1) for tick in range(3)]
    assert Sound.SET_DONE not in sounds(*shown)


def test_a_hold_is_long_enough() -> None:
    asked = replace(PRESCRIPTION, reps=0, hold_s=20.0)
    hang = [
        snapshot(Stage.READY, prescription=asked, phase=Phase.HANG, phase_s=float(tick), elapsed_s=10.0 + tick)
        for tick in range(1, 23)
    ]
    closed = snapshot(Stage.REST, prescription=asked, elapsed_s=34.0)
    start = snapshot(Stage.READY, prescription=asked, elapsed_s=10.0)
    assert rounded(heard(start, *hang, closed)) == [(30.0, Sound.HELD, 0), (34.0, Sound.SET_DONE, 0)]


def test_getting_into_a_hold_and_out_of_it_has_no_tempo() -> None:
    asked = replace(PRESCRIPTION, reps=0, hold_s=20.0)
    moved = [replace(one, prescription=asked, count=0) for one in rep(10.0, top_s=1.5, down_s=2.5)]
    assert sounds(replace(FIRST, prescription=asked), *moved) == []


def test_a_hang_before_reps_is_asked_to_last_no_time() -> None:
    hang = [in_set(10.0 + tick, Phase.HANG, 10.0) for tick in range(30)]
    assert sounds(FIRST, *hang) == []


@pytest.mark.parametrize("state", [LinkState.LOST, LinkState.STALLED, LinkState.BLOCKED])
def test_the_sensor_is_lost_and_there_again(state: LinkState) -> None:
    gone = replace(GOOD, state=state)
    links = [Link(state=LinkState.SEARCHING), GOOD, GOOD, gone, gone, replace(GOOD, state=LinkState.SEARCHING), GOOD]
    score = Score()
    shown = [snapshot(Stage.READY, link=link, elapsed_s=float(at_s)) for at_s, link in enumerate(links)]
    assert [(note.at_s, note.sound) for one in shown for note in score.of(one)] == [
        (1.0, Sound.SENSOR_THERE),
        (3.0, Sound.SENSOR_LOST),
        (6.0, Sound.SENSOR_THERE),
    ]


def test_a_demonstration_that_is_over_has_lost_nothing() -> None:
    over = replace(GOOD, state=LinkState.ENDED)
    assert sounds(*(snapshot(Stage.REST, link=link) for link in (GOOD, over))) == []


def test_a_sensor_that_goes_when_all_is_done_is_not_missed() -> None:
    shown = [snapshot(Stage.DONE, link=link) for link in (GOOD, replace(GOOD, state=LinkState.LOST))]
    assert sounds(*shown) == []


@pytest.mark.parametrize(
    "after",
    [
        in_set(60.0, Phase.UP, 60.0, count=7),
        in_set(2.0, Phase.UP, 2.0, count=7),
        in_set(10.1, Phase.UP, 10.0, count=7, trainee="Jonas Brandt"),
    ],
    ids=["moved on", "moved back", "another's session"],
)
def test_what_was_passed_over_is_not_made_up_for(after: Snapshot) -> None:
    before = in_set(10.0, Phase.DOWN, 9.0, count=2)
    assert sounds(before, after, replace(after, elapsed_s=after.elapsed_s + TICK_S)) == []
