"""What is known beside the motion when a rep is judged: where on the body the sensor sits, how far a whole rep goes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from analysis.motion.mounts import Place
from analysis.training.setup import SetUp
from analysis.training.statements import Reference, Statement
from analysis.training.verdict import SetVerdict


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """What the judge sees beside the reps.

    Attributes
    ----------
    place
        Where on the body the sensor sits; None where nobody said, or it is not worn there.
    reference_m
        Travel of the reference rep of this rung and set-up, metres; None where none is stored.
    """

    place: Place | None = None
    reference_m: float | None = None


NOTHING = View()
"""Neither is known."""


def reference_of(statements: Iterable[Statement], rung: str | None, set_up: SetUp) -> Reference | None:
    """Return the reference rep of a rung and set-up: the one that was approved last; None where there is none."""
    said = [one for one in statements if isinstance(one, Reference)]
    fitting = [one for one in said if one.rung == rung and one.set_up.compares(set_up)]
    return max(fitting, key=lambda one: one.said_utc_us, default=None)


def view_then(place: Place | None, verdicts: Iterable[SetVerdict]) -> View:
    """Return what was known when sets were judged: the reference stands in their verdicts."""
    ranges = (form.target for one in verdicts for form in one.form if form.name == "range")
    return View(place=place, reference_m=next(ranges, None))
