"""What the coach's screens see, and what they may do; no screen in here."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from typing import Protocol
from uuid import uuid4

from tui.floor.needs import Look
from tui.floor.plans import Plan
from tui.floor.running import Floor
from tui.floor.station import Station
from tui.floor.view import (
    WORD_SHOWN_S,
    FloorView,
    OpenView,
    TileView,
    open_view,
    others_words,
    records_words,
    tile_view,
    word_line,
)
from tui.floor.words import Word
from tui.session.messages import Stage
from tui.share.checked import check, schema_of
from tui.share.topics import Kind


class Plans(Protocol):
    """The plans here, by the names of trainee and station; each may take a while, and raises `Trouble`."""

    def to_send(self, trainee: str, station: str) -> Plan:
        """Return the plan that is sent."""
        ...

    def take(self, trainee: str, station: str) -> str:
        """Let the station's count here, too; return what there is to say."""
        ...


def local_time(utc_us: int) -> str:
    """Return the time of day here, 14:03."""
    return datetime.fromtimestamp(utc_us / 1e6, UTC).astimezone().strftime("%H:%M")


class FloorDesk:
    """The coach's desk.

    Parameters
    ----------
    floor
        What runs behind it.
    plans
        Reads and keeps plans.
    where
        The broker, as a station is told to reach it.
    day
        From µs since 1970-01-01 UTC to the time of day here.

    Attributes
    ----------
    where
        As given.
    name
        The station that was looked at last; empty before the first.
    """

    def __init__(self, floor: Floor, plans: Plans, *, where: str, day: Callable[[int], str] = local_time) -> None:
        self.where, self.name = where, ""
        self._floor, self._plans, self._day = floor, plans, day
        self._key_s: float | None = None
        self._away_utc_us: int | None = None
        self._counts: dict[str, tuple[int, float]] = {}

    @property
    def trainee(self) -> str:
        """Who trains at the station that was looked at last; empty where nobody does."""
        return self.trainee_at(self.name)

    def trainee_at(self, name: str) -> str:
        """Return who trains at a station; empty where nobody does."""
        station = self._floor.gym.station(name)
        return station.now.trainee if station and station.now else ""

    def is_over(self, name: str) -> bool:
        """Whether the session at a station is done, so that no set is to come."""
        station = self._floor.gym.station(name)
        return bool(station and station.now and station.now.stage is Stage.DONE)

    def pressed(self) -> None:
        """Take note of a key: nothing moves under it."""
        self._key_s = self._floor.clock.now_s()

    def time(self) -> str:
        """Return the time of day here."""
        return self._day(self._floor.clock.utc_us())

    def look(self) -> FloorView:
        """Return all stations as they are now."""
        at_s, utc_us = self._floor.clock.now_s(), self._floor.clock.utc_us()
        tiles = [self._tile(station, look, at_s, utc_us) for station, look in self._look(at_s, utc_us)]
        return FloorView(tiles=tuple(tiles), broker=self._broker(), trouble=self._trouble())

    def opened(self, name: str) -> OpenView:
        """Return one station as it is now."""
        at_s, utc_us, gym = self._floor.clock.now_s(), self._floor.clock.utc_us(), self._floor.gym
        looks = self._look(at_s, utc_us)
        station, look = next(found for found in looks if found[0].name == name)
        intake = gym.intake_of(station)
        records = records_words(intake) if intake else ""
        view = open_view(self._tile(station, look, at_s, utc_us), station, gym.words, records, at_s, self._day)
        others = others_words([(one.name, why) for one, why in looks], name)
        return replace(view, others=others, broker=self._broker())

    def _tile(self, station: Station, look: Look, at_s: float, utc_us: int) -> TileView:
        said = word_line(self._floor.gym.words, station.name, utc_us, self._day)
        return tile_view(station, look, said, at_s)

    def _look(self, at_s: float, utc_us: int) -> Sequence[tuple[Station, Look]]:
        self._floor.gym.is_deaf = not self._floor.link.is_up
        return self._floor.gym.look(at_s, utc_us, self._key_s)

    def note(self, name: str, text: str) -> None:
        """Send a note to whoever trains at a station now."""
        self._say(name, {"what": "note", "text": text})

    def target(self, name: str, reps: int | None, rest_s: float | None, tempo: str | None) -> None:
        """Change what is asked from the next set on; None leaves as it is."""
        self._say(name, {"what": "target", "text": "", "reps": reps, "rest_s": rest_s, "tempo": tempo})

    async def plan(self, name: str) -> Plan:
        """Return the plan of whoever trains at a station.

        Raises
        ------
        Trouble
            When there is none, or it cannot be read.
        """
        return await asyncio.to_thread(self._plans.to_send, self.trainee_at(name), name)

    def send_plan(self, name: str, plan: Plan) -> str:
        """Send a plan to a station; return what there is to say about that."""
        self._say(name, {"what": "plan", "text": plan.text, "base": plan.base})
        return f"Plan of {plan.trainee} sent to {name}."

    async def take_plan(self, name: str) -> str:
        """Let the plan that a station told count here, too; return what there is to say about that.

        Raises
        ------
        Trouble
            When there is none, or it cannot be written.
        """
        return await asyncio.to_thread(self._plans.take, self.trainee_at(name), name)

    def _say(self, name: str, data: dict[str, object]) -> None:
        whole = {"word": str(uuid4()), "trainee": self.trainee_at(name), **data}
        check(whole, schema_of(Kind.WORD))
        self._floor.say(Word(station=name, data=whole, sent_utc_us=self._floor.clock.utc_us()))

    def _broker(self) -> str:
        """Say since when the broker is not there, and why; empty while it is."""
        link = self._floor.link
        if link.is_up:
            self._away_utc_us = None
            return ""
        if self._away_utc_us is None:
            self._away_utc_us = self._floor.clock.utc_us()
        if not link.connections and not link.why:
            return f"Connecting to {self.where} …"
        again = "It is tried again by itself; what is given to this program counts once it is started anew."
        again = again if link.lasts else "It comes back by itself."
        return f"No broker since {self._day(self._away_utc_us)}: {link.why} {again}"

    def _trouble(self) -> str:
        """Say what is wrong as long as it is, and what came to know for a while."""
        return self._floor.trouble or self._dropped() or self._unread() or self._newest()

    def _dropped(self) -> str:
        count = self._floor.link.dropped
        if not self._is_fresh("", count):
            return ""
        return f"{count} letters came faster than they could be read; records among them are sent again."

    def _unread(self) -> str:
        said = (
            unread_words(one)
            for one in self._floor.gym.stations()
            if self._is_fresh(one.name, one.unreadable + one.dropped)
        )
        return next(said, "")

    def _newest(self) -> str:
        utc_us, said = self._floor.news[-1] if self._floor.news else (0, "")
        return said if self._floor.clock.utc_us() - utc_us < WORD_SHOWN_S * 1e6 else ""

    def _is_fresh(self, what: str, count: int) -> bool:
        """Whether a count of what went wrong rose within a while: what is over needs nobody any more."""
        now_s = self._floor.clock.now_s()
        if count != self._counts.get(what, (0, 0.0))[0]:
            self._counts[what] = (count, now_s)
        return what in self._counts and now_s - self._counts[what][1] < WORD_SHOWN_S

    def news(self) -> tuple[str, ...]:
        """Return what came to know lately, the newest first, each with its time of day."""
        return tuple(f"{self._day(utc_us)} {said}" for utc_us, said in reversed(self._floor.news))


def unread_words(station: Station) -> str:
    """Say what could not be read of a station, and what to do; empty where all could."""
    if station.unreadable:
        return f"{station.name} sends what this Rungwise cannot read ({station.refusal}): update the older of the two."
    if station.dropped:
        return f"{station.name} sends more than is read: {station.dropped} letters were left out."
    return ""
