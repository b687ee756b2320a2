"""Was it done as asked? Reps, sets and sessions against a prescription.

All functions take times in true seconds: pass what the sensor measured through `analysis.training.scale.in_true_time`
first, or use `analysis.training.sets.judged`, which does.

- **Reps of a set**: met when at least the prescribed number counts; one that is short of the reference rep does not.
- **Tempo of a set**: at most `Tolerance.reps_off` of its counted reps may be off. It is met when even with every unsure
  or unmeasured rep taken as off no more are, and missed when the surely missed ones alone are more.
- **Time under tension** of a set: Σ(end − start) over its counted reps, bottom pauses excluded; prescribed: reps ×
  (up + top + down + half-way pause); band ±8 % (Faber et al. 2015, PeerJ 3:e1102). Of one-and-a-half reps it is a
  minimum: the way down to half and up again takes time as well, and nobody prescribed how long.
- **Test** (`Prescription.is_test`): met as soon as a rep counts; told is how many were clean, that is full and met,
  until form broke: before the first one that was surely missed. One that is not certain is neither clean nor the end.
- **Session**: as many sets as prescribed, each met; what was done beyond them is kept and does not decide.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import takewhile
from math import floor

from analysis.motion.results import Rep, RepKind, Why
from analysis.training.advice import summary
from analysis.training.form import as_whole, judge_form, judge_set_form
from analysis.training.phases import EDGE_S, Duration, judge_phases, root_sum, within
from analysis.training.prescription import Prescription
from analysis.training.remarks import (
    count_words,
    faults,
    not_measured_words,
    rest_words,
    tempo_words,
    tension_words,
)
from analysis.training.shrinking import shrinking
from analysis.training.verdict import FaultCount, Outcome, RepVerdict, SessionVerdict, SetVerdict, worst
from analysis.training.view import NOTHING, View


def judge_rep(
    rep: Rep,
    prescription: Prescription,
    *,
    following: Rep | None = None,
    clock_sd: float = 0.0,
    view: View = NOTHING,
) -> RepVerdict:
    """Judge one rep.

    Parameters
    ----------
    rep
        Times in true seconds. A partial rep is missed, without phases; so is one that is short of the reference.
    prescription
        What was asked.
    following
        The next rep of the same set, where there is one: a prescribed bottom pause needs its one-sigma.
    clock_sd
        One-sigma of the sensor's clock ratio: durations are no better known than that share of them.
    view
        What is known beside the motion.
    """
    form = judge_form(rep, prescription, view)
    if not as_whole(rep, prescription, view).counts:
        return RepVerdict((), Outcome.MISSED, form)
    phases = judge_phases(rep, prescription, following, clock_sd)
    return RepVerdict(phases, worst(phase.outcome for phase in phases), form)


def judge_set(
    reps: Sequence[Rep],
    prescription: Prescription,
    *,
    rest_before_s: float | None,
    measured: bool = True,
    why: Why | None = None,
    clock_sd: float = 0.0,
    view: View = NOTHING,
) -> SetVerdict:
    """Judge one set.

    Parameters
    ----------
    reps
        All reps of the set in their order, partial ones included; times in true seconds.
    prescription
        What was asked.
    rest_before_s
        From the last rep's end of the set before to this one's first rep; None before the first.
    measured, why
        False where the motion says its count should not be relied on, and the reason: nothing is judged then.
    clock_sd, view
        As in `judge_rep`.
    """
    verdicts = tuple(
        judge_rep(rep, prescription, following=following, clock_sd=clock_sd, view=view)
        for rep, following in zip(reps, [*reps[1:], None], strict=False)
    )
    shrunk = shrinking(reps) if measured else None
    reps = [as_whole(rep, prescription, view) for rep in reps]
    counted = [verdict for rep, verdict in zip(reps, verdicts, strict=True) if rep.counts]
    count_outcome = Outcome.MET if len(counted) >= max(prescription.reps, 1) else Outcome.MISSED
    tempo_outcome = judge_tempo(counted, prescription.tolerance.reps_off)
    under = tension(reps).by_clock(clock_sd)
    target_tut_s = _target_tut(prescription)
    tut_outcome, enough = _judge_tension(under, target_tut_s, prescription.tolerance.tut_relative)
    rest_outcome = judge_rest(rest_before_s, prescription)
    tut_outcome = tut_outcome if prescription.half_pause_s is None else enough
    outcome = count_outcome if prescription.is_test else worst((count_outcome, tempo_outcome, enough))
    if not measured:
        count_outcome = tempo_outcome = tut_outcome = rest_outcome = outcome = Outcome.NOT_MEASURABLE
    remarks = (
        "" if measured else not_measured_words(why),
        count_words(reps, prescription.reps),
        tempo_words(counted, tempo_outcome),
        tension_words(under.actual_s, target_tut_s) if enough is not Outcome.MET else "",
        rest_words(rest_before_s, prescription.rest_s) if rest_outcome is Outcome.MISSED else "",
    )
    return SetVerdict(
        count=len(counted),
        target_reps=prescription.reps,
        reps=verdicts,
        reps_outcome=count_outcome,
        tempo_outcome=tempo_outcome,
        tut_s=under.actual_s,
        target_tut_s=target_tut_s,
        tut_outcome=tut_outcome,
        rest_before_s=rest_before_s,
        target_rest_s=prescription.rest_s,
        rest_outcome=rest_outcome,
        outcome=outcome,
        remark=next((remark for remark in remarks if remark), ""),
        tut_sd_s=under.sd_s,
        in_tempo=sum(verdict.outcome is Outcome.MET for verdict in counted),
        faults=_most_first(faults(counted)),
        slowing=_slowing(reps),
        clean=_clean(reps, verdicts) if prescription.is_test and measured else None,
        form=judge_set_form(reps, verdicts, prescription, view) if measured else (),
        shrinks_from=None if shrunk is None else shrunk[0],
        shrunk_to=None if shrunk is None else shrunk[1],
    )


def _clean(reps: Sequence[Rep], verdicts: Sequence[RepVerdict]) -> int:
    """Count the full reps that were met, before the first one that surely was not."""
    before = takewhile(lambda one: one[1].outcome is not Outcome.MISSED, zip(reps, verdicts, strict=True))
    return sum(rep.kind is RepKind.FULL and one.outcome is Outcome.MET for rep, one in before)


def _most_first(found: dict[tuple[str, int], list[int]]) -> tuple[FaultCount, ...]:
    each = (FaultCount(phase, direction, len(numbers)) for (phase, direction), numbers in found.items())
    return tuple(sorted(each, key=lambda fault: -fault.reps))


def _slowing(reps: Sequence[Rep]) -> float | None:
    """Return how much longer the last third's ways up take than the first third's; None below six full reps."""
    ups = [rep.top_s - rep.start_s for rep in reps if rep.counts and rep.top_s is not None]
    third = len(ups) // 3
    if third < 2:
        return None
    first_s, last_s = sum(ups[:third]), sum(ups[-third:])
    return last_s / first_s if first_s > 0 else None


def judge_session(sets: Sequence[SetVerdict], prescription: Prescription) -> SessionVerdict:
    """Judge a session from the verdicts of its sets, in their order.

    Where no set was asked for (a session without a prescription) there is nothing to meet: not measurable.

    Parameters
    ----------
    sets
        Sets done so far. Fewer than prescribed is missed; more are kept and do not decide.
    prescription
        What was asked.
    """
    if not prescription.sets:
        return SessionVerdict(tuple(sets), Outcome.NOT_MEASURABLE, ("No set was asked for.",))
    asked = sets[: prescription.sets]
    missing = Outcome.MET if len(asked) == prescription.sets else Outcome.MISSED
    outcome = worst((missing, *(one.outcome for one in asked)))
    return SessionVerdict(tuple(sets), outcome, summary(asked, prescription))


def judge_tempo(counted: Sequence[RepVerdict], share_off: float, *, count: int | None = None) -> Outcome:
    """Judge the tempo of a set: how many reps are off, and how many might be.

    Parameters
    ----------
    counted
        Verdicts of the reps that count.
    share_off
        `Tolerance.reps_off`.
    count
        How many there were, where a person says so: of more nothing is known, of fewer not which.
    """
    there = len(counted) if count is None else count
    if not there:
        return Outcome.NOT_MEASURABLE
    allowed = floor(share_off * there + EDGE_S)
    of = Counter(verdict.outcome for verdict in counted)
    missed, unsure = of[Outcome.MISSED], of[Outcome.UNSURE]
    unseen, gone = of[Outcome.NOT_MEASURABLE] + max(there - len(counted), 0), max(len(counted) - there, 0)
    if missed - gone > allowed:
        return Outcome.MISSED
    if missed + unseen > allowed:
        return Outcome.NOT_MEASURABLE
    return Outcome.UNSURE if missed + unseen + unsure > allowed else Outcome.MET


def tension(reps: Sequence[Rep]) -> Duration:
    """Return the time under tension of the reps that count; times in true seconds."""
    counted = [rep for rep in reps if rep.counts]
    sds = [sd for rep in counted for sd in (rep.timing_sd.start_s, rep.timing_sd.end_s)]
    return Duration(sum(rep.end_s - rep.start_s for rep in counted), root_sum(0.0, *sds))


def _target_tut(prescription: Prescription) -> float | None:
    a_rep = prescription.rep_tut_s
    judged = a_rep is not None and a_rep >= prescription.tolerance.tut_from_s and not prescription.is_test
    return prescription.reps * a_rep if a_rep is not None and judged else None


def _judge_tension(under: Duration, target_s: float | None, band: float) -> tuple[Outcome, Outcome]:
    """Judge both sides of the band, and the lower one alone, which is what decides over the set."""
    if target_s is None:
        return Outcome.NOT_MEASURABLE, Outcome.MET
    low_s, high_s = target_s * (1 - band), target_s * (1 + band)
    return within(under, low_s, high_s)[0], within(under, low_s)[0]


def judge_rest(rest_s: float | None, prescription: Prescription) -> Outcome:
    """Judge the rest before a set, in true seconds; None before the first.

    Its boundaries are known far better than its tolerance, so there is no unsure.
    """
    latest_s = prescription.rest_s + prescription.tolerance.rest_late_s
    return within(Duration(rest_s, 0.0), high_s=latest_s)[0] if rest_s is not None else Outcome.NOT_MEASURABLE
