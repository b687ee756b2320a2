"""One phase of one rep: how long it took, how surely, and whether that is what was asked.

Which sides are judged: *up* both (unless "fast"), *down*, *top hold* and *half-way pause* only as minima, the *bottom
pause* both where one is prescribed (a longer one is rest inside the set). Where the plan says so
(`Prescription.two_sided`) a minimum is a maximum as well. A target of nothing judges nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, inf

from analysis.motion.results import Rep, RepKind
from analysis.training.prescription import Prescription
from analysis.training.verdict import Outcome, PhaseVerdict

EDGE_S = 1e-9
"""A nanosecond: 1.3 − 1 is not .3 in binary fractions, and that must not decide."""


@dataclass(frozen=True, slots=True)
class Duration:
    """How long something took, seconds, with its one-sigma; None where not measured."""

    actual_s: float | None
    sd_s: float | None

    def by_clock(self, clock_sd: float) -> Duration:
        """Return the same as told by a clock whose rate is known to this one-sigma (a share)."""
        if self.actual_s is None or self.sd_s is None:
            return self
        return Duration(self.actual_s, hypot(self.sd_s, clock_sd * self.actual_s))


def root_sum(*sds: float | None) -> float | None:
    """Root of the sum of squares of independent one-sigmas; None as soon as one is not known."""
    known = [sd for sd in sds if sd is not None]
    return hypot(*known) if len(known) == len(sds) else None


def within(duration: Duration, low_s: float = -inf, high_s: float = inf) -> tuple[Outcome, int]:
    """Tell whether a duration lies between two edges, as surely as its one-sigma allows.

    Parameters
    ----------
    duration
        What was measured.
    low_s, high_s
        Edges of what is allowed, seconds; an infinite one is no edge.

    Returns
    -------
    tuple
        The answer, and −1 (too short), +1 (too long) or 0. With d the deviation beyond the nearer edge (negative
        inside): met if d + 2σ ≤ 0, missed if d − 2σ > 0, else unsure; not measurable without a duration or a σ.
    """
    if duration.actual_s is None or duration.sd_s is None:
        return Outcome.NOT_MEASURABLE, 0
    short_s, long_s = low_s - duration.actual_s, duration.actual_s - high_s
    beyond_s = max(short_s, long_s)
    if beyond_s + 2 * duration.sd_s <= EDGE_S:
        return Outcome.MET, 0
    if beyond_s - 2 * duration.sd_s > EDGE_S:
        return Outcome.MISSED, -1 if short_s > long_s else 1
    return Outcome.UNSURE, 0


def rise(rep: Rep) -> Duration:
    """Return the (first) way up."""
    actual = None if rep.top_s is None else rep.top_s - rep.start_s
    return Duration(actual, root_sum(rep.timing_sd.start_s, rep.timing_sd.top_s))


def lowering(rep: Rep) -> Duration:
    """Return the (last) way down."""
    actual = None if rep.down_s is None else rep.end_s - rep.down_s
    return Duration(actual, root_sum(rep.timing_sd.down_s, rep.timing_sd.end_s))


def top_hold(rep: Rep) -> Duration:
    """Return the (first) hold at the top; of a one-and-a-half rep its end has no one-sigma of its own."""
    ends = _inner_sd(rep) if rep.kind is RepKind.ONE_AND_HALF else rep.timing_sd.down_s
    return Duration(rep.hold_top_s, root_sum(rep.timing_sd.top_s, ends))


def half_way(rep: Rep) -> Duration:
    """Return the pause part-way; neither of its boundaries has a one-sigma of its own."""
    return Duration(rep.half_pause_s, root_sum(_inner_sd(rep), _inner_sd(rep)))


def bottom_pause(rep: Rep, following: Rep | None) -> Duration:
    """Return the pause until the rep that follows."""
    next_sd = None if following is None else following.timing_sd.start_s
    return Duration(rep.bottom_pause_s, root_sum(rep.timing_sd.end_s, next_sd))


def _inner_sd(rep: Rep) -> float | None:
    """Stand-in for a boundary without a one-sigma of its own: the worst of the rep's four."""
    sd = rep.timing_sd
    known = [value for value in (sd.start_s, sd.top_s, sd.down_s, sd.end_s) if value is not None]
    return max(known) if len(known) == 4 else None


def judge_phases(
    rep: Rep, prescription: Prescription, following: Rep | None = None, clock_sd: float = 0.0
) -> tuple[PhaseVerdict, ...]:
    """Judge the prescribed phases of a counted rep, in the order of a pull-up.

    Parameters
    ----------
    rep
        Times in true seconds (`analysis.training.scale.scaled`).
    prescription
        What was asked.
    following
        The next rep of the set; only its one-sigma is used, for the bottom pause.
    clock_sd
        One-sigma of the sensor's clock ratio.
    """
    tempo = prescription.tempo
    asked = [
        ("up", rise(rep), tempo.up_s, True),
        ("top", top_hold(rep), tempo.top_s, "top" in prescription.two_sided),
        ("down", lowering(rep), tempo.down_s, "down" in prescription.two_sided),
        ("half", half_way(rep), prescription.half_pause_s, "half" in prescription.two_sided),
    ]
    if rep.bottom_pause_s is not None:
        asked.append(("bottom", bottom_pause(rep, following), tempo.bottom_s, True))
    known = [(name, took.by_clock(clock_sd), target, both) for name, took, target, both in asked]
    return tuple(_judge(name, took, target, both, prescription) for name, took, target, both in known if target)


def _judge(name: str, took: Duration, target_s: float, both_sides: bool, prescription: Prescription) -> PhaseVerdict:
    allowed = prescription.tolerance.of(target_s)
    outcome, direction = within(took, target_s - allowed, target_s + allowed if both_sides else inf)
    return PhaseVerdict(name, took.actual_s, took.sd_s, target_s, outcome, direction, allowed)
