"""What there is to tell of a set: when it begins, when it closes, what comes after it."""

from __future__ import annotations

from analysis.training.corrections import Act, Correction
from analysis.training.pointing import Draft
from analysis.training.prescription import Prescription
from analysis.training.records import SetRecord
from analysis.training.superset import SetKind
from tui.words import format as words

NO_HOLD = "no hold was seen in it; a adds one, in seconds"
"""Said of what was read as reps where holds are asked for."""


def name_of(record: SetRecord) -> str:
    """Return what a set is called."""
    return f"{'warm-up' if record.kind is SetKind.WARM_UP else 'set'} {record.number}"


def dropped_line(record: SetRecord) -> str:
    """Say that a set is not counted."""
    return f"{name_of(record)} is not counted; what was measured stays"


def left_out_line(undo: str) -> str:
    """Say that the set in progress will not be counted, and what would count it."""
    return f"this set is not counted once it is over; u: {undo}"


def told_words(what: Draft | Correction) -> str:
    """Say what was told: a set of so many reps, or a hold (`Act.ADD`)."""
    held_s = what.value.get("held_s")
    return f"set of {what.value['count']} reps" if held_s is None else f"hold of {held_s} s"


def counts_again_line(what: Draft, record: SetRecord | None) -> str:
    """Say what was taken back: that a set was left out, or that one was told."""
    if what.kind is Act.ADD:
        return f"the {told_words(what)} that was told is taken out again"
    if what.kind in (Act.DROP_REP, Act.COUNT) and record:
        return f"{name_of(record)} stands as it was measured"
    return f"{name_of(record) if record else 'what was left out'} counts again"


class SetNews:
    """The lines of a session's sets, by what is asked."""

    def __init__(self, prescription: Prescription) -> None:
        self._asked = prescription

    def opened(self, number: int, *, warm_up: int, partner: str, goes_on: bool) -> str:
        """Return that hands are on.

        Parameters
        ----------
        number
            Of the set, where it is one that counts.
        warm_up
            Number of the warm-up, where it is one; else 0.
        partner
            Name of the superset's other exercise, where it might be its turn.
        goes_on
            A cluster set goes on after its gap.
        """
        if goes_on:
            return f"set {number} goes on: hands on"
        name = f"warm-up {warm_up}" if warm_up else f"set {number}"
        return f"{name}{f' or {partner}' if partner else ''}: hands on"

    def set_lines(self, done: SetRecord) -> tuple[str, ...]:
        """Return the verdict of a set in words; of one that does not count only that it was."""
        if done.kind is SetKind.PARTNER and self._asked.partner:
            return (f"{self._asked.partner.name}: seen, not counted",)
        if done.kind is SetKind.WARM_UP:
            return (f"warm-up {done.number}: {done.verdict.count} reps, not judged",)
        return tuple(words.set_lines(done.number, done.verdict))

    def gap_lines(self, done: SetRecord) -> tuple[str, str]:
        """Return what was done of a cluster set before its gap, and the gap."""
        so_far = f"set {done.number}: {done.verdict.count} of {done.verdict.target_reps} reps so far"
        return so_far, f"gap {self._asked.gap_s:g} s, then go on"

    def after(self, sets: int, rest_s: float, *, warm_up: int, partner: str) -> str:
        """Return what comes after a set that closed; empty where all that was asked is done.

        Parameters
        ----------
        sets
            Sets that count, done so far.
        rest_s
            The rest that is asked for, seconds.
        warm_up
            Number of the warm-up to come; 0 where none is.
        partner
            Name of the superset's other exercise, where it is its turn.
        """
        if warm_up:
            return f"then warm-up {warm_up}"
        if sets >= self._asked.sets:
            return ""
        rest = f"rest {rest_s:g} s, then set {sets + 1}" if sets else "then set 1"
        return f"{partner}, then {rest}" if partner else rest
