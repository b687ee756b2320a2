"""Who trains now, and which arrival is whose."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

from sensor.source import Arrival, Channel
from tui.control import Feed
from tui.person import Person

OpenPerson = Callable[[str, Feed], Person]
"""Begins a session for somebody, by name."""


class Route(Protocol):
    """Which arrival is whose."""

    @property
    def on(self) -> str:
        """Name of the one whose session is shown, and whom a key concerns."""
        ...

    def give(self, arrival: Arrival) -> None:
        """Pass one arrival on."""
        ...


class Alone:
    """Everything is one person's (`Route`).

    Attributes
    ----------
    on
        Whose.
    """

    def __init__(self, people: dict[str, Person], on: str) -> None:
        self._people = people
        self.on = on

    def give(self, arrival: Arrival) -> None:
        """Pass one arrival on."""
        self._people[self.on].give(arrival)


class Bar:
    """The people who train now on the same source.

    Parameters
    ----------
    open_person
        Begins a session.
    first
        Whose is first.
    """

    def __init__(self, open_person: OpenPerson, first: str) -> None:
        self._open_person = open_person
        self._feed: Feed | None = None
        self._latest: dict[tuple[str, Channel], Arrival] = {}
        self.people: dict[str, Person] = {}
        self.route = Alone(self.people, first)

    @property
    def on(self) -> Person | None:
        """Who is shown; None before anybody began."""
        return self.people.get(self.route.on)

    def begin(self, feed: Feed) -> None:
        """Begin the first session."""
        self._feed = feed
        self.take_over(self.route.on)

    def take_over(self, name: str) -> None:
        """Begin a session for somebody who has the bar from now on, alone; that of who had it is closed or gave way."""
        assert self._feed is not None
        person = self._open_person(name, self._feed)
        self.people.clear()
        self.people[name] = person
        self.route.on = name
        person.begin(tuple(self._latest.values()))

    def give(self, arrival: Arrival) -> None:
        """Take one arrival."""
        if arrival.channel is not Channel.DATA:
            self._latest[arrival.sensor_id, arrival.channel] = arrival
        self.route.give(arrival)

    @property
    def is_busy(self) -> bool:
        """Whether arrivals wait in somebody's way."""
        return any(person.is_busy for person in self.people.values())

    def work_off(self) -> None:
        """Take a few of the arrivals that wait."""
        for person in self.people.values():
            if person.is_busy:
                person.work_off(tuple(self._latest.values()))

    def tick(self) -> None:
        """Let time pass for everybody."""
        for person in tuple(self.people.values()):
            person.session.tick()

    def end(self) -> None:
        """Close every session; what one died of is raised once all are closed."""
        failed: list[Exception] = []
        for person in self.people.values():
            try:
                person.end()
            except Exception as error:
                failed.append(error)
        if failed:
            raise failed[0]
