"""The rule of the clean-rep test: every so many weeks, if the plan says so, one set until form breaks.

It stands in the place of a session and moves nothing on the ladder: the week before it keeps what it earned, and the
session after it is the one that would have come. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from itertools import takewhile

from analysis.training.cautions import SLOW_S, slow
from analysis.training.decision import PRACTICE, Decision, decide, week_evidence
from analysis.training.ladder import Method
from analysis.training.records import SessionRecord
from analysis.training.situation import Situation
from analysis.training.words import day

WEEK = 7


@dataclass(frozen=True, slots=True)
class CleanReps:
    """One test that was done.

    Attributes
    ----------
    clean
        Full reps as asked until form broke; None where that was not measured.
    count
        Reps that counted.
    """

    day: date
    exercise: str
    clean: int | None
    count: int

    @property
    def words(self) -> str:
        """The result in words."""
        told = f"{self.count} reps, tempo not checked" if self.clean is None else f"{self.clean} clean of {self.count}"
        return f"{told} ({day(self.day)})"


def clean_reps(now: Situation) -> Decision | None:
    """Ask for a test in the place of a session, where the plan wants one and the last one is long enough ago.

    Only after a week that was met, by the rung's own steps, and never where a set until form breaks is none to ask for:
    in the early weeks, after fewer reps, of holds and slow lowerings, of what is typed in, with high blood pressure.
    """
    every = now.plan.test_weeks
    if every is None or not _can(now):
        return None
    since, last = _since(now)
    if (now.due - since).days < every * WEEK:
        return None
    when = f"this rung began on {day(since)}" if last is None else f"the last one was on {day(since)}"
    text = (
        f"A test in the place of a session, every {every} weeks ({when}): one set of clean full reps. Stop at the "
        "first one that is not. It moves nothing on the ladder."
    )
    seen = () if last is None else (f"last test: {last.words}",)
    asked = decide(now.here, "test", text, *week_evidence(now), *seen, PRACTICE)
    return replace(asked, grip=now.placed[-1][1].prescription.grip, is_test=True)


def _can(now: Situation) -> bool:
    rung, step, plan = now.ladder.rungs[now.here.rung], now.ladder.at(now.here), now.plan
    pressed = plan.high_blood_pressure and not plan.blood_pressure_cleared_by
    held = step.hold_s is not None or step.half_pause_s is not None or step.tempo.top_s >= SLOW_S or slow(step)
    own = now.here.method is Method.OWN and not now.here.fewer_reps
    return own and not (now.early or pressed or held or rung.typed)


def _since(now: Situation) -> tuple[date, CleanReps | None]:
    """Return from when on the weeks are counted: the last test of this exercise, or when the rung was begun."""
    on_rung = list(takewhile(lambda one: one[0].rung == now.here.rung, reversed(now.placed)))
    began = on_rung[-1][1].day
    key = now.ladder.rungs[now.here.rung].exercise.key
    later = takewhile(lambda one: one.day >= began, reversed(now.done))
    last = next((one for one in later if _is_of(one, key)), None)
    return (began, None) if last is None else (last.day, _result(last))


def _is_of(record: SessionRecord, exercise: str) -> bool:
    return record.prescription.is_test and record.prescription.exercise.key == exercise


def clean_rep_results(done: tuple[SessionRecord, ...]) -> Iterator[CleanReps]:
    """Yield the tests among sessions, in their order."""
    yield from (_result(one) for one in done if one.prescription.is_test and one.sets)


def _result(record: SessionRecord) -> CleanReps:
    first = record.sets[0].verdict
    return CleanReps(record.day, record.prescription.exercise.key, first.clean, first.count)
