"""Many sensors in one process, without a screen: each a session of its own, and a fault ends its own session alone."""

from __future__ import annotations

import asyncio
from datetime import date
from pathlib import Path

import pytest
from bridged_sensor import Board, gateway
from virtual_session import Gym, HandClock, Notebook, arrivals

import tui.training.unwatched
from analysis.logbook.book import Logbook
from analysis.motion.mounts import Mount
from analysis.training.records import SetRecord
from sensor.gateway import GatewaySettings
from sensor.gateway_topics import Bridge
from sensor.source import Arrival, Channel, SystemClock
from sensor.virtual.motion import TraineeFeed
from sensor.virtual.script import Beat, regular_script
from tests.brokers.process import BrokerProcess
from tui.home import Home
from tui.sensors.sensors import SensorFile
from tui.session.opening import Opening
from tui.session.plans import DEMO_TRAINING, demo_plan
from tui.session.track import Track, motion_for
from tui.training.gather import Gathering

SPEED = 4.0
WORN = {"clip-07": "Mara Lindt", "clip-08": "Jonas Reiter", "clip-09": "Ada Brunn"}
FEEDS = {
    name: TraineeFeed(regular_script(trainee="T", sets=1, reps=reps, beat=Beat(1, 1, 1, 0), rest_s=12), seed=reps)
    for name, reps in zip(WORN, (4, 5, 6), strict=True)
}
LONGEST_S = max(max(one.at_s for one in arrivals(feed)) for feed in FEEDS.values())


def sets_of(logbook: Logbook) -> dict[str, list[int]]:
    return {
        who.name: [len(done.reps) for one in logbook.sessions(who.id, with_reps=True) for done in one.sets]
        for who in logbook.trainees()
    }


async def gathered(broker: BrokerProcess, home: Home) -> tuple[dict[str, list[int]], list[str], list[str]]:
    clock, lines = SystemClock(SPEED), list[str]()
    boards = [Board(feed, clock, name=name) for name, feed in FEEDS.items()]
    boards.append(Board(FEEDS["clip-07"], clock, name="clip-30"))  # nobody wears it
    with Logbook.open(home.logbook) as logbook:
        settings = GatewaySettings(bridge=Bridge.parse(f"{broker.url}/+"), stall_s=30.0)
        gathering = Gathering(home, logbook, clock, settings, worn=WORN, tell=lines.append)
        running = asyncio.create_task(gathering.run())
        async with gateway(broker.url, boards, clock, []):
            await clock.sleep(LONGEST_S)
            await asyncio.sleep(5)  # what is still on its way through a busy computer
        running.cancel()
        await asyncio.gather(running, return_exceptions=True)
        assert running.cancelled()
        return sets_of(logbook), lines, gathering.failed


async def test_each_sensor_is_a_session_of_who_wears_it(broker: BrokerProcess, tmp_path: Path) -> None:
    home = Home(tmp_path)
    sets, lines, failed = await gathered(broker, home)
    assert not failed
    assert sets == {"Mara Lindt": [4], "Jonas Reiter": [5], "Ada Brunn": [6]}
    assert len(home.recordings_of("")) == 3
    assert any(line.startswith("clip-30 is heard, and nobody is said to wear it") for line in lines)
    for name in WORN.values():
        assert any(line.startswith(f"{name}: set 1, seen whole") for line in lines)


async def test_a_fault_ends_its_own_session_alone(
    hub: BrokerProcess, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    take = tui.training.unwatched.UnwatchedSession.take

    def faulty(self: tui.training.unwatched.UnwatchedSession, came: list[Arrival]) -> None:
        if any(one.channel is Channel.DATA and one.sensor_id == "clip-08" for one in came):
            raise RuntimeError("made up")
        take(self, came)

    monkeypatch.setattr(tui.training.unwatched.UnwatchedSession, "take", faulty)
    sets, lines, failed = await gathered(hub, Home(tmp_path))
    assert failed == ["Jonas Reiter"]
    assert sets["Mara Lindt"] == [4]
    assert sets["Ada Brunn"] == [6]
    assert "Jonas Reiter: this session ended by a fault (made up); the others go on" in lines
    assert "made up" in (tmp_path / "crash.log").read_text()


def logged(
    folder: Path, feed: TraineeFeed, *, watched: bool, together: int = 1, lost_s: tuple[float, float] = (0.0, 0.0)
) -> list[SetRecord]:
    home, clock = Home(folder), HandClock()
    with Logbook.open(home.logbook) as logbook:
        gym, book = Gym(home, logbook, clock, Notebook()), Notebook()
        opening = Opening(
            home=home,
            logbook=logbook,
            clock=clock,
            plan_for=lambda _: demo_plan(logbook, date(2026, 3, 2)),
            sensors=SensorFile(home.sensors),
            watched=watched,
        )
        session = opening.open_session("", book)
        session.begin()
        came = [
            one for one in arrivals(feed) if one.channel is not Channel.DATA or not lost_s[0] < one.at_s < lost_s[1]
        ]
        for at in range(0, len(came), together):
            clock.at_s = came[min(at + together, len(came)) - 1].at_s
            if isinstance(session, tui.training.unwatched.UnwatchedSession):
                session.take(came[at : at + together])
            else:
                session.handle(came[at])
        session.end()
        return [done for one in gym.records() for done in one.sets]


@pytest.mark.parametrize("together", [1, 7, 50])
def test_sets_are_those_of_a_session_that_was_watched(tmp_path: Path, together: int) -> None:
    """Reps and phases of the refined answer are the same, to the last digit, however the packets are put together."""
    feed = FEEDS["clip-09"]
    (watched,) = logged(tmp_path / "watched", feed, watched=True)
    (alone,) = logged(tmp_path / "alone", feed, watched=False, together=together)
    assert alone.reps == watched.reps
    assert (alone.start_s, alone.end_s) == (watched.start_s, watched.end_s)


def test_the_sensors_clock_is_known_as_late_as_anything_happened() -> None:
    """A clock that is one part in a hundred slow is found as by a session that asks after each packet."""
    track = tui.training.unwatched.UnwatchedTrack(
        motion_for(Mount.BODY, DEMO_TRAINING.ladder.rungs[0].prescription(0), live=False)
    )
    for arrival in arrivals(FEEDS["clip-09"], clock_ratio=1.01):
        track.push(arrival)
    track.finish()
    assert track.clock == Track.clock.fget(track)  # type: ignore[attr-defined]
    assert track.clock.ratio == pytest.approx(1.01, abs=0.002)


def test_a_hole_that_stays_is_read_as_in_a_session_that_was_watched(tmp_path: Path) -> None:
    """Seven seconds in mid-set never come: what is left of the set is the same, and less than the whole."""
    feed, lost_s = FEEDS["clip-09"], (12.0, 19.0)
    watched = logged(tmp_path / "watched", feed, watched=True, lost_s=lost_s)
    alone = logged(tmp_path / "alone", feed, watched=False, together=10, lost_s=lost_s)
    assert [one.reps for one in alone] == [one.reps for one in watched]
    assert 0 < sum(len(one.reps) for one in alone) < 6
