"""While what was recorded is read again, in a thread, everything else goes on: clocks, keys, packets, the screen."""

from __future__ import annotations

from threading import Event as Gate

import pytest
from live_gym import ASKED, Clock, Kept, Lookout

from analysis.motion.events import Event
from analysis.motion.samples import Samples
from sensor.source import Arrival, Channel, HostClock, LinkState
from tests.tui.live_gym import Silence, packet, told_of_itself
from tests.tui.screen_feed import snapshot
from tui.session.board import Board
from tui.session.control import Feed
from tui.session.messages import Offer, Stage
from tui.session.session import Session
from tui.session.track import Track
from tui.training.bar import Bar
from tui.training.person import Person

CONNECTED = Arrival("clip", 0.0, Channel.LINK, LinkState.CONNECTED.value.encode())
PAST = (CONNECTED, told_of_itself(), packet(0), packet(10))


class Slow(Silence):
    """A motion core that reads nothing before it is let."""

    def __init__(self) -> None:
        self.gate = Gate()
        self.read = 0

    def push_live(self, samples: Samples) -> list[Event]:
        assert self.gate.wait(20.0)
        self.read += len(samples)
        return []


class Room:
    """Somebody whose first session rests, and whose next one is read again, slowly."""

    def __init__(self) -> None:
        self.clock, self.feed, self.slow, self.kept = Clock(), Lookout(), Slow(), Kept("Mara Lindt")
        self.bar = Bar(("Mara Lindt",), self.clock, self._person, lambda _: "")
        self.bar.begin(self.feed)
        self.bar.show("Mara Lindt", snapshot(stage=Stage.REST, rest_left_s=40.0, offers=frozenset({Offer.DROP})))
        self.bar.mend(self.bar.people["Mara Lindt"], lambda _, feed: self._again(feed))

    def _person(self, name: str, feed: Feed) -> Person:
        return Person(name, self._session(feed, Track(Silence()), Kept(name)), self.clock)

    def _again(self, feed: Feed) -> Session:
        session = self._session(feed, Track(self.slow), self.kept)
        session.after(PAST, here="read again")
        return session

    def _session(self, feed: Feed, track: Track, kept: Kept) -> Session:
        board = Board(trainee="Mara Lindt", prescription=ASKED, began_s=0.0)
        clock: HostClock = self.clock
        return Session(track=track, board=board, clock=clock, feed=feed, keeper=kept)

    def read(self) -> None:
        self.slow.gate.set()
        while self.bar.is_busy:
            self.bar.work_off()


@pytest.fixture
def room() -> Room:
    return Room()


def test_the_rest_clock_goes_on_and_says_how_far_the_reading_is(room: Room) -> None:
    room.bar.work_off()  # returns although nothing is read yet
    for at_s, left_s in ((0.0, 40.0), (12.5, 27.5), (45.0, -5.0)):
        room.clock.at_s = at_s
        room.bar.tick()
        shown = room.feed.shown[-1]
        assert (shown.stage, shown.rest_left_s) == (Stage.REST, left_s)
        assert shown.read_again == 0.0
    room.read()
    room.bar.tick()
    assert room.feed.shown[-1].read_again is None
    assert room.feed.moments[-1].text == "read again: 0 of 3 sets done so far"


def test_no_key_mends_what_is_not_known_yet(room: Room) -> None:
    room.bar.tick()
    assert room.feed.shown[-1].offers == frozenset()
    room.read()
    room.bar.tick()
    assert Offer.MOUNT in room.feed.shown[-1].offers


def test_what_comes_meanwhile_is_recorded_at_once_and_read_behind_the_rest(room: Room) -> None:
    room.bar.work_off()
    room.bar.give(packet(20))
    assert room.kept.arrivals == [packet(20)]
    assert room.slow.read == 0
    room.read()
    assert room.kept.arrivals == [packet(20)]  # once
    assert room.slow.read == 30  # three packets of ten samples


def test_who_leaves_meanwhile_waits_for_what_is_being_read(room: Room) -> None:
    room.bar.work_off()
    room.slow.gate.set()
    room.bar.end()
    assert not room.bar.is_busy
    assert room.kept.ends == 1


def test_what_breaks_the_reading_is_told_and_costs_no_packet(room: Room) -> None:
    def broken(samples: Samples) -> list[Event]:
        raise ZeroDivisionError

    room.slow.push_live = broken  # type: ignore[method-assign]
    room.read()
    room.bar.give(packet(20))
    assert room.kept.arrivals == [packet(20)]
    assert any("a fault of the program" in one.text for one in room.feed.moments)
    with pytest.raises(ZeroDivisionError):
        room.bar.end()
    assert room.kept.ends == 1
