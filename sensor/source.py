"""What every way in has in common: arrivals, and the host's one clock.

Radio, recording, table and virtual sensor are all the same thing to the rest of the program: an async iterator of
:class:`Arrival`. So replay runs the very code that a live session runs.
"""

from __future__ import annotations

import asyncio
import time
from collections.abc import AsyncIterator
from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol


class Channel(StrEnum):
    """Where on the sensor a payload came from. The values are written to recordings: never change them."""

    INFO = "info"
    """The information characteristic, read after every connection (`sensor.protocol.Info`)."""
    DATA = "data"
    """One notification of the data characteristic (`sensor.protocol.Packet`)."""
    BATTERY = "battery"
    """The standard battery level, one byte, percent."""
    LINK = "link"
    """The host's own note on the link, one of `LinkState` as ASCII."""
    NOTICE = "notice"
    """What the host has to tell of the sensor beyond the state of the link: a sentence, UTF-8."""


class LinkState(StrEnum):
    """What the host knows of the link; the values are written to recordings."""

    SEARCHING = "searching"
    CONNECTED = "connected"
    STALLED = "stalled"
    LOST = "lost"
    BLOCKED = "blocked"
    """The computer's Bluetooth cannot be used at present: off, or its service gone."""
    LENT = "lent"
    """What the sensor does from now on is somebody else's: what is missing until its next packet here is no loss."""
    AWAY = "away"
    """The session was broken off here: from now on that sensor counts which says first what it is."""
    ENDED = "ended"
    """Whoever sends has nothing more: a demonstration is over."""


@dataclass(frozen=True, slots=True)
class Arrival:
    """Raw bytes as they came in, before anything interprets them.

    Attributes
    ----------
    sensor_id
        Stable name of the sensor (its address, or the name of a table or virtual sensor).
    at_s
        Host monotonic time of arrival, seconds, of the session's :class:`HostClock`.
    channel
        Where the payload came from.
    payload
        The bytes, untouched.
    """

    sensor_id: str
    at_s: float
    channel: Channel
    payload: bytes

    @property
    def is_away(self) -> bool:
        """Whether the session was broken off here."""
        return self.channel is Channel.LINK and self.payload == LinkState.AWAY.value.encode()

    @property
    def is_lent(self) -> bool:
        """Whether what the sensor does from here on is somebody else's."""
        return self.channel is Channel.LINK and self.payload == LinkState.LENT.value.encode()


class Source(Protocol):
    """A way in. Iterating it yields arrivals in the order in which they came, until the source ends."""

    def __aiter__(self) -> AsyncIterator[Arrival]:
        """Return the iterator of arrivals."""
        ...


class HostClock(Protocol):
    """The one clock of a session; nothing else in the program asks for the time."""

    def now_s(self) -> float:
        """Monotonic seconds; only differences mean anything."""
        ...

    def utc_us(self) -> int:
        """Wall-clock microseconds since 1970-01-01 UTC."""
        ...

    async def sleep(self, duration_s: float) -> None:
        """Wait `duration_s` of this clock's seconds."""
        ...


class SystemClock:
    """The computer's clock, run `speed` times as fast (demo and replay; 1 for real sensors).

    Both readings and waits are scaled, so device, arrivals, watchdog, rest and commits keep their proportions.

    Parameters
    ----------
    speed
        Seconds of this clock per real second, > 0.
    """

    def __init__(self, speed: float = 1.0) -> None:
        if not speed > 0:
            raise ValueError(f"speed must be above 0, not {speed}")
        self.speed = speed
        self._real_s = time.monotonic()
        self._utc_us = time.time_ns() // 1000

    def now_s(self) -> float:
        """Scaled seconds since this clock was made."""
        return (time.monotonic() - self._real_s) * self.speed

    def utc_us(self) -> int:
        """Wall-clock time at which this clock was made, plus the scaled time since."""
        return self._utc_us + round(self.now_s() * 1e6)

    async def sleep(self, duration_s: float) -> None:
        """Wait `duration_s` scaled seconds."""
        await asyncio.sleep(max(0.0, duration_s) / self.speed)
