"""Two sensors in one session: both are in the recording, on one clock; the first one counts, in a replay as well."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from virtual_session import SENSOR, Gym, arrivals

from analysis.motion.events import BoutRefined
from sensor.recording import Recording
from sensor.source import Arrival, Channel
from sensor.virtual.motion import TraineeFeed
from sensor.virtual.script import Beat, regular_script
from tui.replay.replay import recomputed_events, stored_events
from tui.session.stored import encode_event

BELT = TraineeFeed(regular_script(trainee="Jonas Reiter", sets=1, reps=4, beat=Beat(1, 1, 2, 0), rest_s=10), seed=3)
BAR = TraineeFeed(regular_script(trainee="Jonas Reiter", sets=1, reps=7, beat=Beat(1, 0, 1, 0), rest_s=10), seed=4)


def both() -> Iterator[Arrival]:
    """Yield the belt's arrivals, and those of a bar sensor whose motion would count otherwise, as they come."""
    streams = [list(arrivals(BELT)), [replace(a, sensor_id="bar", at_s=a.at_s + 0.01) for a in arrivals(BAR)]]
    yield from sorted((a for stream in streams for a in stream), key=lambda arrival: arrival.at_s)


def test_both_are_recorded_and_the_first_one_counts(gym: Gym) -> None:
    session = gym.opening().open_session("", gym.book)
    for arrival in both():
        gym.give(session, arrival)
    session.end()
    (record,) = gym.records()
    assert [one.verdict.count for one in record.sets] == [4]
    (path,) = gym.recordings()
    with Recording.open(path) as recording:
        assert list(recording.arrivals()) == list(both())
        kept = list(recording.in_order())
        events = stored_events(recording)
        assert [encode_event(e) for e in events] == [encode_event(e) for e in recomputed_events(recording)]
    assert [e.bout.count for e in events if isinstance(e, BoutRefined) and e.bout.reps] == [4]
    for name, feed in ((SENSOR, BELT), ("bar", BAR)):
        sent = [a.payload for a in arrivals(feed) if a.channel is Channel.DATA]
        assert [a.payload for a in kept if a.sensor_id == name and a.channel is Channel.DATA] == sent
