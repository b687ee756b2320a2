"""A desk over made-up letters, a clock that stands still, and a logbook of lists."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import Any
from uuid import UUID

from floor_feed import HILL, LINK, gone, here, now, rest

from analysis.logbook.changes import Change
from analysis.logbook.entries import Trainee
from analysis.logbook.forgetting import Forgotten
from sensor.broker import Letter, LinkNews
from tui.book.forget import remove_files
from tui.floor.desk import FloorDesk
from tui.floor.gym import Gym
from tui.floor.plans import Plan
from tui.floor.running import Floor
from tui.home import Home
from tui.trouble import Trouble

COACH = UUID(int=0xC0)
NAMES = ("Mara Lindt", "Jonas Reiter", "Lea Amrein", "Tim Oberson", "Nadia Kunz", "Beat Furrer")


@dataclass
class StillClock:
    """Stands still until it is told to go on."""

    at_s: float = 0.0
    began_utc_us: int = 1_780_056_000_000_000

    def now_s(self) -> float:
        return self.at_s

    def utc_us(self) -> int:
        return self.began_utc_us + round(self.at_s * 1e6)

    async def sleep(self, duration_s: float) -> None:
        self.at_s += duration_s
        await asyncio.sleep(0)


@dataclass
class Pigeons:
    """A broker that keeps what it is given."""

    link: LinkNews = field(default_factory=LinkNews)
    sent: list[Letter] = field(default_factory=list)
    coming: asyncio.Queue[tuple[Letter, float]] = field(default_factory=asyncio.Queue)

    async def send(self, letter: Letter) -> bool:
        self.sent.append(letter)
        return self.link.is_up

    async def letters(self) -> AsyncIterator[tuple[Letter, float]]:
        while True:
            yield await self.coming.get()


@dataclass(frozen=True)
class Reached:
    epoch: str = ""
    through: int = 0
    noted_utc_us: int = 0
    refused: int = 0
    told: tuple[str, ...] = ()
    forgotten: tuple[Forgotten, ...] = ()


@dataclass
class Shelf:
    """A logbook of lists: what was applied, in its order."""

    applied: list[tuple[UUID, str, int]] = field(default_factory=list)
    marks: dict[UUID, Reached] = field(default_factory=dict)
    forgets: tuple[Forgotten, ...] = ()
    fails: list[Exception] = field(default_factory=list)
    people: dict[Trainee, str | None] = field(default_factory=dict)

    def mark(self, source: UUID) -> Reached:
        return self.marks.get(source, Reached())

    def apply(self, source: UUID, epoch: str, changes: Sequence[Change], *, called: str = "") -> Reached:
        if self.fails:
            raise self.fails.pop()
        self.applied += [(source, epoch, one.sequence) for one in changes]
        self.marks[source] = Reached(epoch, changes[-1].sequence)
        return replace(self.marks[source], forgotten=self.forgets)

    def trainee(self, name: str) -> Trainee | None:
        return next((one for one in self.people if one.name == name), None)

    def trainees(self) -> tuple[Trainee, ...]:
        return tuple(self.people)

    def noted_plan(self, trainee: UUID) -> str | None:
        return next((text for one, text in self.people.items() if one.id == trainee), None)


def no_plan(name: str, station: str) -> Plan:
    raise Trouble(f"No plan of {name} is written here.")


@dataclass
class Plans:
    """The plans of a home of one."""

    to_send: Callable[[str, str], Plan] = no_plan
    taken: list[str] = field(default_factory=list)

    def take(self, trainee: str, station: str) -> str:
        self.taken.append(station)
        return f"The plan of {trainee} is the one of {station}."


@dataclass
class Desk:
    """All of it: `give` takes letters as they come from the broker."""

    home: Home
    clock: StillClock = field(default_factory=StillClock)
    post: Pigeons = field(default_factory=Pigeons)
    book: Shelf = field(default_factory=Shelf)
    gym: Gym = field(default_factory=lambda: Gym(COACH))
    plans: Plans = field(default_factory=Plans)

    def __post_init__(self) -> None:
        self.floor = Floor(
            self.gym, self.post, self.book, clock=self.clock, home=self.home, remove=partial(remove_files, self.home)
        )
        self.desk = FloorDesk(self.floor, self.plans, where="mqtt://localhost", day=time_of_day)

    def give(self, *letters: tuple[str, bytes]) -> None:
        for topic, payload in letters:
            self.gym.take(topic, payload, self.clock.at_s, self.clock.utc_us())


def time_of_day(utc_us: int) -> str:
    """Return the time of day in UTC, so that it is the same everywhere."""
    minutes = utc_us // 60_000_000
    return f"{minutes // 60 % 24:02d}:{minutes % 60:02d}"


def made(folder: Path) -> Desk:
    return Desk(Home(folder / "home"))


def crowd(desk: Desk, count: int = 24) -> None:
    """Let stations be at all they can be at."""
    desk.post.link.came()
    for number in range(1, count + 1):
        name, who = f"rack-{number}", NAMES[number % len(NAMES)]
        desk.give(here(name))
        desk.give(_doing(name, number, trainee=who))
    if count >= 20:
        desk.give(gone("rack-20"))


def _doing(name: str, number: int, **who: Any) -> tuple[str, bytes]:
    match number:
        case 5:
            return now(name, count=3, hills=[HILL] * 3, pain=6, **who)
        case 7:
            return now(name, ended=True, count=5, hills=[HILL] * 5, phase="away", **who)
        case 9:
            return now(name, link={**LINK, "state": "lost"}, **who)
        case 11:
            return now(
                name, hills=[HILL, {**HILL, "outcome": "missed", "down_s": 0.4}], count=2, cue="fast down", **who
            )
        case 13:
            return now(
                name, stage="searching", count=0, hills=[], link={**LINK, "sensor": "", "state": "searching"}, **who
            )
        case 15:
            return now(name, stage="done", phase="away", **who)
    return (
        rest(name, 5.0 * number, **who)
        if number % 2
        else now(name, count=number % 8, hills=[HILL] * (number % 8), **who)
    )
