"""What was found in the motion: reps with their phases, holds, bouts, and what could not be measured.

Times are seconds of the sensor's own clock. `None` means "not measurable from here", never "zero". The boundary of a
phase is where the speed of travel passes max(0.012 m/s, 5 % of that phase's peak speed).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum


class RepKind(StrEnum):
    """Kinds of rep; only a partial one is not counted."""

    FULL = "full"
    ONE_AND_HALF = "one_and_half"
    PARTIAL = "partial"


class Why(StrEnum):
    """Why something is not measurable.

    `NO_SET`: that it is a set, or a set of so many, is not sure enough. `BLURRED`: its moment is not sure enough.
    """

    GAP = "gap"
    SLIPPED = "slipped"
    TOO_STIFF = "too_stiff"
    SIGN_UNRESOLVED = "sign_unresolved"
    SWINGING = "swinging"
    NO_SET = "no_set"
    BLURRED = "blurred"


class Where(StrEnum):
    """At which end of the movement a hold without reps took place."""

    TOP = "top"
    BOTTOM = "bottom"


@dataclass(frozen=True, slots=True)
class TimingSd:
    """One-sigma uncertainty of each boundary, seconds; None where the boundary cannot be told (`Untold`)."""

    start_s: float | None
    top_s: float | None
    down_s: float | None
    end_s: float | None


@dataclass(frozen=True, slots=True)
class Untold:
    """Why a boundary cannot be told, for each; None where it can.

    A top or a beginning of the way down is then None. Start and end of a rep are always numbers: then the best guess.
    """

    start: Why | None = None
    top: Why | None = None
    down: Why | None = None
    end: Why | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Rep:
    """One repetition: up from `start_s` to `top_s`, hold to `down_s`, down to `end_s`.

    For a one-and-a-half rep `top_s` ends the first up, `down_s` begins the last down, and `hold_top_s` is the first
    top hold, so it is not `down_s − top_s` there.

    Attributes
    ----------
    bottom_pause_s
        From `end_s` to the next rep's start; None for the last of a bout.
    half_pause_s
        The pause part-way of a one-and-a-half rep, else None.
    shrug_start_s
        Where the shoulder-blade rise before the pull began, if there was one.
    reached
        For a partial: how far it got, 0–1 of the bout's own travel.
    travel_m
        Height gained from the first upward movement to `top_s`.
    mean_velocity_m_s, peak_velocity_m_s
        Vertical, over `start_s` … `top_s`; None where their own sigma leaves little to say.
    mean_velocity_sd_m_s, peak_velocity_sd_m_s
        One-sigma uncertainty of these.
    lean_deg
        Angle of the trunk against the vertical at the top; it takes somebody who was seen to walk (`upright`), and is
        the tilt of the pelvis where the sensor sits on a belt (`Place`).
    provisional_s, emitted_s
        Live only: motion time of the packet that first announced, and that confirmed, the rep.
    """

    start_s: float
    top_s: float | None
    down_s: float | None
    end_s: float
    kind: RepKind = RepKind.FULL
    hold_top_s: float | None = None
    bottom_pause_s: float | None = None
    half_pause_s: float | None = None
    shrug_start_s: float | None = None
    reached: float | None = None
    travel_m: float | None = None
    mean_velocity_m_s: float | None = None
    peak_velocity_m_s: float | None = None
    mean_velocity_sd_m_s: float | None = None
    peak_velocity_sd_m_s: float | None = None
    lean_deg: float | None = None
    timing_sd: TimingSd = TimingSd(None, None, None, None)
    untold: Untold = Untold()
    provisional_s: float | None = None
    emitted_s: float | None = None

    @property
    def counts(self) -> bool:
        """Whether the rep counts."""
        return self.kind is not RepKind.PARTIAL


@dataclass(frozen=True, slots=True)
class Hold:
    """An isometric hold without reps."""

    start_s: float
    end_s: float
    where: Where


@dataclass(frozen=True, slots=True, kw_only=True)
class Bout:
    """Hands on to hands off. It is a set from `SetParameters.least_reps` alike reps on; training decides on clusters.

    Attributes
    ----------
    number
        0, 1, 2, … within the stream.
    start_s, end_s
        Start of the first rep to end of the last (of the first hold to the end of the last, without reps).
    measured
        False where the bout was seen but its count should not be relied on; `why` then says the reason.
    begins_down
        Whether its first stroke went down, so that it began at its top; None where that is not known.
    direction
        Mean direction of gravity's reaction in the sensor's frame (unit vector): the posture, of sensors that are worn.
    upward
        Log odds that the concentric of a bar that travels goes up, as this bout says by itself.
    """

    number: int
    start_s: float
    end_s: float
    reps: tuple[Rep, ...]
    holds: tuple[Hold, ...] = ()
    measured: bool = True
    why: Why | None = None
    begins_down: bool | None = None
    direction: tuple[float, float, float] | None = None
    upward: float = 0.0

    @property
    def count(self) -> int:
        """Number of reps that count."""
        return sum(rep.counts for rep in self.reps)

    @property
    def velocity_loss(self) -> float | None:
        """As :func:`velocity_loss` of its reps; None where their count is not relied on."""
        return velocity_loss(self.reps) if self.measured else None


def velocity_loss(reps: Sequence[Rep]) -> float | None:
    """Return the loss of mean speed from the first full rep to the last: 1 − T₁/Tₙ of their ways up, None if unknown.

    At a constant range the durations alone say it, better than integrated speeds do. The range is known to be constant
    where travel is measured and both differ by less than `_SAME_RANGE`.
    """
    full = [rep for rep in reps if rep.kind is RepKind.FULL and rep.top_s is not None]
    if len(full) < 2:
        return None
    first, last = full[0], full[-1]
    if first.travel_m is None or last.travel_m is None or first.top_s is None or last.top_s is None:
        return None
    if abs(first.travel_m - last.travel_m) > _SAME_RANGE * first.travel_m or last.top_s <= last.start_s:
        return None
    return 1.0 - (first.top_s - first.start_s) / (last.top_s - last.start_s)


_SAME_RANGE = 0.1
"""Share of the travel by which two reps may differ and still count as one range."""


@dataclass(frozen=True, slots=True)
class Unmeasurable:
    """A stretch of the stream of which nothing can be said."""

    start_s: float
    end_s: float
    why: Why


@dataclass(frozen=True, slots=True)
class Gap:
    """A hole in the samples: last sample before it, first after it."""

    start_s: float
    end_s: float
