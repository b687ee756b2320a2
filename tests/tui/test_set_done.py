"""A set that is over before its number: what the board shows of it, and its cues, from events made by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from board_told import ASKED, Told, rep

from analysis.motion.events import Event, EventId, Phase, PhaseChanged, RepProvisional
from analysis.motion.mounts import Mount
from analysis.motion.pipeline import Pipeline
from analysis.motion.results import Rep
from analysis.motion.samples import Samples
from analysis.training.prescription import Prescription, Start, Tempo
from analysis.training.view import NOTHING, View
from sensor.virtual.motion import TraineeFeed, load_motion
from sensor.virtual.script import Beat, Script
from tui.session.board import Board
from tui.session.stored import decode_event, encode_event
from tui.widgets.labels import cue_words, to_go_words
from tui.words.cues import SET_DONE

LONG = replace(ASKED, reps=10)
"""Ten reps, up 1, top 1, down 2."""


SEEN = View(reference_m=0.50)


def opened(asked: Prescription = LONG, view: View = NOTHING) -> Told:
    told = Told(asked)
    told.board = Board(trainee="Mara Lindt", prescription=asked, began_s=0.0, view=view)
    told.connect()
    told.open(10.0)
    return told


def pulled(start_s: float, travel_m: float) -> Rep:
    return replace(rep(start_s), travel_m=travel_m)


def phase_at(told: Told, at_s: float) -> None:
    told.fold(PhaseChanged(id=EventId(0, 8), at_s=at_s, emitted_s=at_s + 0.1, phase=Phase.UP))


def test_a_failed_attempt_stops_pacer_and_remaining_count() -> None:
    """With a reference of 50 cm: 30 cm are surely short of 42.5 by the sigma of a rep's travel, 2.7 cm."""
    told = opened(view=SEEN)
    told.confirm(1, pulled(10.0, 0.50))
    phase_at(told, 15.0)
    before = told.shown(15.5)
    assert (before.phase, before.ended, to_go_words(before)) == (Phase.UP, False, "9 TO GO")
    lines = told.confirm(2, pulled(15.0, 0.30))
    assert lines[-1] == "set done: the last pull did not get to the top"
    phase_at(told, 20.0)
    shown = told.shown(20.5)
    assert (shown.phase, shown.ended, shown.count) == (Phase.AWAY, True, 1)
    assert (to_go_words(shown), cue_words(shown)) == ("", "SET DONE")


def test_a_whole_rep_after_it_takes_the_set_up_again() -> None:
    told = opened(view=SEEN)
    for number, travel_m in enumerate((0.50, 0.30, 0.50)):
        told.confirm(number + 1, pulled(10.0 + 5 * number, travel_m))
    shown = told.shown(24.5)
    assert (shown.ended, shown.cue, to_go_words(shown)) == (False, "", "8 TO GO")


def test_a_rep_that_may_have_gone_far_enough_ends_nothing() -> None:
    told = opened(view=SEEN)
    told.confirm(1, pulled(10.0, 0.50))
    told.confirm(2, pulled(15.0, 0.40))
    assert not told.shown(20.0).ended


def test_two_drops_running_end_the_set_and_the_second_taken_back_takes_it_up() -> None:
    told = opened()
    told.confirm(1, rep(10.0, down_s=0.5))
    assert told.shown(13.0).cue == "slower down"
    lines = told.confirm(2, rep(15.0, down_s=0.5))
    assert lines[-1] == "set done: two lowerings running in less than half of the time asked for"
    assert told.shown(18.0).cue == SET_DONE
    told.fold(RepProvisional(id=EventId(0, 1), at_s=21.0, emitted_s=21.1, count=3, start_s=20.0, top_s=21.0))
    assert not told.shown(21.2).provisional  # getting off the bar begins like a rep
    told.withdraw(1, 17.5)
    assert not told.shown(22.0).ended


def test_the_last_rep_completes_the_set_whatever_ends_it() -> None:
    told = opened(replace(ASKED, reps=2))
    told.confirm(1, rep(10.0, down_s=0.5))
    told.confirm(2, rep(15.0, down_s=0.5))
    shown = told.shown(18.0)
    assert (shown.ended, shown.cue, to_go_words(shown)) == (False, "slower down", "ALL DONE")


def test_a_warm_up_is_not_ended() -> None:
    told = opened(replace(LONG, warm_ups=1))
    for number in range(3):
        told.confirm(number + 1, rep(10.0 + 5 * number, down_s=0.5))
    assert not told.shown(25.0).ended


def test_the_set_before_says_nothing_of_the_next() -> None:
    told = opened()
    for number in range(2):
        told.confirm(number + 1, rep(10.0 + 5 * number, down_s=0.5))
    assert told.shown(19.0).ended
    told.open(90.0)
    assert not told.shown(91.0).ended


@pytest.mark.parametrize(("paused_s", "cue"), [(0.2, "pause below"), (2.0, "")])
def test_a_pause_at_the_bottom_is_judged_once_the_next_rep_is_there(paused_s: float, cue: str) -> None:
    told = opened(replace(LONG, tempo=Tempo(down_s=2, bottom_s=2, up_s=1, top_s=1)))
    told.confirm(1, rep(10.0))
    assert told.shown(14.0).cue == ""
    told.confirm(2, rep(14.0 + paused_s))
    assert told.shown(19.0).cue == cue


def risen(start_s: float) -> Rep:
    return replace(rep(start_s), shrug_start_s=start_s - 0.4)


def test_hang_first_is_said_once_where_a_hang_is_asked_and_most_reps_surely_lack_it() -> None:
    """Of fewer than five reps it is not said: `analysis.training.form`."""
    told = opened(replace(LONG, start=Start.HANG))
    cues = []
    for number in range(6):
        told.confirm(number + 1, rep(10.0 + 5 * number))
        cues.append(told.shown(15.0 + 5 * number).cue)
    assert cues == ["", "", "", "", "hang first", ""]


def test_hang_first_waits_while_something_more_useful_is_said() -> None:
    told = opened(replace(LONG, start=Start.HANG))
    cues = []
    for number in range(7):
        told.confirm(number + 1, rep(10.0 + 5 * number, down_s=1.2 if number == 4 else 2.0))
        cues.append(told.shown(15.0 + 5 * number).cue)
    assert cues == ["", "", "", "", "slower down", "hang first", ""]


def test_hang_first_goes_as_soon_as_a_rep_does_begin_in_a_hang() -> None:
    told = opened(replace(LONG, start=Start.HANG))
    for number in range(5):
        told.confirm(number + 1, rep(10.0 + 5 * number))
    assert told.shown(35.0).cue == "hang first"
    told.confirm(6, risen(35.0))
    assert told.shown(40.0).cue == ""
    told.confirm(7, rep(40.0))
    assert told.shown(45.0).cue == "hang first"


def test_hang_first_is_not_said_of_reps_that_begin_in_a_hang() -> None:
    told = opened(replace(LONG, start=Start.HANG))
    for number in range(6):
        told.confirm(number + 1, risen(10.0 + 5 * number))
        assert told.shown(15.0 + 5 * number).cue == ""


def test_shoulders_first_is_said_of_a_rep_that_surely_began_in_a_hang() -> None:
    told = opened(replace(LONG, start=Start.SHOULDERS_SET))
    told.confirm(1, risen(10.0))
    assert told.shown(15.0).cue == "shoulders first"


BEAT = Beat(up_s=1.0, top_s=1.0, down_s=2.0, bottom_s=0.5)
DROPPED = replace(BEAT, down_s=0.6)


def performed(*beats: Beat, seed: int) -> list[Event]:
    """What the motion core says, live, of a set of the virtual trainee with a sensor on her belt."""
    script = Script(trainee="Mara Lindt", sets=(beats,), rest_s=30.0)
    motion = load_motion(TraineeFeed(script, seed=seed))
    core = Pipeline(Mount.BODY)
    assert motion.rate_rad_s is not None
    parts = [slice(at, at + 10) for at in range(0, len(motion.t_s), 10)]
    samples = [Samples(motion.t_s[one], motion.force_m_s2[one], motion.rate_rad_s[one]) for one in parts]
    return [event for part in samples for event in core.push(part)]


def lines_of(events: Sequence[Event]) -> list[str]:
    told = Told(LONG)
    told.connect()
    return [line for event in events for line in told.fold(event)]


@pytest.mark.parametrize("seed", [1, 4])
def test_a_trainee_who_drops_twice_is_told_after_the_second_and_a_replay_says_the_same(seed: int) -> None:
    events = performed(*(BEAT,) * 4, *(DROPPED,) * 2, seed=seed)
    lines = lines_of(events)
    reps = [line for line in lines if line.startswith(("rep", "set done"))]
    assert [line[:8] for line in reps[-2:]] == ["rep  6  ", "set done"]
    assert sum(line.startswith("set done") for line in lines) == 1
    assert lines_of([decode_event(encode_event(event)) for event in events]) == lines


def test_a_trainee_who_drops_once_and_again_later_goes_on() -> None:
    lines = lines_of(performed(*(BEAT,) * 3, DROPPED, BEAT, DROPPED, BEAT, seed=2))
    assert not any(line.startswith("set done") for line in lines)
