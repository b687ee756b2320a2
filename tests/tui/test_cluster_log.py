"""A session of cluster sets that is broken off: what was done up to that moment is in the log."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from board_told import bout
from live_gym import Lookout, told_of_itself
from test_kinds_board import CLUSTER, ByHand, Stands

from analysis.logbook.book import Logbook
from analysis.logbook.entries import RunKind
from analysis.logbook.people import newcomer
from analysis.motion.events import BoutClosed, BoutOpened, BoutRefined, Event, EventId
from analysis.motion.mounts import Mount
from analysis.motion.results import Bout
from analysis.training.records import SessionRecord
from sensor.calibration import Calibration
from sensor.source import Arrival, Channel
from tui.home import Home
from tui.session.board import Board
from tui.session.keeper import SessionKeeper
from tui.session.plans import DEMO_TRAINING, Plan
from tui.session.session import Session

MARA = newcomer("Mara Lindt")
PLAN = Plan(trainee=MARA, prescription=CLUSTER, mount=Mount.BODY, rung="pull-up", training=DEMO_TRAINING)


class Gym:
    """A session whose events are made by hand, and what the log holds of it."""

    def __init__(self, home: Home, logbook: Logbook) -> None:
        self.clock, self.track, self.logbook = Stands(), ByHand(), logbook
        self.keeper = SessionKeeper(home, logbook, PLAN, self.clock, lambda _: Calibration(), None)
        self.session = Session(
            track=self.track,  # type: ignore[arg-type]
            board=Board(trainee=MARA.name, prescription=CLUSTER, began_s=0.0),
            clock=self.clock,
            feed=Lookout(),
            keeper=self.keeper,
        )
        self.session.handle(told_of_itself())

    def happen(self, event: Event) -> None:
        self.clock.at_s = event.emitted_s
        self.track.next = [event]
        self.session.handle(Arrival("clip", self.clock.at_s, Channel.DATA, b""))

    def do(self, done: Bout) -> None:
        self.happen(BoutOpened(id=EventId(0, 0), at_s=done.start_s, emitted_s=done.start_s))
        self.happen(BoutClosed(id=EventId(0, 0), at_s=done.end_s, emitted_s=done.end_s, bout=done))

    def refine(self, done: Bout) -> None:
        self.happen(
            BoutRefined(
                id=EventId(0, 0), at_s=done.end_s, emitted_s=self.clock.at_s, bout=done, supersedes=(done.number,)
            )
        )

    def wait(self, until_s: float) -> None:
        self.clock.at_s = until_s
        self.session.tick()

    @property
    def logged(self) -> SessionRecord:
        """What somebody reads who opens the logbook now: the session may be broken off at any moment."""
        with Logbook.open(self.logbook.path) as book:
            record = book.session(self.keeper.session_id)
        assert record is not None
        return record

    @property
    def counts(self) -> list[int]:
        return [one.verdict.count for one in self.logged.sets]


@pytest.fixture
def gym(tmp_path: Path) -> Iterator[Gym]:
    home = Home(tmp_path)
    with Logbook.open(home.logbook) as logbook:
        made = Gym(home, logbook)
        yield made
        made.session.end()  # what was broken off for the test is no file left open


def test_a_session_broken_off_in_a_gap_has_what_was_done_of_the_set(gym: Gym) -> None:
    first = bout(0, 10.0)
    gym.do(first)
    assert gym.counts == [3]
    assert len(gym.logged.sets[0].reps) == 3
    assert gym.logged.ended_utc_us is None
    gym.refine(first)
    assert gym.counts == [3]


def test_the_whole_set_takes_the_place_of_its_parts(gym: Gym) -> None:
    """Six reps are asked for, by two, with a gap after each two."""
    at_s, counts = 10.0, []
    for number in range(6):
        part = bout(number, at_s, 2)
        gym.do(part)
        counts.append(gym.counts)
        at_s = part.end_s + (20.0 if (number + 1) % 3 else 100.0)
    assert counts == [[2], [4], [6], [6, 2], [6, 4], [6, 6]]
    assert [one.number for one in gym.logged.sets] == [1, 2]


def test_a_set_whose_gap_went_by_stays_with_the_next_one_in_parts(gym: Gym) -> None:
    first, second = bout(0, 10.0), bout(1, 200.0, 2)
    gym.do(first)
    gym.wait(first.end_s + 40)
    gym.do(second)
    assert gym.counts == [3, 2]


def test_a_session_that_ended_has_its_sets_once(gym: Gym) -> None:
    first = bout(0, 10.0)
    gym.do(first)
    gym.do(bout(1, first.end_s + 20))
    gym.do(bout(2, 200.0))
    gym.session.end()
    assert gym.counts == [6, 3]
    assert gym.logged.ended_utc_us is not None
    runs = gym.logbook.runs(gym.keeper.session_id)
    assert [one.kind for one in runs] == [RunKind.LIVE, RunKind.REFINED]


def test_a_part_that_turns_out_to_be_none_answers_for_nothing_at_the_end(gym: Gym) -> None:
    first = bout(0, 10.0)
    gym.do(first)
    gym.refine(bout(0, 10.0, 0))
    gym.session.end()
    assert gym.counts == []
