"""When a set is over before its number is reached: a rule on the reps so far.

- **Attempt**: a pull that surely came down again before its top, after at least one rep that counts. A whole rep after
  it says that it was not the end. It takes a mount that shows travel and a reference rep. By the motion alone it is not
  told: on a belt the better of two rules saw 4 of 18 attempts and told 2 that were none (DEVELOPERS, "A pull that
  failed, by the motion alone").
- **Lowerings**: two reps running come down, as surely as they are measured, in less than half of the time asked for.
  Going on from there trains the drop; what follows does not take it back.

Both are common practice (no source). A set that ends so is a valid result: its reps count as ever.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from itertools import pairwise

from analysis.motion.results import Rep
from analysis.training.phases import lowering, within
from analysis.training.prescription import Prescription
from analysis.training.verdict import Outcome

CONTROLLED = 0.5
"""Share of the time asked for below which a lowering is a drop (common practice, no source)."""


class Ending(StrEnum):
    """Why a set is over."""

    ATTEMPT = "attempt"
    LOWERINGS = "lowerings"


def ending(reps: Sequence[Rep], prescription: Prescription, clock_sd: float = 0.0) -> Ending | None:
    """Tell whether a set is over by what was done, and why; None while it may go on.

    Parameters
    ----------
    reps
        Of the set so far, in their order, attempts among them as partial ones (`form.as_whole`); times in true seconds.
    prescription
        What was asked: only its time of lowering counts here.
    clock_sd
        One-sigma of the sensor's clock ratio.
    """
    counted = [rep for rep in reps if rep.counts]
    dropped = [_is_dropped(rep, prescription, clock_sd) for rep in counted]
    if any(one and other for one, other in pairwise(dropped)):
        return Ending.LOWERINGS
    return Ending.ATTEMPT if counted and not reps[-1].counts else None


def _is_dropped(rep: Rep, prescription: Prescription, clock_sd: float) -> bool:
    low_s = CONTROLLED * prescription.tempo.down_s
    return within(lowering(rep).by_clock(clock_sd), low_s=low_s)[0] is Outcome.MISSED
