"""The one thing to say about a set: chosen by rule, short, kind, exact."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence

from analysis.motion.results import Rep, Why
from analysis.training.verdict import Outcome, RepVerdict
from analysis.training.words import FAULT_WORDS, PHASE_WORDS, WHY_WORDS, sentence, which_reps

Fault = tuple[str, int]
"""Phase and direction."""

_FIRST = ("down", "top", "half", "range", "start", "up", "lean", "bottom")
"""Which of two equally frequent faults is named: control on the way down before haste on the way up."""

_OPEN = {
    Outcome.NOT_MEASURABLE: "phases not measurable",
    Outcome.UNSURE: "timing too uncertain to tell",
}


def faults(verdicts: Iterable[RepVerdict]) -> dict[Fault, list[int]]:
    """Collect what was off, with the numbers (from 1) of the given reps that show it."""
    found: dict[Fault, list[int]] = defaultdict(list)
    for number, verdict in enumerate(verdicts, start=1):
        off = [(one.name, one.direction) for one in verdict.phases if one.outcome is Outcome.MISSED]
        off += [(one.name, one.direction) for one in verdict.form if one.outcome is Outcome.MISSED]
        for fault in off:
            found[fault].append(number)
    return dict(found)


def main_fault(found: dict[Fault, list[int]]) -> Fault | None:
    """Return the most frequent fault."""
    return max(found, key=lambda fault: (len(found[fault]), -_FIRST.index(fault[0])), default=None)


def fault_words(fault: Fault) -> str:
    """Name a fault: "lowering too quick"."""
    return f"{PHASE_WORDS[fault[0]]} {FAULT_WORDS[fault]}"


def not_measured_words(why: Why | None) -> str:
    """Say why a set's count is not relied on."""
    return "Not measurable." if why is None else f"Not measurable: {WHY_WORDS[why]}."


def count_words(reps: Sequence[Rep], target_reps: int) -> str:
    """Say how many of how many; empty when none is missing."""
    count = sum(rep.counts for rep in reps)
    partial = len(reps) - count
    if count >= target_reps:
        return ""
    return f"{count} of {target_reps} reps{f', {partial} partial' if partial else ''}."


def tempo_words(verdicts: Sequence[RepVerdict], outcome: Outcome) -> str:
    """Say which reps were off or, where that is what keeps the set from being met, could not be told.

    Parameters
    ----------
    verdicts
        Those of the counted reps.
    outcome
        The tempo of the set as a whole.
    """
    found = faults(verdicts)
    fault = main_fault(found)
    if outcome in _OPEN:
        numbers = [number for number, verdict in enumerate(verdicts, start=1) if verdict.outcome is outcome]
        return sentence(f"{_OPEN[outcome]} {which_reps(numbers, len(verdicts))}") if numbers else ""
    if fault is None:
        return ""
    return sentence(f"{fault_words(fault)} {which_reps(found[fault], len(verdicts))}")


def tension_words(tut_s: float | None, target_s: float | None) -> str:
    """Say the time under tension beside its target."""
    return "" if tut_s is None or target_s is None else f"Under tension {tut_s:.0f} s of {target_s:.0f} s."


def rest_words(rest_s: float | None, target_s: float) -> str:
    """Say the rest beside its target."""
    return "" if rest_s is None else f"Rested {rest_s:.0f} s, asked {target_s:g} s."
