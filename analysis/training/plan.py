"""The plan of one trainee: the ladder, how often, with what, for what, and what to be careful of."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, time

from analysis.training.ladder import Ladder
from analysis.training.prescription import Goal, Grip, Start
from analysis.training.rungs import START, default_ladder

EQUIPMENT = ("low-bar", "high-bar", "block", "box", "load", "handles", "rings", "straps", "towel")
"""What a plan may name as being at hand."""

NEUTRAL_NEEDS = frozenset({"handles", "rings", "straps", "towel"})
"""Any one of these allows the neutral grip: on a straight bar the palms cannot face each other."""

FIRST_WEEKS = 8
"""Three days a week, with one free day between, only after so many weeks (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrainingPlan:
    """What holds for one trainee.

    Attributes
    ----------
    start
        Key of the rung on which to begin.
    sessions_a_week, days_between
        As many sessions make a training week; fewest free days between two. Three a week and one free day hold only
        after `FIRST_WEEKS` and with pain up to 3.
    weekdays
        Days on which there is time, Monday 0; none named: any.
    times
        When on these days: one for all of them, or one each in their order; none: any time. Local to wherever it is.
    grips
        In their order of rotation.
    grip_weeks
        Weeks until the grip changes, 2 to 4 (common practice, no source).
    grip_by_weekday
        One grip each of the week's days instead.
    grips_opened_by
        Who allowed other grips than the neutral one in spite of a shoulder or elbow history; empty: nobody.
    blood_pressure_cleared_by
        Which clinician allowed long or heavy holds in spite of high blood pressure; empty: nobody.
    plateau_weeks
        Longest stay with a plateau method.
    test_weeks
        So many weeks from one clean-rep test to the next (`clean_reps`); None: none.
    shoulders_set_from
        Key of the rung from which on a rep begins with the shoulder blades set; before it, in a dead hang.
    acknowledged
        On which day the cautions were read; None: not yet.
    """

    ladder: Ladder
    start: str = START
    goal: Goal = Goal.STRENGTH
    sessions_a_week: int = 2
    days_between: int = 2
    weekdays: tuple[int, ...] = ()
    times: tuple[time, ...] = ()
    grips: tuple[Grip, ...] = (Grip.PRONATED, Grip.SUPINATED, Grip.NEUTRAL)
    grip_weeks: int = 4
    grip_by_weekday: bool = False
    grips_opened_by: str = ""
    plateau_weeks: int = 6
    test_weeks: int | None = None
    equipment: frozenset[str] = frozenset(EQUIPMENT)
    shoulder_history: bool = False
    elbow_history: bool = False
    high_blood_pressure: bool = False
    blood_pressure_cleared_by: str = ""
    shoulders_set_from: str = "box"
    group: str = ""
    acknowledged: date | None = None

    @property
    def grips_allowed(self) -> tuple[Grip, ...]:
        """The grips that may be prescribed: with a shoulder or elbow history the neutral one, and what is at hand."""
        careful = (self.shoulder_history or self.elbow_history) and not self.grips_opened_by
        named = (Grip.NEUTRAL,) if careful else self.grips
        return tuple(grip for grip in named if self._at_hand(grip))

    def grips_on(self, rung: int) -> tuple[Grip, ...]:
        """Return those of them that a rung allows."""
        only = self.ladder.rungs[rung].grips
        return tuple(grip for grip in self.grips_allowed if grip in only or not only)

    def _at_hand(self, grip: Grip) -> bool:
        if grip is Grip.TOWEL:
            return "towel" in self.equipment
        return grip is not Grip.NEUTRAL or bool(NEUTRAL_NEEDS & self.equipment)

    def start_of(self, rung: int) -> Start:
        """Return how a rep begins on a rung: shoulders set later on, and with any shoulder history."""
        later = self.ladder.number(self.shoulders_set_from)
        early = later is not None and rung < later
        return Start.HANG if early and not self.shoulder_history else Start.SHOULDERS_SET

    def time_on(self, day: date) -> time | None:
        """Return the time of day planned for a day; None where none is."""
        if len(self.times) <= 1:
            return next(iter(self.times), None)
        planned = dict(zip(self.weekdays, self.times, strict=False))
        return planned.get(day.weekday())

    def frequency(self, weeks: int, pain: int) -> tuple[int, int]:
        """Return sessions a week and free days between, after so many weeks of training and with so much pain."""
        if weeks >= FIRST_WEEKS and pain <= 3:
            return self.sessions_a_week, self.days_between
        return min(self.sessions_a_week, 2), max(self.days_between, 2)


def default_plan(goal: Goal = Goal.STRENGTH) -> TrainingPlan:
    """Return the plan that holds where none was written."""
    return TrainingPlan(ladder=default_ladder(goal), goal=goal)
