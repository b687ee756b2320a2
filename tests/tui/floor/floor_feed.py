"""Stations as tests tell of them: events as they travel."""

from __future__ import annotations

from typing import Any
from uuid import UUID, uuid5

from tui.share.envelope import Event, to_bytes
from tui.share.topics import Kind, Topic

NOON_US = 1_780_056_000_000_000
"""2026-05-29, 12:00 UTC."""
EPOCH = str(UUID(int=0xE0))
HILL = {
    "up_s": 1.0,
    "top_s": 0.8,
    "down_s": 1.2,
    "bottom_s": 0.3,
    "height": 1.0,
    "two_summits": False,
    "counted": True,
    "provisional": False,
    "outcome": "met",
}
TARGET = {**HILL, "top_s": 1.0, "down_s": 2.0, "bottom_s": 0.0, "outcome": None}
LINK = {"state": "connected", "sensor": "clip-07", "battery": 80, "loss": 0.0, "missing_s": 0.0, "lost_s": 0.0}
MET = {"count": 8, "asked": 8, "outcome": "met", "remark": ""}
NOW: dict[str, Any] = {
    "trainee": "Mara Lindt",
    "stage": "set",
    "rung": "low-bar pull-up, feet on the floor",
    "asked": "low-bar pull-up, feet on the floor · 3 × 8 · up 1 · top 1 · down 2 · bottom 0 · rest 90 s",
    "reps": 8,
    "sets": 3,
    "set_number": 2,
    "warm_up": 0,
    "count": 4,
    "provisional": False,
    "phase": "down",
    "phase_s": 0.6,
    "phase_target_s": 2.0,
    "rest_left_s": None,
    "cue": "",
    "ended": False,
    "elapsed_s": 400.0,
    "hills": [HILL] * 4,
    "target": TARGET,
    "closed": [MET],
    "pain": None,
    "stop": "",
    "link": LINK,
    "turns": [],
}


def book_of(station: str) -> UUID:
    """Return the UUID of a station's logbook."""
    return uuid5(UUID(int=7), station)


def letter(
    station: str, kind: Kind, data: dict[str, Any], *, book: UUID | None = None, at: int = NOON_US, **more: Any
) -> tuple[str, bytes]:
    """Return topic and payload of an event of a station."""
    source = f"/station/{station}/{book or book_of(station)}"
    event = Event(source=source, id=more.pop("id", "1"), kind=kind, data=data, at_utc_us=at, **more)
    return str(Topic(station, kind)), to_bytes(event)


def here(station: str, last: int = 0, epoch: str = EPOCH, **more: Any) -> tuple[str, bytes]:
    data = {"state": "here", "version": "0.1.0", "epoch": epoch, "last": last}
    return letter(station, Kind.PRESENCE, data, **more)


def gone(station: str) -> tuple[str, bytes]:
    return letter(station, Kind.PRESENCE, {"state": "gone"})


def now(station: str, **changed: Any) -> tuple[str, bytes]:
    at = changed.pop("at", NOON_US)
    return letter(station, Kind.NOW, {**NOW, **changed}, at=at)


def rest(station: str, left_s: float = 45.0, **changed: Any) -> tuple[str, bytes]:
    rests = {"stage": "rest", "phase": "away", "phase_s": 0.0, "phase_target_s": None, "rest_left_s": left_s}
    return now(station, **{**rests, "count": 8, "hills": [HILL] * 8, **changed})


def record(station: str, sequence: int, epoch: str = EPOCH, **more: Any) -> tuple[str, bytes]:
    row = {"uuid": str(UUID(int=sequence)), "name": f"Recruit {sequence}"}
    data = {"epoch": epoch, "change": "trainee", "before_utc_us": 0, "row": row}
    return letter(station, Kind.RECORD, data, sequence=sequence, id=f"{epoch}-{sequence}", **more)


def shown(station: str, word: str, state: str = "shown", text: str = "") -> tuple[str, bytes]:
    return letter(station, Kind.SHOWN, {"word": word, "state": state, "text": text})
