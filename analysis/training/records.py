"""What was done: the pure form in which the log keeps it and the ladder reads it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any
from uuid import UUID

from analysis.motion.mounts import Mount, Place
from analysis.motion.results import Rep, Why
from analysis.training.corrections import Given, Mark
from analysis.training.ladder import Method
from analysis.training.prescription import Prescription
from analysis.training.setup import UNSAID, SetUp
from analysis.training.statements import Statement
from analysis.training.superset import SetKind
from analysis.training.verdict import Outcome, SessionVerdict, SetVerdict


class Source(StrEnum):
    """Where the figures of a session come from."""

    SENSOR = "sensor"
    TYPED = "typed"
    IMPORTED = "imported"


@dataclass(frozen=True, slots=True, kw_only=True)
class SetRecord:
    """One set that was done.

    Attributes
    ----------
    number
        1, 2, 3, … within the session.
    bouts
        Numbers of the bouts of motion it consists of.
    start_s, end_s, reps
        As measured, on the sensor's own clock: they point into the recording.
    rest_before_s
        True seconds since the end of the set before; None for the first.
    clock_ratio
        True seconds in one of the sensor's, with which the verdict was found.
    trainee
        Who did it, where that is not the session's own trainee: two people may share a bar.
    kind
        A set of the superset's partner, or a warm-up, is kept and never counted; it is numbered for itself.
    load_kg
        With which it was done, where a person says so; None: as asked.
    given
        By what it is judged, where a person says that it was another's than the session's own trainee's.
    begins_down, direction
        How it began, as of a bout: from this and from the sets around it follows whose it was.
    marks, measured_count
        What a person corrected of it, and how many reps counted before; none, and None, where nobody did.
    """

    number: int
    bouts: tuple[int, ...]
    start_s: float
    end_s: float
    reps: tuple[Rep, ...]
    measured: bool
    why: Why | None
    rest_before_s: float | None
    verdict: SetVerdict
    clock_ratio: float = 1.0
    trainee: UUID | None = None
    kind: SetKind = SetKind.EXERCISE
    load_kg: float | None = None
    given: Given | None = None
    begins_down: bool | None = None
    direction: tuple[float, float, float] | None = None
    marks: tuple[Mark, ...] = ()
    measured_count: int | None = None

    def is_corrected(self, rep: Rep) -> bool:
        """Tell whether a person corrected this rep of it."""
        return any(one.is_about(rep) for one in self.marks)


@dataclass(frozen=True, kw_only=True)
class SessionRecord:
    """One session, finished or broken off.

    Attributes
    ----------
    day
        The trainee's own calendar day on which it began.
    started_utc_us, ended_utc_us
        Microseconds since 1970-01-01 UTC; the end is None where the session was broken off.
    rung
        Key of the rung it was done for; None outside the ladder.
    sets
        In their order, those of the prescribed exercise.
    verdict
        As found when it ended; of a session broken off, that of the sets it has.
    recording
        File name of the raw recording; empty without one.
    demo
        Done by the virtual trainee.
    place
        Where on the body the sensor sat: whether lean is the trunk's, or the pelvis's tilt. None where nobody said.
    partners
        Sets of the superset's partner, in their order: told, never counted.
    warm_ups
        Warm-up sets, in their order: kept, never judged or counted.
    others
        What other people did in it, of every kind, in order of time: two may share a bar (`sharing`).
    method
        How the rung was climbed.
    source
        Whether the sensor counted, or a person told it.
    seen_by
        Who watched a session that was typed in; empty: nobody.
    set_up
        What stood around the trainee.
    rpe
        Perceived exertion of the whole session, 0–10; None where it was not asked.
    minutes
        How long it took, as told; None: from start to end.
    note
        What a person wrote beside it.
    marks
        The corrections that hold; sets, verdict and the prescription's load are as corrected.
    self_told
        Met only by what the trainee corrected, without the coach.
    """

    session_id: UUID
    trainee: UUID
    day: date
    started_utc_us: int
    ended_utc_us: int | None
    rung: str | None
    prescription: Prescription
    mount: Mount
    sensor: str
    recording: str
    sets: Sequence[SetRecord]
    verdict: SessionVerdict
    demo: bool = False
    place: Place | None = None
    partners: Sequence[SetRecord] = ()
    warm_ups: Sequence[SetRecord] = ()
    others: tuple[SetRecord, ...] = ()
    method: Method = Method.OWN
    source: Source = Source.SENSOR
    seen_by: str = ""
    set_up: SetUp = UNSAID
    rpe: int | None = None
    minutes: float | None = None
    note: str = ""
    marks: tuple[Mark, ...] = ()
    self_told: bool = False

    @classmethod
    def of(cls, fields: Mapping[str, Any]) -> SessionRecord:
        """Return the record of these fields, by name, in a sixth of the constructor's time.

        That sets each field of a frozen class by a call, which is most of what reading years of sessions costs.
        """
        made = object.__new__(cls)
        made.__dict__.update(fields)  # without slots, a field left out has its default from the class
        return made

    @property
    def outcome(self) -> Outcome:
        """The answer to whether it was done as asked."""
        return self.verdict.outcome

    @property
    def confirmed(self) -> bool:
        """Whether it was counted by the sensor or seen by somebody else, and not met by the trainee's word alone."""
        return (self.source is Source.SENSOR or bool(self.seen_by)) and not self.self_told


@dataclass(frozen=True, slots=True)
class History:
    """All that the next session rests on, of one trainee, in any order."""

    sessions: tuple[SessionRecord, ...] = ()
    statements: tuple[Statement, ...] = ()

    def until(self, day: date) -> History:
        """Return what was known at the end of a day."""
        return History(
            tuple(one for one in self.sessions if one.day <= day),
            tuple(one for one in self.statements if one.day <= day),
        )
