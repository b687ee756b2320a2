"""Sets while corrections are applied to them (`applying`)."""

from __future__ import annotations

from dataclasses import dataclass, replace

from analysis.motion.results import Rep, Why
from analysis.training.corrections import Given, Mark
from analysis.training.records import SetRecord
from analysis.training.superset import SetKind


@dataclass(frozen=True, slots=True)
class Placed:
    """A rep of a set.

    Attributes
    ----------
    told
        A person put it there: only its place is known, none of its times.
    short
        It was judged to stay below its share of the reference rep's travel.
    vouched
        A person says that it counts: its travel decides nothing.
    """

    rep: Rep
    told: bool = False
    short: bool = False
    vouched: bool = False

    @property
    def counts(self) -> bool:
        """Whether it counts."""
        return self.rep.counts and not self.short

    @property
    def to_judge(self) -> Rep:
        """The rep as it is to be judged."""
        return replace(self.rep, travel_m=None) if self.vouched else self.rep


@dataclass(frozen=True, slots=True, kw_only=True)
class Working:
    """A set while corrections are applied; times on the sensor's own clock.

    Attributes
    ----------
    of
        The measured sets it comes from: none where only a person says that it was, more than one where it was one set
        and the analysis found several.
    start_s, end_s
        Of its measured reps.
    said
        Of which kind a person says that it was; None where nobody did.
    given
        To whom a person gave it, the session's own trainee too; None where nobody did.
    unsure
        It may have been the other exercise's.
    reps
        In order of time.
    unread
        Reps of a set that was told, not read from motion.
    told
        How many there were, as a person says; None where nobody did.
    told_s
        Of a hold how many seconds it was, as a person says; None where nobody did.
    load_kg
        As a person says; None: as asked.
    changed
        Whether it must be judged anew.
    """

    of: tuple[SetRecord, ...]
    start_s: float
    end_s: float
    kind: SetKind = SetKind.EXERCISE
    said: SetKind | None = None
    given: Given | None = None
    unsure: bool = False
    reps: tuple[Placed, ...] = ()
    unread: int = 0
    told: int | None = None
    told_s: int | None = None
    load_kg: float | None = None
    marks: tuple[Mark, ...] = ()
    changed: bool = False

    @property
    def found(self) -> int:
        """How many reps count, as far as they are listed."""
        return self.unread + sum(one.counts for one in self.reps)

    @property
    def count(self) -> int:
        """How many reps count."""
        return self.found if self.told is None else self.told

    @property
    def begins_down(self) -> bool | None:
        """Whether its first stroke went down."""
        return self.of[0].begins_down if self.of else None

    @property
    def direction(self) -> tuple[float, float, float] | None:
        """Its posture."""
        return self.of[0].direction if self.of else None

    @property
    def relied(self) -> bool:
        """Whether its count may be relied on, as far as the motion says."""
        return all(one.measured for one in self.of)

    @property
    def why(self) -> Why | None:
        """Why it may not."""
        return next((one.why for one in self.of if one.why), None)


def working(record: SetRecord) -> Working:
    """Return a set as it was measured."""
    return Working(
        of=(record,),
        start_s=record.start_s,
        end_s=record.end_s,
        kind=record.kind,
        reps=tuple(
            Placed(rep, short=verdict.short) for rep, verdict in zip(record.reps, record.verdict.reps, strict=True)
        ),
        unread=0 if record.reps else record.verdict.count,
    )


def of_kind(one: Working, kind: SetKind) -> Working:
    """Return a set as one of another kind."""
    return one if one.kind is kind else replace(one, kind=kind, changed=True)
