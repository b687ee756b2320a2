from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from at_the_keys import Clock, Person, write_plan
from virtual_session import Gym, HandClock, Notebook

from analysis.logbook.book import Logbook
from tui.home import Home


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


@pytest.fixture
def mine(done: Gym, tmp_path: Path) -> Iterator[Gym]:
    """A copy of the demonstration's session that may be written to."""
    shutil.copytree(done.home.folder, tmp_path / "mine")
    home = Home(tmp_path / "mine")
    with Logbook.open(home.logbook) as logbook:
        yield Gym(home, logbook, HandClock(), Notebook())


@pytest.fixture
def jonas(tmp_path: Path) -> Iterator[Person]:
    write_plan(Home(tmp_path))
    with Logbook.open(Home(tmp_path).logbook) as book:
        yield Person(tmp_path, book, Clock())
