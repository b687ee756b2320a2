"""A locked logbook, a full disk, a fault of the analysis: the session goes on, says so, and keeps what it can."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest
from board_told import bout
from live_gym import Lookout, packet, told_of_itself
from test_cluster_log import Gym
from test_kinds_board import Stands

from analysis.logbook.book import Logbook
from sensor.recording import Recording, RecordingError
from sensor.source import Arrival
from tui.home import Home
from tui.session.later import AGAIN_S, QUIET_S, REMIND_S, Setbacks
from tui.session.session import FAULT


@pytest.fixture
def gym(tmp_path: Path) -> Iterator[Gym]:
    home = Home(tmp_path)
    with Logbook.open(home.logbook) as logbook:
        yield Gym(home, logbook)


@contextmanager
def another_writer(path: Path) -> Iterator[None]:
    """Somebody else writes, and takes long."""
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        yield
        other.execute("ROLLBACK")


def told(gym: Gym) -> list[str]:
    feed = gym.session._feed
    assert isinstance(feed, Lookout)
    return [moment.text for moment in feed.moments]


def test_a_locked_logbook_holds_nobody_up_and_gets_all_of_it_later(gym: Gym) -> None:
    with another_writer(gym.logbook.path):
        began_s = time.monotonic()
        gym.do(bout(0, 10.0, 6))
        gym.refine(bout(0, 10.0, 6))
        gym.wait(60.0)
        assert time.monotonic() - began_s < 5.0  # the logbook's own patience is 10 s, each time
        assert any("not in the log yet, and tried again" in text for text in told(gym))
        assert gym.counts == []
    gym.wait(60.0 + AGAIN_S)
    assert gym.counts == [6]
    gym.session.tick()
    assert told(gym)[-1] == "the log is complete again"


def test_what_waited_is_written_when_the_session_ends(gym: Gym) -> None:
    with another_writer(gym.logbook.path):
        gym.do(bout(0, 10.0, 6))
    gym.session.end()
    assert gym.counts == [6]


def test_where_nobody_lets_go_the_end_says_so(gym: Gym, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("analysis.logbook.base.WAIT_S", 0.1)
    with another_writer(gym.logbook.path):
        gym.do(bout(0, 10.0, 6))
        with pytest.raises(Exception, match="logbook"):
            gym.session.end()
    (path,) = Home(gym.logbook.path.parent).recordings_of("")
    with Recording.open(path) as kept:
        assert list(kept.arrivals())  # what was recorded can be analysed again


def test_a_full_disk_stops_the_recording_and_not_the_session(gym: Gym) -> None:
    gym.do(bout(0, 10.0, 6))
    recording = gym.keeper._recording
    assert recording is not None
    (pages,) = recording._db.execute("PRAGMA page_count").fetchone()
    recording._db.execute(f"PRAGMA max_page_count = {pages}")  # SQLite's own way to be full
    for number in range(400):
        gym.keeper.arrived(packet(10 * number))
    gym.wait(61.0)
    assert any("not recorded just now" in text and "full" in text for text in told(gym))
    recording._db.execute("PRAGMA max_page_count = 1000000")
    gym.keeper.arrived(packet(4000))
    gym.wait(61.0 + QUIET_S)
    assert told(gym)[-1] == "the recording goes on; what came meanwhile is missing in it"
    gym.session.end()
    assert gym.counts == [6]


def test_a_fault_of_the_analysis_is_told_and_the_packets_go_on_being_recorded(gym: Gym) -> None:
    gym.do(bout(0, 10.0, 6))
    gym.refine(bout(0, 10.0, 6))

    def broken(_: Arrival) -> list[object]:
        raise ZeroDivisionError("a slip")

    gym.track.push = broken  # type: ignore[method-assign,assignment]
    for number in range(3):
        gym.session.handle(packet(10 * number))
    assert told(gym).count(FAULT) == 1
    with pytest.raises(ZeroDivisionError, match="a slip"):
        gym.session.end()
    assert gym.counts == [6]
    (path,) = Home(gym.logbook.path.parent).recordings_of("")
    with Recording.open(path) as kept:
        assert [one.payload for one in kept.arrivals()][-3:] == [packet(10 * number).payload for number in range(3)]


def test_a_setback_is_told_again_while_it_lasts_and_once_when_it_is_over() -> None:
    clock = Stands()
    setbacks = Setbacks(clock)
    heard = []
    for at_s in (0.0, 1.0, REMIND_S - 1.0, REMIND_S + 1.0):
        clock.at_s = at_s
        setbacks.met("disk", "no room")
        heard.append(setbacks.lines())
    setbacks.is_over("disk", "room again")
    setbacks.is_over("disk", "room again")
    assert [*heard, setbacks.lines(), setbacks.lines()] == [("no room",), (), (), ("no room",), ("room again",), ()]


def test_only_what_cannot_be_written_is_a_setback() -> None:
    setbacks = Setbacks(Stands())
    with setbacks.recording():
        raise RecordingError("the disk is full")
    assert setbacks.lines() == ("not recorded just now: the disk is full",)
    with pytest.raises(ZeroDivisionError), setbacks.recording():
        raise ZeroDivisionError


def test_a_sensor_is_met_while_the_logbook_is_locked(gym: Gym) -> None:
    with another_writer(gym.logbook.path):
        gym.session.handle(told_of_itself())
        gym.do(bout(0, 10.0, 6))
    gym.session.end()
    assert gym.counts == [6]
