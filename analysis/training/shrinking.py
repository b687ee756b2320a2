"""Where in a set the range begins to shrink: from the travel of its own reps, whatever a whole rep would be."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt
from statistics import fmean

from analysis.motion.results import Rep
from analysis.training.form import TRAVEL_SD_M

SHRUNK = 0.9
"""Share of the first reps' travel below which the range has shrunk (no source)."""

FEWEST = 6
"""In fewer counted reps with a travel nothing is said."""

TAIL = 3
"""So many last reps at least must be smaller: one may be a slip."""


def shrinking(reps: Sequence[Rep]) -> tuple[int, float] | None:
    """Return from which rep on the travel is smaller than at first, and its share of that; None where it is not.

    The first rep k after the first third whose every follower, itself included, stays below `SHRUNK` of the mean of the
    first third, where the mean of these is below it by twice the one-sigma of the difference.

    Parameters
    ----------
    reps
        Of one set, in their order, partial ones included; travel in metres.

    Returns
    -------
    tuple
        Number of the rep among the counted ones, from 1, and the share.
    """
    counted = [rep for rep in reps if rep.counts]
    known = [rep.travel_m for rep in counted if rep.travel_m is not None]
    if len(known) < FEWEST or len(known) < len(counted):
        return None
    third = len(known) // 3
    first_m = fmean(known[:third])
    last_whole = max((n for n, travel_m in enumerate(known) if travel_m >= SHRUNK * first_m), default=-1)
    begins = max(last_whole + 1, third)
    tail = known[begins:]
    if len(tail) < TAIL:
        return None
    sure_m = 2 * TRAVEL_SD_M * sqrt(1 / len(tail) + SHRUNK**2 / third)
    if fmean(tail) + sure_m > SHRUNK * first_m:
        return None
    return begins + 1, fmean(tail) / first_m
