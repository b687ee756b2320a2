"""A whole session through codec, assembly, clock, motion, verdict and log, without radio and without waiting."""

from __future__ import annotations

import pytest
from virtual_session import Gym, arrivals

from analysis.logbook.entries import RunKind
from analysis.motion.events import Phase
from analysis.training.verdict import Outcome
from sensor.recording import Recording
from sensor.source import Channel
from sensor.virtual.motion import TraineeFeed, load_motion
from sensor.virtual.script import DEMO_BEAT, Beat, demo_script, regular_script
from sensor.virtual.trainee import perform
from tui.replay.replay import recomputed_events, stored_events
from tui.session.messages import Stage
from tui.session.stored import encode_event

Shown = tuple[Stage, int]
"""A stage and how many sets are done."""


def test_counts_what_the_virtual_trainee_did(done: Gym) -> None:
    (record,) = done.records()
    assert [one.verdict.count for one in record.sets] == [len(reps) for reps in demo_script().sets]
    assert record.ended_utc_us is not None


def test_phase_times_agree_with_the_trainees_own(done: Gym) -> None:
    truth = [rep for reps in perform(demo_script(), 1).truth for rep in reps]
    (record,) = done.records()
    found = [rep for one in record.sets for rep in one.reps]
    for rep, true in zip(found, truth, strict=True):
        assert rep.start_s == pytest.approx(true.start_s, abs=0.3)
        assert rep.end_s == pytest.approx(true.end_s, abs=0.3)


def test_hurried_lowering_is_missed_and_keeps_the_step(done: Gym) -> None:
    (record,) = done.records()
    assert record.sets[-1].verdict.outcome is Outcome.MISSED
    assert all(one.verdict.outcome is not Outcome.MISSED for one in record.sets[:-1])
    (proposal,) = done.logbook.proposals(record.trainee)
    assert proposal.prescription.rest_s == record.prescription.rest_s
    assert "lowering" in done.book.text.lower()


def _is_nothing(before: Shown | None, now: Shown, after: Shown | None) -> bool:
    """Whether this is a bout that turned out to be nothing, or the way back from one."""
    opened_for_nothing = now[0] is Stage.SET and after == before
    back = before is not None and before[0] is Stage.SET and before[1] == now[1]
    return opened_for_nothing or back


def test_every_stage_is_shown_in_its_order(done: Gym) -> None:
    """Taking hold may open a bout that turns out to be nothing: then the screen goes back to where it came from."""
    shown = [(one.stage, len(one.closed)) for one in done.book.snapshots]
    changes = [now for before, now in zip([None, *shown], shown, strict=False) if now != before]
    around = zip([None, *changes], changes, [*changes[1:], None], strict=False)
    real = [now for before, now, after in around if not _is_nothing(before, now, after)]
    expected = [(Stage.SEARCHING, 0), (Stage.READY, 0)]
    expected += [(Stage.SET, 0), (Stage.REST, 1), (Stage.SET, 1), (Stage.REST, 2), (Stage.SET, 2), (Stage.DONE, 3)]
    assert real == expected


def test_a_change_is_shown_with_the_packet_that_brings_it(gym: Gym) -> None:
    """Without a tick of the screen in between: whoever looks on from afar waits for none."""
    beat = Beat(1.0, 1.0, 1.0, 0.3)
    feed = TraineeFeed(regular_script(trainee="T", sets=1, reps=3, beat=beat, rest_s=5.0))
    session = gym.opening().open_session("", gym.book)
    session.begin()
    for arrival in arrivals(feed):
        gym.clock.at_s = max(gym.clock.at_s, arrival.at_s)
        session.handle(arrival)
    shown = {(one.count, one.phase) for one in gym.book.snapshots}
    assert shown >= {(count, phase) for count in range(3) for phase in (Phase.TOP, Phase.DOWN, Phase.BOTTOM)}
    assert (3, Phase.BOTTOM) in shown


def test_each_set_is_announced_once_and_each_rest_ends_once(done: Gym) -> None:
    """The dismount before a rest, read anew at its end, is no beginning of a set."""
    lines = done.book.text.splitlines()
    assert [line for line in lines if "hands on" in line] == [f"set {number}: hands on" for number in (1, 2, 3)]
    assert [line for line in lines if line.startswith("rest over")] == [f"rest over: set {n} of 3" for n in (2, 3)]
    assert "no set" not in lines


def test_a_hurried_lowering_never_looks_met_while_it_is_done(done: Gym) -> None:
    """The trainee lowers for 0.9 s of 2 after a hold of 1 s, which must not be counted as a part of it."""
    hurried = perform(demo_script(), 1).truth[2][3:]
    for rep in hurried:
        shown = [one for one in done.book.snapshots if rep.top_s < one.elapsed_s < rep.end_s + 0.4]
        lowered_s = [one.phase_s for one in shown if one.phase is Phase.DOWN]
        assert lowered_s
        assert max(lowered_s) < 2.0


def test_rest_counts_down_by_itself_from_the_last_rep(done: Gym) -> None:
    lefts = [one.rest_left_s for one in done.book.snapshots if one.rest_left_s is not None]
    assert max(lefts) < 20.0
    assert min(lefts) < 3.0
    assert "rest over" in done.book.text or min(lefts) > 0


def test_live_and_refined_answers_are_both_kept(done: Gym) -> None:
    (record,) = done.records()
    kinds = {run.kind for run in done.logbook.runs(record.session_id)}
    assert kinds == {RunKind.LIVE, RunKind.REFINED}


def test_raw_bytes_are_recorded_as_they_came(done: Gym) -> None:
    (path,) = done.recordings()
    with Recording.open(path) as recording:
        assert list(recording.arrivals()) == list(arrivals(TraineeFeed()))


def test_analysing_the_recording_again_gives_the_same_events_to_the_last_digit(done: Gym) -> None:
    (path,) = done.recordings()
    with Recording.open(path) as recording:
        stored = [encode_event(event) for event in stored_events(recording)]
        assert stored
        assert stored == [encode_event(event) for event in recomputed_events(recording)]


def test_a_sensor_clock_that_runs_wrong_does_not_change_the_verdict(gym: Gym) -> None:
    """1.5 % is the worst of on-chip oscillators; 20 s of tension would be .3 s off uncorrected."""
    session = gym.opening().open_session("", gym.book)
    gym.run(session, clock_ratio=1.015)
    session.end()
    (record,) = gym.records()
    assert record.sets[-1].clock_ratio == pytest.approx(1.015, abs=150e-6)
    span_s = load_motion(TraineeFeed()).t_s[-1]
    assert span_s > 60


def test_an_aborted_session_leaves_the_sets_done_until_then(gym: Gym) -> None:
    session = gym.opening().open_session("", gym.book)
    for arrival in arrivals(TraineeFeed()):
        gym.give(session, arrival)
        if len(session.board.sets) == 2:
            break
    # The process dies here: nothing is ended.
    (record,) = gym.records()
    assert record.ended_utc_us is None
    assert [one.verdict.count for one in record.sets] == [5, 5]


def test_sets_of_two_are_counted_and_read_again_alike(gym: Gym) -> None:
    twos = regular_script(trainee="A", sets=3, reps=2, beat=DEMO_BEAT, rest_s=40.0)
    session = gym.opening().open_session("", gym.book)
    gym.run(session, TraineeFeed(twos))
    session.end()
    (record,) = gym.records()
    assert [one.verdict.count for one in record.sets] == [2, 2, 2]
    with Recording.open(gym.recordings()[0]) as recording:
        stored = [encode_event(event) for event in stored_events(recording)]
        assert stored == [encode_event(event) for event in recomputed_events(recording)]


def test_a_dropped_set_is_not_counted_and_its_number_is_free_again(gym: Gym) -> None:
    session = gym.opening().open_session("", gym.book)
    dropped = False
    for arrival in arrivals(TraineeFeed()):
        gym.give(session, arrival)
        if not dropped and session.board.stage is Stage.REST:
            session.by_key.drop_last()
            dropped = True
            assert session.board.stage is Stage.READY
    session.end()
    (record,) = gym.records()
    assert len(record.sets) == 2
    assert record.outcome is not Outcome.MET


def test_without_a_single_rep_the_session_says_so(gym: Gym) -> None:
    script = regular_script(trainee="Mara Lindt", sets=1, reps=1, beat=Beat(1, 0, 1, 0), rest_s=5)
    session = gym.opening().open_session("", gym.book)
    gym.run(session, TraineeFeed(script))
    session.end()
    assert "No set was done." in gym.book.text


def test_a_corrupt_packet_is_recorded_and_does_not_stop_the_session(gym: Gym) -> None:
    session = gym.opening().open_session("", gym.book)
    for number, arrival in enumerate(arrivals(TraineeFeed())):
        gym.give(session, arrival)
        if number % 50 == 10:
            broken = type(arrival)(arrival.sensor_id, arrival.at_s, Channel.DATA, b"\xff\x00rubbish")
            gym.give(session, broken)
    session.end()
    (record,) = gym.records()
    assert [one.verdict.count for one in record.sets] == [5, 5, 5]
