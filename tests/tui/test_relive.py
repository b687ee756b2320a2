"""What was done before a session was broken off is taken again: told by nobody, kept anew, and then it goes on."""

from __future__ import annotations

from live_gym import ASKED, Clock, Kept, Lookout

from analysis.motion.events import BoutClosed, BoutOpened, Event, EventId
from analysis.training.corrections import Act
from analysis.training.pointing import Draft
from sensor.clock import ClockEstimate
from sensor.postures import Postures, Seen
from sensor.source import Arrival, Channel, LinkState
from tests.tui.board_told import TRUE_CLOCK, bout
from tui.mending.key_wishes import Wish
from tui.session.board import Board
from tui.session.messages import Link, Stage
from tui.session.session import Session


class Heard:
    """A track that hears a set of five in the arrivals at 60 s and 160 s."""

    def __init__(self) -> None:
        self.link = Link(state=LinkState.SEARCHING, sensor="clip")
        self.clock: ClockEstimate = TRUE_CLOCK
        self.postures, self.felt = Postures(), None

    def finish(self) -> list[Event]:
        return []

    @property
    def seen(self) -> Seen:
        return self.postures.seen()

    def push(self, arrival: Arrival) -> list[Event]:
        if arrival.channel is Channel.LINK:
            state = LinkState.LOST if arrival.is_away else LinkState(arrival.payload.decode())
            self.link = Link(state=state, sensor="clip")
        if arrival.channel is not Channel.DATA or arrival.at_s not in (60.0, 160.0):
            return []
        one = bout(int(arrival.at_s // 100), arrival.at_s - 30.0, 5)
        opened = BoutOpened(at_s=one.start_s, emitted_s=arrival.at_s, id=EventId(one.number, 0))
        return [opened, BoutClosed(at_s=one.end_s, emitted_s=arrival.at_s, id=EventId(one.number, 1), bout=one)]


def broken_off(*wishes: Wish) -> tuple[Session, Lookout, Kept]:
    clock, feed, kept = Clock(), Lookout(), Kept("Mara Lindt")
    clock.at_s = 200.0
    board = Board(trainee="Mara Lindt", prescription=ASKED, began_s=0.0)
    session = Session(track=Heard(), board=board, clock=clock, feed=feed, keeper=kept)  # type: ignore[arg-type]
    data = [Arrival("clip", at_s, Channel.DATA, b"") for at_s in (30.0, 60.0, 90.0, 160.0, 170.0)]
    session.after([Arrival("clip", 0.0, Channel.LINK, b"connected"), *data], wishes)
    return session, feed, kept


def relive(session: Session) -> None:
    while not session.relive(1):
        pass


def test_sets_and_rest_stand_where_they_stood_and_the_sensor_is_looked_for() -> None:
    session, feed, kept = broken_off()
    relive(session)
    session.tick()
    shown = feed.shown[-1]
    assert (shown.stage, shown.set_number, len(shown.closed)) == (Stage.REST, 3, 2)
    last_s = session.board.sets[-1].end_s
    assert shown.rest_left_s == ASKED.rest_s - (200.0 - last_s)
    assert shown.link.is_gone
    assert [(one.channel, one.payload, one.at_s) for one in kept.arrivals] == [(Channel.LINK, b"away", 200.0)]


def test_nothing_of_before_is_told_again() -> None:
    session, feed, _ = broken_off()
    relive(session)
    assert not [one for one in feed.moments if one.kind in ("set", "rep", "verdict", "rest")]


def test_a_set_that_a_key_left_out_stays_left_out() -> None:
    session, _, _ = broken_off(Wish(90.0, Draft(Act.DROP, 30.0, 55.0)))
    relive(session)
    assert [one.start_s for one in session.board.sets] == [130.0]
    session, _, _ = broken_off(Wish(180.0, Draft(Act.DROP, 130.0, 155.0)))
    relive(session)
    assert [one.start_s for one in session.board.sets] == [30.0]


def test_who_leaves_while_it_is_read_loses_nothing() -> None:
    session, _, kept = broken_off()
    session.relive(2)
    session.end()
    assert len(session.board.sets) == 2
    assert kept.ends == 1
