"""Was the prescription met? The answers, per phase, rep, set and session; `analysis.training.judge` finds them.

With deviation d beyond the tolerance's edge and the phase's own standard deviation σ (from both its boundaries), a
phase is *met* if d + 2σ stays inside, *missed* if d − 2σ lies outside, else *unsure*. A null phase is not measurable.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum


class Outcome(StrEnum):
    """The four answers; a wrong "met" is worse than "not measurable"."""

    MET = "met"
    MISSED = "missed"
    UNSURE = "unsure"
    NOT_MEASURABLE = "not measurable"


_BEST_FIRST = (Outcome.MET, Outcome.UNSURE, Outcome.NOT_MEASURABLE, Outcome.MISSED)


def worst(outcomes: Iterable[Outcome]) -> Outcome:
    """Return the answer that decides: missed, else not measurable, else unsure, else met (also of nothing)."""
    return max(outcomes, key=_BEST_FIRST.index, default=Outcome.MET)


@dataclass(frozen=True, slots=True)
class PhaseVerdict:
    """One phase against its target.

    Attributes
    ----------
    name
        "up", "top", "down", "half" or "bottom".
    actual_s, sd_s, target_s
        Seconds; None where not measured, or not prescribed.
    direction
        −1 too short, +1 too long, 0 inside or unknown.
    tolerance_s
        Allowed deviation from the target, seconds.
    """

    name: str
    actual_s: float | None
    sd_s: float | None
    target_s: float | None
    outcome: Outcome
    direction: int = 0
    tolerance_s: float | None = None


@dataclass(frozen=True, slots=True)
class FormVerdict:
    """What is judged beside the phases, of a rep or of a set.

    Attributes
    ----------
    name
        "start", "lean" or "range"; `analysis.training.form` says how each is judged.
    direction
        −1 too little, +1 too much, 0 inside or unknown.
    actual, sd, target, tolerance
        In `unit`; None where not measured. The tolerance is what may be missing of the target, or, of a limit, 0.
    unit
        "deg", "m", "reps" (so many of so many, in a set), or empty where there is nothing but the outcome.
    """

    name: str
    outcome: Outcome
    direction: int = 0
    actual: float | None = None
    sd: float | None = None
    target: float | None = None
    tolerance: float | None = None
    unit: str = ""


@dataclass(frozen=True, slots=True)
class RepVerdict:
    """One rep: the worst of its phases decides.

    Only prescribed phases are listed: no "up" where it is "fast", no "top", "half" or "bottom" where none is asked for,
    no "bottom" after the last rep. A partial rep has no phases and is missed; so is one that stays below its share of
    the reference's travel (`short`). Form is told beside the outcome.
    """

    phases: tuple[PhaseVerdict, ...]
    outcome: Outcome
    form: tuple[FormVerdict, ...] = ()

    @property
    def short(self) -> bool:
        """Whether it surely stays below its share of the reference rep's travel."""
        return any(one.name == "range" and one.outcome is Outcome.MISSED for one in self.form)


@dataclass(frozen=True, slots=True)
class FaultCount:
    """A fault of form that the sensor sees: phase (or "start", "lean") and direction, and in how many reps."""

    phase: str
    direction: int
    reps: int


@dataclass(frozen=True, slots=True)
class SetVerdict:
    """One set: its count, its reps, its time under tension and the rest before it.

    `outcome` is the worst of the count, the tempo and too little time under tension. The rest is told beside it and
    does not change it: starting early or late is recorded, and the ladder draws its own conclusion.

    Attributes
    ----------
    count, target_reps
        Counted and prescribed reps.
    reps
        One for each rep given, partial ones included, in their order.
    tut_s, target_tut_s
        Time under tension, and prescribed: seconds. The target is None where none is judged (a rep prescribed shorter
        than `Tolerance.tut_from_s`, or an up that is "fast"); `tut_outcome` is then not measurable and decides nothing.
    tut_outcome
        Both sides of the band. Too long does not fail the set: lowering and holds are minima. Of one-and-a-half reps
        the lower side alone.
    rest_before_s, target_rest_s
        Rest kept before this set; None before the first.
    rest_outcome
        Met up to `Tolerance.rest_late_s` over the target; not measurable where there is no rest before.
    remark
        The one thing to say about it, short, kind, exact; empty when there is nothing.
    tut_sd_s
        One-sigma uncertainty of `tut_s`.
    in_tempo
        Counted reps whose every phase is met.
    faults
        What its counted reps missed, the most frequent first.
    slowing
        Mean time of the way up in the last third of its reps over that in the first third; None where unknown.
    clean
        Of a test: how many of its reps were full and met before the first that was missed; None for any other set, and
        where not measured.
    form
        Start, lean and range of the set, as far as they are asked and the mount shows them.
    shrinks_from, shrunk_to
        Number of the counted rep from which on the travel is surely smaller than in the first third of the set, and its
        share of that; None where it is not.
    held
        The set was one hold: its seconds are `tut_s`, asked were `target_tut_s`.
    """

    count: int
    target_reps: int
    reps: Sequence[RepVerdict]
    reps_outcome: Outcome
    tempo_outcome: Outcome
    tut_s: float | None
    target_tut_s: float | None
    tut_outcome: Outcome
    rest_before_s: float | None
    target_rest_s: float
    rest_outcome: Outcome
    outcome: Outcome
    remark: str = ""
    tut_sd_s: float | None = None
    in_tempo: int = 0
    held: bool = False
    faults: tuple[FaultCount, ...] = ()
    slowing: float | None = None
    clean: int | None = None
    form: tuple[FormVerdict, ...] = ()
    shrinks_from: int | None = None
    shrunk_to: float | None = None

    @property
    def tut_is_least(self) -> bool:
        """Whether its time under tension was judged as a minimum: of one-and-a-half reps; long ago it was not."""
        too_long = self.tut_outcome is Outcome.MISSED and (self.tut_s or 0.0) > (self.target_tut_s or 0.0)
        return not too_long and any(phase.name == "half" for rep in self.reps for phase in rep.phases)


@dataclass(frozen=True, slots=True)
class SessionVerdict:
    """One session: all sets, and what follows from them in words.

    Attributes
    ----------
    outcome
        MET only if every prescribed set was done and met.
    summary
        Up to three sentences: what was met, what was missed, what to work on.
    """

    sets: Sequence[SetVerdict]
    outcome: Outcome
    summary: tuple[str, ...]
