"""`rungwise floor`: the coach's side of a gym, as a screen or as lines."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass, replace
from functools import partial

from analysis.logbook.book import Logbook
from sensor.broker import Access, Address, Broker
from sensor.source import SystemClock
from tui.book.forget import remove_files
from tui.book.moments import here_now
from tui.floor.desk import FloorDesk
from tui.floor.gym import Gym
from tui.floor.headless import keep_telling
from tui.floor.kept import read_words
from tui.floor.plans import Plan, known_at, plan_to_send, take_plan
from tui.floor.running import Floor
from tui.home import Home
from tui.occasion import Occasion
from tui.rooms import Library, rooms_of
from tui.running import new_runner
from tui.session.control import Driver, Feed
from tui.trouble import clear_errors

ACCOUNT = "coach"
"""Name of the account at the broker, unless the address says another."""
_LETTERS = 8
"""Of our logbook's UUID, so that two coaches of one account do not throw each other out (OASIS MQTT 3.1.1, 3.1.4)."""


@dataclass(frozen=True, slots=True)
class _Opened:
    desk: FloorDesk
    drive: Driver
    logbook: Logbook


@dataclass(frozen=True, slots=True)
class _Plans:
    """The plans of a home (`tui.floor.desk.Plans`)."""

    home: Home
    logbook: Logbook

    def to_send(self, trainee: str, station: str) -> Plan:
        return plan_to_send(self.home, self.logbook, trainee, station)

    def take(self, trainee: str, station: str) -> str:
        return take_plan(self.home, self.logbook, trainee, station)


def open_floor(held: ExitStack, home: Home, address: Address, access: Access) -> Occasion:
    """Make ready the dashboard with every station at a glance."""
    made = held.enter_context(_opened(home, address, access))
    library = Library(home=home, logbook=made.logbook, who=lambda: _known(made), today=lambda: here_now().date())
    return Occasion(driver=made.drive, floor=made.desk, rooms=rooms_of(library))


def tell_floor(home: Home, address: Address, access: Access) -> None:
    """Print who does what until it is interrupted, and keep what comes."""
    opened = _opened(home, address, access)
    with clear_errors(), opened as made, suppress(KeyboardInterrupt), new_runner(network=True) as runner:
        runner.run(_both(made))


@contextmanager
def _opened(home: Home, address: Address, access: Access) -> Iterator[_Opened]:
    with Logbook.open(home.logbook) as logbook:
        coach, clock = logbook.station(), SystemClock()
        if access.password is not None and not address.user:
            address = replace(address, user=ACCOUNT)
        gym = Gym(coach, address.gym, read_words(home.words))
        name = f"{ACCOUNT}-{str(coach)[:_LETTERS]}"
        broker = Broker(address, access, name=name, clock=clock, topics=gym.topics)
        floor = Floor(gym, broker, logbook, clock=clock, home=home, remove=partial(remove_files, home))
        desk = FloorDesk(floor, _Plans(home, logbook), where=str(replace(address, user="")))

        async def drive(feed: Feed) -> None:
            async with broker:
                await floor.run()

        yield _Opened(desk, drive, logbook)


def _known(made: _Opened) -> str:
    """Return whose rooms are opened: who trains at the chosen station, else who trained last."""
    chosen = known_at(made.logbook, made.desk.trainee, made.desk.name) or made.logbook.last_trainee()
    return chosen.name if chosen else ""


async def _both(made: _Opened) -> None:
    from tui.words.text import TextFeed

    async with asyncio.TaskGroup() as tasks:
        tasks.create_task(made.drive(TextFeed()))
        tasks.create_task(keep_telling(made.desk))
