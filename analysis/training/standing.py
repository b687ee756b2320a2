"""What a session counts for on the ladder."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from analysis.training.records import SessionRecord
from analysis.training.verdict import Outcome, SetVerdict

FAULTY = 1 / 3
"""Share of the reps from which on a fault of form counts as one of the session (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Standing:
    """What a session counts for on the ladder: its outcome, the rests included, and what was the matter.

    Attributes
    ----------
    matter
        Short, without the day; empty when it was met.
    rest_only
        The sets were met, a rest was longer than asked.
    """

    outcome: Outcome
    matter: str = ""
    rest_only: bool = False


def standing(record: SessionRecord) -> Standing:
    """Tell whether a session was met on the ladder: as asked, with the rests kept.

    A rest longer than asked makes the session easier, so the step it stands for was not done. Where the coach asked for
    less while it went on, or for more that was not reached, it tells nothing of that step.
    """
    asked, changed = [one.verdict for one in record.sets[: record.prescription.sets]], record.prescription.changes
    if changed and (record.outcome is not Outcome.MET or record.prescription.is_eased):
        return Standing(Outcome.NOT_MEASURABLE, "the coach changed what was asked")
    if record.outcome is not Outcome.MET:
        return Standing(record.outcome, _matter(asked, record.prescription.sets))
    for number, one in enumerate(asked[1:], start=2):
        if one.rest_outcome is Outcome.MISSED:
            return Standing(Outcome.MISSED, _rest_matter(number, one), rest_only=True)
        if one.rest_outcome is not Outcome.MET:
            return Standing(one.rest_outcome, _rest_doubt(number, one))
    return Standing(Outcome.MET)


def met(record: SessionRecord) -> bool:
    """Tell whether a session was met on the ladder."""
    return record.outcome is Outcome.MET and standing(record).outcome is Outcome.MET  # of others no set need be read


def form_fault(record: SessionRecord) -> tuple[str, int] | None:
    """Return the fault of form (phase, direction) that a third of a session's reps show; the most frequent one."""
    reps = sum(one.verdict.count for one in record.sets)
    totals: dict[tuple[str, int], int] = {}
    for one in record.sets:
        for fault in one.verdict.faults:
            key = (fault.phase, fault.direction)
            totals[key] = totals.get(key, 0) + fault.reps
    most = max(totals, key=lambda key: totals[key], default=None)
    return most if most is not None and totals[most] >= FAULTY * reps else None


def reps_done(record: SessionRecord) -> int:
    """Return the counted reps of the sets that were asked for."""
    return sum(one.verdict.count for one in record.sets[: record.prescription.sets])


def over_target(record: SessionRecord) -> bool:
    """Tell whether the last set asked for went two reps or more over its target (Baechle & Earle 2006)."""
    asked = record.prescription
    if not len(record.sets) >= asked.sets > 0:
        return False
    last = record.sets[asked.sets - 1]
    return last.verdict.count >= max(asked.reps, asked.at(last.start_s).reps) + OVER_REPS


OVER_REPS = 2
"""The 2-for-2 rule: two reps over the goal in the last set, in two sessions running (Baechle & Earle 2006)."""


def _matter(asked: Sequence[SetVerdict], sets: int) -> str:
    """Name the first set that decides, else the sets that are missing."""
    rank = (Outcome.MISSED, Outcome.NOT_MEASURABLE, Outcome.UNSURE)
    for outcome in rank[:1] if len(asked) < sets else rank:
        for number, one in enumerate(asked, start=1):
            if one.outcome is outcome:
                return f"set {number}: {one.remark[:1].lower()}{one.remark[1:].rstrip('.')}"
    return f"{len(asked)} of {sets} sets"


def _rest_doubt(number: int, one: SetVerdict) -> str:
    if one.rest_before_s is None or one.rest_outcome is not Outcome.UNSURE:
        return f"the rest before set {number} is not known"
    near = f"about {one.rest_before_s:.0f} s, asked {one.target_rest_s:g} s"
    return f"it cannot be told for sure whether the rest before set {number} was kept: {near}"


def _rest_matter(number: int, one: SetVerdict) -> str:
    return f"rest before set {number} was {one.rest_before_s:.0f} s, asked {one.target_rest_s:g} s"
