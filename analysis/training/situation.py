"""Where a trainee stands, read from the log: the one thing that the rules look at."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from analysis.training.cautions import EARLY_DAYS, LAY_OFF_DAYS
from analysis.training.ladder import Ladder, Position
from analysis.training.records import SessionRecord
from analysis.training.verdict import Outcome, SetVerdict


@dataclass(frozen=True, slots=True)
class Situation:
    """Where a trainee stands.

    Attributes
    ----------
    done
        Sessions in which at least one set was done, in order of time.
    at
        Position of the last one that is a step of the ladder; None when there is none.
    week
        Sessions of the training week in progress at that position (or of the week just completed): consecutive ones
        since the position was reached or a lay-off ended, `Ladder.sessions_a_week` to a week.
    """

    ladder: Ladder
    today: date
    done: tuple[SessionRecord, ...]
    at: Position | None
    week: tuple[SessionRecord, ...]

    @property
    def last_day(self) -> date | None:
        """Day of the last session."""
        return self.done[-1].day if self.done else None

    @property
    def days_off(self) -> int:
        """Days since the last session; 0 before the first."""
        return 0 if self.last_day is None else (self.today - self.last_day).days

    @property
    def week_complete(self) -> bool:
        """Whether all sessions of the week were done."""
        return len(self.week) == self.ladder.sessions_a_week

    @property
    def due(self) -> date:
        """Earliest day of the next session."""
        if self.last_day is None:
            return self.today
        return max(self.today, self.last_day + timedelta(days=self.ladder.days_between + 1))

    @property
    def early(self) -> bool:
        """Whether the next session falls into the first two weeks, or two weeks after a lay-off."""
        return (self.due - self._began()).days < EARLY_DAYS

    def _began(self) -> date:
        """Return the day on which training began, or began again."""
        days = [*(record.day for record in self.done), self.due]
        returns = [after for before, after in pairwise(days) if _lay_off(before, after)]
        return returns[-1] if returns else days[0]


def situation(history: Sequence[SessionRecord], ladder: Ladder, today: date) -> Situation:
    """Read the log of one trainee.

    Parameters
    ----------
    history
        Sessions in any order; those without a set, and those that are no step of the ladder, decide nothing but days.
    ladder
        The ladder in use.
    today
        The trainee's calendar day.
    """
    done = tuple(sorted((record for record in history if record.sets), key=lambda record: record.started_utc_us))
    placed = [(ladder.position(record.rung, record.prescription), record) for record in done]
    known = [(position, record) for position, record in placed if position is not None]
    at = known[-1][0] if known else None
    here = list(_at_end(known, at))[::-1]
    size = ladder.sessions_a_week
    week = here[(len(here) - 1) // size * size :] if here else []
    return Situation(ladder, today, done, at, tuple(week))


def _at_end(known: Sequence[tuple[Position, SessionRecord]], at: Position | None) -> Iterator[SessionRecord]:
    """Yield, from the last backwards, the sessions done at one position without a lay-off between."""
    after: date | None = None
    for position, record in reversed(known):
        if position != at or (after is not None and _lay_off(record.day, after)):
            return
        after = record.day
        yield record


def _lay_off(before: date, after: date) -> bool:
    return (after - before).days >= LAY_OFF_DAYS


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

    A rest longer than asked makes the session easier, so the step it stands for was not done.
    """
    asked = [one.verdict for one in record.sets[: record.prescription.sets]]
    if record.outcome is not Outcome.MET:
        return Standing(record.outcome, _matter(asked, record.prescription.sets))
    for number, one in enumerate(asked[1:], start=2):
        if one.rest_outcome is Outcome.MISSED:
            return Standing(Outcome.MISSED, _rest_matter(number, one), rest_only=True)
        if one.rest_outcome is not Outcome.MET:
            return Standing(one.rest_outcome, f"the rest before set {number} is not known")
    return Standing(Outcome.MET)


def _matter(asked: Sequence[SetVerdict], sets: int) -> str:
    """Name the first set that decides, else the sets that are missing."""
    rank = (Outcome.MISSED, Outcome.NOT_MEASURABLE, Outcome.UNSURE)
    for outcome in rank[:1] if len(asked) < sets else rank:
        for number, one in enumerate(asked, start=1):
            if one.outcome is outcome:
                return f"set {number}: {one.remark[:1].lower()}{one.remark[1:].rstrip('.')}"
    return f"{len(asked)} of {sets} sets"


def _rest_matter(number: int, one: SetVerdict) -> str:
    return f"rest before set {number} was {one.rest_before_s:.0f} s, asked {one.target_rest_s:g} s"
