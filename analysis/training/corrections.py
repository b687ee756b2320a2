"""What people say against what was measured: values, and which of them stand. `correcting` applies them.

A correction points at a span of the recording, not at a row of the log, so it survives a new analysis. Both are kept:
what was measured, and every correction with who, when and why; one that was wrong is undone by another, never removed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any
from uuid import UUID

from analysis.motion.results import Rep
from analysis.training.ladder import Method
from analysis.training.prescription import Prescription


class Act(StrEnum):
    """What a correction does; `Correction.value` for each.

    Of reps: `{"reps": [{"start_s", "end_s", "kind"}]}`, what there is in the span, and `"seen"`, how many reps there
    were, where that is not as in `SEEN`. `COUNT`: `{"count", "seen"}`, how
    many, and how many were counted when it was said. `ADD`: `{"count"}`, of a set that nobody measured, or
    `{"held_s"}`, of a hold. `LOAD`: `{"load_kg"}`. `RELABEL`: a `superset.SetKind`. `UNDO`: the id of another
    correction. `DROP`: nothing. `GIVE`: a `Given`.
    """

    ADD_REP = "add-rep"
    DROP_REP = "drop-rep"
    MERGE = "merge"
    SPLIT = "split"
    REP_KIND = "rep-kind"
    COUNT = "count"
    ADD = "add"
    LOAD = "load"
    DROP = "drop"
    RELABEL = "relabel"
    GIVE = "give"
    UNDO = "undo"


SEEN = {Act.ADD_REP: 0, Act.DROP_REP: 1, Act.MERGE: 2, Act.SPLIT: 1, Act.REP_KIND: 1}
"""Corrections of reps, and how many reps there were in the span when it was said."""


class Because(StrEnum):
    """Why something is corrected; `KEYS` has one key for each."""

    NOT_A_REP = "not-a-rep"
    MISSED = "missed"
    NOT_FULL = "not-full"
    FULL = "full"
    TWO_AS_ONE = "two-as-one"
    ONE_AS_TWO = "one-as-two"
    OTHER_EXERCISE = "other-exercise"
    SOMEBODY_ELSE = "somebody-else"
    TYPED_WRONG = "typed-wrong"
    MISTAKEN = "mistaken"
    OTHER = "other"


KEYS = {
    "n": Because.NOT_A_REP,
    "m": Because.MISSED,
    "p": Because.NOT_FULL,
    "f": Because.FULL,
    "2": Because.TWO_AS_ONE,
    "1": Because.ONE_AS_TWO,
    "e": Because.OTHER_EXERCISE,
    "s": Because.SOMEBODY_ELSE,
    "t": Because.TYPED_WRONG,
    "u": Because.MISTAKEN,
    "o": Because.OTHER,
}

BECAUSE_WORDS = {
    Because.NOT_A_REP: "not a rep",
    Because.MISSED: "missed by the sensor",
    Because.NOT_FULL: "not the full way",
    Because.FULL: "the full way after all",
    Because.TWO_AS_ONE: "two reps read as one",
    Because.ONE_AS_TWO: "one rep read as two",
    Because.OTHER_EXERCISE: "another exercise",
    Because.SOMEBODY_ELSE: "somebody else",
    Because.TYPED_WRONG: "typed wrong",
    Because.MISTAKEN: "the correction was a mistake",
    Because.OTHER: "other",
}


class By(StrEnum):
    """Who corrects: what only the trainee says makes no step up (`SessionRecord.confirmed`)."""

    COACH = "coach"
    TRAINEE = "trainee"


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """Whose a set was, and by what it is judged.

    Attributes
    ----------
    trainee
        Who did it; the session's own trainee: it is given back.
    prescription
        What was asked of that person on the day; None where it is given back.
    rung, method
        For what; None: outside the ladder.
    reference_m
        Travel of that person's reference rep, metres; None where none is stored.
    into
        The session that person had on the day, which the set joins; None: it is one of its own.
    """

    trainee: UUID
    prescription: Prescription | None = None
    rung: str | None = None
    method: Method = Method.OWN
    reference_m: float | None = None
    into: UUID | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction:
    """What a person says against what was measured.

    Attributes
    ----------
    id
        Its own, for undoing it and for keeping an imported one once.
    start_s, end_s
        Span of the recording, on the sensor's own clock.
    kind, value
        What is corrected, and what holds instead: see `Act`.
    reason, text
        Why, and more about it in the person's own words; may be empty.
    who, role
        Name of the one who says so, and whether that is the coach.
    made_utc_us
        Microseconds since 1970-01-01 UTC.
    """

    id: UUID
    session_id: UUID
    start_s: float
    end_s: float
    kind: Act
    value: Any
    reason: Because
    who: str
    made_utc_us: int
    role: By = By.TRAINEE
    text: str = ""

    @property
    def middle_s(self) -> float:
        """Middle of the span."""
        return (self.start_s + self.end_s) / 2


@dataclass(frozen=True, slots=True)
class Mark:
    """That a correction holds for a session, and for a set of it.

    Attributes
    ----------
    disagrees
        The analysis in use found something else there than the one that was corrected, and not what was said either:
        somebody should look.
    """

    made: Correction
    disagrees: bool = False

    def is_about(self, rep: Rep) -> bool:
        """Tell whether it is about this rep."""
        return self.made.kind in SEEN and self.made.start_s <= (rep.start_s + rep.end_s) / 2 <= self.made.end_s


def standing_corrections(made: Sequence[Correction]) -> tuple[Correction, ...]:
    """Return the corrections that hold: in order of time, without those undone and without the undoing.

    An undoing can be undone too; then what it had undone holds again.

    Parameters
    ----------
    made
        All of a session, in any order.
    """
    gone = undone(made)
    return tuple(one for one in _in_time(made) if one.kind is not Act.UNDO and one.id not in gone)


def undone(made: Sequence[Correction]) -> frozenset[UUID]:
    """Return the ids of the corrections, and of the undoings, of a session that are undone."""
    gone: set[str] = set()
    for one in reversed(_in_time(made)):
        if one.kind is Act.UNDO and str(one.id) not in gone:
            gone.add(str(one.value))
    return frozenset(one.id for one in made if str(one.id) in gone)


def _in_time(made: Sequence[Correction]) -> list[Correction]:
    return sorted(made, key=lambda one: (one.made_utc_us, one.kind is Act.UNDO))
