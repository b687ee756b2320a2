"""The closed union of events that the motion pipeline emits, for `match`.

Life of a bout: `BoutOpened` → (`PhaseChanged` | `RepProvisional` | `RepConfirmed` | `RepWithdrawn`)* → `BoutClosed`
(the live answer as it stands) → `BoutRefined` (the whole bout, seen in both directions). `RepProvisional` comes at the
top and may be withdrawn; `RepConfirmed` comes at the end of the rep. A bout that turns out to be nothing is closed with
no reps. A refinement may also find a bout that live never opened: it then comes without a `BoutOpened`.

A hold without reps is told by `HoldBegan` and `HoldEnded`; unless a set follows at once, to which the hang then
belongs, a `BoutClosed` with that hold and no reps comes next, and a `BoutRefined` replaces it as any other.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from analysis.motion.results import Bout, Hold, Rep, Unmeasurable


class Phase(StrEnum):
    """What the trainee is doing now."""

    AWAY = "away"
    HANG = "hang"
    UP = "up"
    TOP = "top"
    DOWN = "down"
    BOTTOM = "bottom"


@dataclass(frozen=True, slots=True, order=True)
class EventId:
    """Deterministic identity: the same stream gives the same ids, however it is cut."""

    bout: int
    ordinal: int


@dataclass(frozen=True, slots=True, kw_only=True)
class _Event:
    """Shared by all events.

    Attributes
    ----------
    id
        Bout number and ordinal within the bout.
    at_s
        Motion time of what the event speaks of.
    emitted_s
        Motion time of the last sample of the packet that caused it.
    """

    id: EventId
    at_s: float
    emitted_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PhaseChanged(_Event):
    """A phase began at `at_s`; told again where the begin of a movement turns out to have been another."""

    phase: Phase


@dataclass(frozen=True, slots=True, kw_only=True)
class RepProvisional(_Event):
    """The top of the rep that would be number `count` (from 1) was reached; it may still be withdrawn."""

    count: int
    start_s: float
    top_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RepConfirmed(_Event):
    """A rep ended. `count` is the number of counted reps of the bout so far."""

    count: int
    rep: Rep


@dataclass(frozen=True, slots=True, kw_only=True)
class RepWithdrawn(_Event):
    """The provisional (or last confirmed) rep was none; `count` is what stands now."""

    count: int
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BoutOpened(_Event):
    """Someone took hold and began to move."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoutClosed(_Event):
    """The bout is over; `bout` is the live answer as it stood."""

    bout: Bout


@dataclass(frozen=True, slots=True, kw_only=True)
class BoutRefined(_Event):
    """The whole bout seen in both directions; replaces the live answer of bout numbers `supersedes`."""

    bout: Bout
    supersedes: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SpanUnmeasurable(_Event):
    """A stretch of the stream of which nothing can be said."""

    span: Unmeasurable


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldBegan(_Event):
    """Someone took hold and keeps still since `at_s`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldEnded(_Event):
    """Someone who kept still moves again; `hold` is None where it was none after all."""

    hold: Hold | None


Event = (
    PhaseChanged
    | RepProvisional
    | RepConfirmed
    | RepWithdrawn
    | BoutOpened
    | BoutClosed
    | BoutRefined
    | SpanUnmeasurable
    | HoldBegan
    | HoldEnded
)
