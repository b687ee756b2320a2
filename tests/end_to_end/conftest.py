from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from virtual_session import HandClock, Notebook, arrivals

from analysis.logbook.book import Logbook
from analysis.training.records import SessionRecord
from sensor.source import Arrival
from sensor.virtual.motion import FeedSpec, TraineeFeed
from tui.home import Home, day_of
from tui.opening import Opening
from tui.plans import Plan, demo_plan
from tui.session import Session


@dataclass
class Gym:
    """A home with an open logbook, and a clock that stands where it is put."""

    home: Home
    logbook: Logbook
    clock: HandClock
    book: Notebook

    def opening(self, plan_for: Callable[[str], Plan] | None = None) -> Opening:
        today = day_of(self.clock.utc_us())
        return Opening(
            home=self.home,
            logbook=self.logbook,
            clock=self.clock,
            plan_for=plan_for or (lambda _: demo_plan(self.logbook, today)),
        )

    def run(self, session: Session, feed: FeedSpec | None = None, *, clock_ratio: float = 1.0) -> None:
        """Put a whole virtual session through, a tick of the screen after each packet."""
        for arrival in arrivals(feed or TraineeFeed(), clock_ratio=clock_ratio):
            self.give(session, arrival)

    def give(self, session: Session, arrival: Arrival) -> None:
        self.clock.at_s = max(self.clock.at_s, arrival.at_s)
        session.handle(arrival)
        session.tick()

    def records(self) -> list[SessionRecord]:
        return [one for who in self.logbook.trainees() for one in self.logbook.sessions(who.id, with_reps=True)]

    def recordings(self) -> list[Path]:
        return self.home.recordings_of("")


def _gym(folder: Path) -> Iterator[Gym]:
    home = Home(folder)
    with Logbook.open(home.logbook) as logbook:
        yield Gym(home, logbook, HandClock(), Notebook())


@pytest.fixture
def gym(tmp_path: Path) -> Iterator[Gym]:
    yield from _gym(tmp_path)


@pytest.fixture(scope="session")
def done(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Gym]:
    """The demonstration's session, done once; tests only look at it."""
    for gym in _gym(tmp_path_factory.mktemp("done")):
        session = gym.opening().open_session("", gym.book)
        session.begin()
        gym.run(session)
        session.end()
        yield gym
