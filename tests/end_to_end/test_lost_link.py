"""A link that goes away in the middle of a set: nothing is lost, and the answer is the one without the loss."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from virtual_session import MTU, SENSOR, Gym, arrivals

from analysis.motion.events import BoutClosed, BoutRefined, Event, Phase, SpanUnmeasurable
from analysis.motion.mounts import Mount
from analysis.motion.pipeline import Pipeline
from analysis.motion.results import Bout, Why
from sensor.backfill import BackFill
from sensor.protocol import Packet, Start, decode
from sensor.recording import Recording
from sensor.source import Arrival, Channel, LinkState
from sensor.virtual.core import SensorCore
from sensor.virtual.motion import TraineeFeed
from sensor.virtual.script import Beat, regular_script
from sensor.virtual.trainee import perform
from tui.replay.replay import recomputed_events, stored_events
from tui.session.stored import encode_event
from tui.session.track import Track

SCRIPT = regular_script(trainee="Jonas Reiter", sets=2, reps=5, beat=Beat(1, 1, 2, 0), rest_s=20)
FEED = TraineeFeed(SCRIPT, seed=3)
FIRST_SET = perform(SCRIPT, 3).truth[0]
LOST_S, BACK_S = FIRST_SET[1].start_s + 0.5, FIRST_SET[3].start_s + 0.7


def link(at_s: float, state: LinkState) -> Arrival:
    return Arrival(SENSOR, at_s, Channel.LINK, state.value.encode())


def with_loss(lost_s: float, back_s: float, *, answers: bool = True) -> Iterator[Arrival]:
    """Yield what a host receives that loses its link for a while, and asks for what it missed."""
    core, back_fill = SensorCore(FEED, boot_id=1), BackFill()

    def info(at_s: float) -> Arrival:
        return Arrival(SENSOR, at_s, Channel.INFO, bytes(core.info))

    core.take(Start(), 0.0, MTU)
    yield from (link(0.0, LinkState.SEARCHING), link(0.0, LinkState.CONNECTED))
    yield info(0.0)
    back_fill.heard(Channel.INFO, bytes(core.info), 0.0)
    now_s, is_lost = 0.0, False
    while not core.finished:
        now_s = max(now_s + 0.02, core.next_due_s() if not is_lost else 0.0)
        if lost_s <= now_s < back_s and not is_lost:
            is_lost = True
            core.pause()
            yield link(now_s, LinkState.LOST)
        if is_lost and now_s >= back_s:
            is_lost = False
            yield link(now_s, LinkState.CONNECTED)
            yield info(now_s)
            core.take(Start(), now_s, MTU)
        if is_lost:
            continue
        for payload in core.due(now_s):
            back_fill.heard(Channel.DATA, payload, now_s)
            yield Arrival(SENSOR, now_s, Channel.DATA, payload)
        request = back_fill.ask(now_s)
        if request and answers:
            core.take(request, now_s, MTU)


def refined(events: list[Event]) -> list[Bout]:
    return [e.bout for e in events if isinstance(e, BoutRefined) and e.bout.reps]


def boundaries(bouts: list[Bout]) -> list[tuple[float | None, ...]]:
    return [(rep.start_s, rep.top_s, rep.down_s, rep.end_s) for bout in bouts for rep in bout.reps]


def samples(packets: list[Packet]) -> list[tuple[int, bytes]]:
    """Every sample with its index, in the order given: they are cut into packets differently when sent again."""
    return [(p.first_index + i, p.counts[i].tobytes()) for p in packets for i in range(len(p))]


def read(arrivals: Iterator[Arrival]) -> list[Event]:
    track = Track(Pipeline(Mount.BODY))
    return [event for arrival in arrivals for event in track.push(arrival)] + track.finish()


def run(gym: Gym, stream: Iterator[Arrival]) -> None:
    session = gym.opening().open_session("", gym.book)
    for arrival in stream:
        gym.give(session, arrival)
    session.end()


def test_the_recording_and_the_refined_answer_are_those_without_the_loss(gym: Gym) -> None:
    run(gym, with_loss(LOST_S, BACK_S))
    (path,) = gym.recordings()
    with Recording.open(path) as recording:
        events, again = stored_events(recording), recomputed_events(recording)
        kept = [decode(a.payload) for a in recording.in_order() if a.channel is Channel.DATA]
    assert [encode_event(e) for e in events] == [encode_event(e) for e in again]
    assert not [e for e in events if isinstance(e, SpanUnmeasurable)]
    whole = refined(read(arrivals(FEED)))
    assert [bout.count for bout in refined(events)] == [bout.count for bout in whole] == [5, 5]
    np.testing.assert_allclose(boundaries(refined(events)), boundaries(whole), rtol=0, atol=1e-9)
    sent = [decode(a.payload) for a in arrivals(FEED) if a.channel is Channel.DATA]
    assert samples(kept) == samples(sent)


def test_the_live_count_goes_on_where_it_would_have_been(gym: Gym) -> None:
    """Eight seconds are lost; the live reading waits for what is sent again, and no set is told closed meanwhile."""
    assert BACK_S - LOST_S > 5.0
    run(gym, with_loss(LOST_S, BACK_S))
    counts = [one.count for one in gym.book.snapshots]
    assert counts == sorted(counts[: counts.index(5) + 1]) + counts[counts.index(5) + 1 :]
    closed = [e.bout.count for e in read(with_loss(LOST_S, BACK_S)) if isinstance(e, BoutClosed)]
    assert closed == [5, 5]


def test_the_screen_says_what_is_missing_until_it_has_come(gym: Gym) -> None:
    run(gym, with_loss(LOST_S, BACK_S))
    links = [one.link for one in gym.book.snapshots]
    assert {one.state for one in links} >= {LinkState.LOST, LinkState.CONNECTED}
    assert max(one.missing_s for one in links) == pytest.approx(BACK_S - LOST_S, abs=0.3)
    assert links[-1].missing_s == 0.0
    assert links[-1].loss == 0.0
    lines = [one.text for one in gym.book.moments if "fetched" in one.text]
    keeps_s = SensorCore(FEED, boot_id=1).info.ring_samples / 100.0
    assert lines[0] == f"virtual lost: go on; it keeps the last {keeps_s:.0f} s, fetched once it is back"
    (fetched,) = lines[1:]
    assert fetched.endswith(" s fetched: nothing is missing")
    assert float(fetched.split()[0]) == pytest.approx(BACK_S - LOST_S, abs=0.3)


def test_a_link_that_is_lost_without_a_word_shows_no_phase_that_nobody_sees(gym: Gym) -> None:
    session = gym.opening().open_session("", gym.book)
    for arrival in arrivals(FEED):
        if arrival.at_s > LOST_S:
            break
        gym.give(session, arrival)
    assert gym.book.snapshots[-1].phase is not Phase.AWAY
    gym.clock.at_s += 1.5
    session.tick()
    assert (gym.book.snapshots[-1].link.state, gym.book.snapshots[-1].phase) == (LinkState.CONNECTED, Phase.AWAY)


def test_what_the_sensor_cannot_send_again_stays_a_gap_and_is_named(gym: Gym) -> None:
    end_s = LOST_S + 40.0
    run(gym, with_loss(LOST_S, end_s, answers=False))
    (path,) = gym.recordings()
    with Recording.open(path) as recording:
        (span,) = [e.span for e in stored_events(recording) if isinstance(e, SpanUnmeasurable)]
    assert span.why is Why.GAP
    assert (span.start_s, span.end_s) == pytest.approx((LOST_S, end_s), abs=0.3)
    assert gym.book.snapshots[-1].link.loss == pytest.approx(40.0 / gym.book.snapshots[-1].elapsed_s, abs=0.02)
    assert f"{span.end_s - span.start_s:.1f} s not measurable" in gym.book.text
    assert f"{span.end_s - span.start_s:.1f} s stay a gap: the sensor could not send them again" in gym.book.text
    assert gym.book.text.count("stay a gap") == 1
