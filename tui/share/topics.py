"""The topics, in one place: who writes what where (OASIS MQTT 3.1.1, 4.7).

A station or gateway writes below its own `up` alone, and reads below its own `down`; its name is that of its account at
the broker, so that one rule of the broker holds for all of them. A topic from outside is taken apart by `parse` and
becomes one of these values or nothing: none of its text reaches a path or a statement of SQL.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum

VERSION = 1
"""Rises when topics or payloads change so that an older Rungwise would misread them; the two can share a broker."""
NAME = re.compile(r"[a-z0-9](?:[a-z0-9-]{0,30}[a-z0-9])?")
"""What a station, gateway, gym or sensor is called in a topic; every broker takes it as the name of an account."""
_ROOT = f"rungwise/{VERSION}"


class TopicError(ValueError):
    """A name cannot stand in a topic; the message says what can."""


class Kind(StrEnum):
    """What an event is about; the last level of its topic."""

    PRESENCE = "presence"
    """Whether a station is there; kept by the broker, and its last will."""
    NOW = "now"
    """What a station shows at the moment; kept by the broker."""
    RECORD = "record"
    """One change of a station's logbook."""
    SHOWN = "shown"
    """What became of a coach's word."""
    HEARD = "heard"
    """How far a coach's logbook is."""
    WORD = "word"
    """A coach's note, changed target or plan."""


UP = frozenset({Kind.PRESENCE, Kind.NOW, Kind.RECORD, Kind.SHOWN})
"""What a station writes; the others are written to it."""


@dataclass(frozen=True, slots=True)
class Topic:
    """Where an event of a station goes.

    Attributes
    ----------
    station
        Its name.
    kind
        What is told.
    gym
        Stands before all, where several gyms share a broker; empty for none.
    """

    station: str
    kind: Kind
    gym: str = ""

    def __str__(self) -> str:
        way = "up" if self.kind in UP else "down"
        return f"{before(self.gym)}{_ROOT}/station/{name(self.station)}/{way}/{self.kind.value}"


def parse(text: str, gym: str = "") -> Topic | None:
    """Return where a topic of `gym` leads; None for any other one, of whoever."""
    match text.removeprefix(before(gym)).split("/"):
        case ["rungwise", version, "station", station, way, kind] if version == str(VERSION):
            known = kind in set(Kind) and NAME.fullmatch(station)
            topic = Topic(station, Kind(kind), gym) if known else None
            return topic if topic and str(topic).split("/")[-2] == way and text.startswith(before(gym)) else None
    return None


def of_all(kind: Kind, gym: str = "") -> str:
    """Return the filter for what every station tells of this kind."""
    return f"{before(gym)}{_ROOT}/station/+/up/{kind.value}"


def before(gym: str) -> str:
    """Return what stands before all topics of a gym."""
    return f"{name(gym)}/" if gym else ""


def name(text: str) -> str:
    """Return a name as it is, where it can stand in a topic.

    Raises
    ------
    TopicError
        When it cannot; the message says what can.
    """
    if not NAME.fullmatch(text):
        raise TopicError(
            f"{text!r} cannot be the name of a station, gateway, gym or account: give 1 to 32 of the letters a to z, "
            "digits and hyphens, with a letter or digit first and last (rack-3)."
        )
    return text
