"""What a station shows, as the coach's screen takes it: from an event that its schema let pass; pure.

A text from outside may hold anything that JSON can (RFC 8259), so what would steer a terminal is taken out here, once,
before anything draws it or prints it.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from analysis.motion.events import Phase
from analysis.training.verdict import Outcome
from tui.session.messages import Hill, Stage

_KEPT = 2048
"""Texts that are not looked through again: a station says most of its own ten times a second."""
_STRANGE = "�"
_UNSEEN = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})
"""Unicode's general categories of what shows nothing of its own, and may steer what shows it."""
LONGEST_S = 600.0
"""A phase is drawn no longer: what takes longer than that to be done must not take long to be drawn."""
GOOD_LINKS = frozenset({"connected", "ended", "lent"})
"""States of a sensor's link (`sensor.source.LinkState`) that nobody has to do anything about."""


@lru_cache(maxsize=_KEPT)
def readable(text: str) -> str:
    """Return a text of outside with all that does not show, or steers a terminal, replaced."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(_STRANGE if unicodedata.category(one) in _UNSEEN else one for one in text)


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """One set that was done."""

    count: int
    asked: int | None
    outcome: Outcome | None
    remark: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sensor:
    """How its sensor is: `state` as `sensor.source.LinkState` has it, seconds missing for now and for good."""

    state: str
    name: str
    battery: int | None
    loss: float
    missing_s: float
    lost_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Now:
    """The state of a station, as its `now` says it (`share/schemas/now.1.json`); its names are those there."""

    trainee: str
    stage: Stage
    rung: str
    asked: str
    reps: int | None
    sets: int | None
    set_number: int
    warm_up: int
    count: int
    provisional: bool
    phase: Phase
    phase_s: float
    phase_target_s: float | None
    rest_left_s: float | None
    cue: str
    ended: bool
    elapsed_s: float
    hills: tuple[Hill, ...]
    target: Hill
    closed: tuple[Done, ...]
    pain: int | None
    stop: str
    link: Sensor
    turns: tuple[str, ...]


def now_of(data: dict[str, Any]) -> Now:
    """Return what the data of a `now` says; they were held against their schema before."""
    link = data["link"]
    return Now(
        trainee=readable(data["trainee"]),
        stage=Stage(data["stage"]),
        rung=readable(data["rung"]),
        asked=readable(data["asked"]),
        reps=_whole(data["reps"]),
        sets=_whole(data["sets"]),
        set_number=int(data["set_number"]),
        warm_up=int(data["warm_up"]),
        count=int(data["count"]),
        provisional=data["provisional"],
        phase=Phase(data["phase"]),
        phase_s=data["phase_s"],
        phase_target_s=data["phase_target_s"],
        rest_left_s=data["rest_left_s"],
        cue=readable(data["cue"]),
        ended=data["ended"],
        elapsed_s=data["elapsed_s"],
        hills=tuple(map(_hill, data["hills"])),
        target=_hill(data["target"]),
        closed=tuple(map(_done, data["closed"])),
        pain=_whole(data["pain"]),
        stop=readable(data["stop"]),
        link=Sensor(
            state=readable(link["state"]),
            name=readable(link["sensor"]),
            battery=_whole(link["battery"]),
            loss=link["loss"],
            missing_s=link["missing_s"],
            lost_s=link["lost_s"],
        ),
        turns=tuple(map(readable, data["turns"])),
    )


def _whole(number: float | None) -> int | None:
    """Return a whole number as one: 8.0 is one, too, where a schema asks for it (JSON Schema 2020-12, 6.1.1)."""
    return None if number is None else int(number)


def _hill(data: dict[str, Any]) -> Hill:
    outcome = data["outcome"]
    return Hill(
        up_s=_bounded(data["up_s"]),
        top_s=_bounded(data["top_s"]),
        down_s=_bounded(data["down_s"]),
        bottom_s=_bounded(data["bottom_s"]),
        height=data["height"],
        two_summits=data["two_summits"],
        counted=data["counted"],
        provisional=data["provisional"],
        outcome=outcome and Outcome(outcome),
    )


def _bounded(duration_s: float | None) -> float | None:
    return None if duration_s is None else min(max(0.0, duration_s), LONGEST_S)


def _done(data: dict[str, Any]) -> Done:
    outcome = data["outcome"]
    return Done(
        count=int(data["count"]),
        asked=_whole(data["asked"]),
        outcome=outcome and Outcome(outcome),
        remark=readable(data["remark"]),
    )
