"""The verdict of a set of which a person says more than the motion showed: how many reps there were.

The count is believed. A rep that nobody measured has no phases: it may have been off, and the tempo is met only where
it would be met even so. Its time under tension is not known either; that of the measured reps alone may be enough.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from analysis.motion.results import Rep
from analysis.training.judge import judge_tempo, tension
from analysis.training.phases import within
from analysis.training.prescription import Prescription
from analysis.training.remarks import not_measured_words, rest_words, tempo_words
from analysis.training.scale import TrueTime, in_true_time
from analysis.training.verdict import Outcome, RepVerdict, SetVerdict, worst
from analysis.training.working import Placed, Working

UNSEEN = RepVerdict((), Outcome.NOT_MEASURABLE)


def verdict_by_word(base: SetVerdict, one: Working, asked: Prescription, clock: TrueTime) -> SetVerdict:
    """Return the verdict of a set with what a person says of its reps.

    Parameters
    ----------
    base
        Verdict of its measured reps alone.
    one
        The set.
    asked
        The prescription.
    clock
        How the sensor's clock went.
    """
    verdicts = tuple(_verdicts(base, one.reps, asked))
    counted = [verdict for placed, verdict in zip(one.reps, verdicts, strict=True) if placed.counts]
    enough = Outcome.MET if one.count >= max(asked.reps, 1) else Outcome.MISSED
    if not one.relied and one.told is None:
        enough = Outcome.NOT_MEASURABLE
    tempo = judge_tempo(counted, asked.tolerance.reps_off, count=one.count) if one.relied else Outcome.NOT_MEASURABLE
    exact = one.count == sum(placed.counts for placed in one.reps) and not any(p.told for p in one.reps)
    under = _under_tension(base, one, asked, clock)
    short = "" if enough is not Outcome.MISSED else f"{one.count} of {asked.reps} reps."
    remarks = (
        "" if one.relied else not_measured_words(one.why),
        short,
        _unknown_words(one) if tempo is Outcome.NOT_MEASURABLE and not exact else tempo_words(counted, tempo),
        "" if under is Outcome.MET else "Time under tension not measurable.",
        rest_words(base.rest_before_s, base.target_rest_s) if base.rest_outcome is Outcome.MISSED else "",
    )
    return replace(
        base,
        count=one.count,
        reps=verdicts,
        reps_outcome=enough,
        tempo_outcome=tempo,
        tut_s=base.tut_s if exact else None,
        tut_sd_s=base.tut_sd_s if exact else None,
        tut_outcome=base.tut_outcome if exact else Outcome.NOT_MEASURABLE,
        outcome=enough if asked.is_test and one.relied else worst((enough, tempo, under)),
        clean=base.clean if exact else None,
        remark=next((remark for remark in remarks if remark), ""),
        in_tempo=min(base.in_tempo, one.count),
        slowing=base.slowing if exact else None,
    )


def _unknown_words(one: Working) -> str:
    measured = sum(placed.counts and not placed.told for placed in one.reps)
    if not one.of:
        return f"{one.count} reps told, none measured: tempo not measurable."
    if one.count <= measured:
        return f"Which {one.count} of {measured} reps count is not known: tempo not measurable."
    return f"{one.count - measured} of {one.count} reps were not measured: tempo not measurable."


def _verdicts(base: SetVerdict, reps: Sequence[Placed], asked: Prescription) -> Iterator[RepVerdict]:
    """Yield the verdict of each rep; where nobody knows when the next began, neither is the pause before it known."""
    measured = iter(base.reps)
    for one, following in zip(reps, [*reps[1:], None], strict=False):
        verdict = UNSEEN if one.told else next(measured)
        unknown = bool(asked.tempo.bottom_s) and following is not None and following.told and one.counts
        yield replace(verdict, outcome=worst((verdict.outcome, Outcome.NOT_MEASURABLE))) if unknown else verdict


def _under_tension(base: SetVerdict, one: Working, asked: Prescription, clock: TrueTime) -> Outcome:
    """Tell whether the time under tension is long enough for sure: that of the shortest measured reps."""
    if base.target_tut_s is None:
        return Outcome.MET
    seen = [in_true_time(placed.rep, clock) for placed in one.reps if placed.counts and not placed.told]
    least = tension(sorted(seen, key=_length_s)[: one.count]).by_clock(clock.ratio_sd)
    found = within(least, base.target_tut_s * (1 - asked.tolerance.tut_relative))[0]
    if len(seen) == one.count or found is Outcome.MET:
        return found
    return Outcome.NOT_MEASURABLE


def _length_s(rep: Rep) -> float:
    return rep.end_s - rep.start_s
