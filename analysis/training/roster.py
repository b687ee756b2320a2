"""Who of a group needs a look, and why: one row a trainee, the most urgent first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from analysis.training.climbing import stalled
from analysis.training.decision import Awaits
from analysis.training.gate import answers, closed
from analysis.training.ladder import Method
from analysis.training.pain import ACCEPTABLE
from analysis.training.plan import TrainingPlan
from analysis.training.progression import NextSession, following
from analysis.training.records import History
from analysis.training.situation import Situation, situation
from analysis.training.statements import Pain, Question
from analysis.training.verdict import Outcome
from analysis.training.words import day, listing


class Need(StrEnum):
    """Why somebody needs a look, the most urgent first."""

    STOP = "stop"
    PAIN = "pain"
    NO_SESSION = "no session"
    TOO_HARD = "too hard"
    STALL = "stalled"
    SKIPPED = "skipped"
    STEP_UP = "may step up"
    FORM = "form"
    NEW = "new"


_URGENCY = {need: rank for rank, need in enumerate(Need)}


@dataclass(frozen=True, slots=True)
class Look:
    """One thing to look at, in a few words."""

    need: Need
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RosterRow:
    """One trainee.

    Attributes
    ----------
    upcoming
        What comes next; its rung and step are where the trainee is from now on.
    last, last_outcome
        The last session; None where there is none.
    pain
        Worst since the last session began; None where nobody said.
    looks
        What to look at, the most urgent first; empty where nothing is.
    """

    name: str
    group: str
    upcoming: NextSession
    last: date | None
    last_outcome: Outcome | None
    pain: int | None
    looks: tuple[Look, ...]


def roster(people: Iterable[tuple[str, TrainingPlan, History]], today: date) -> tuple[RosterRow, ...]:
    """Return the rows of a group, those first who need a look most; among alike the one longest away.

    Parameters
    ----------
    people
        Name, plan and log of each.
    today
        Their calendar day.
    """
    return tuple(sorted((_row(*one, today) for one in people), key=_urgency))


def _urgency(row: RosterRow) -> tuple[int, date, str]:
    first = _URGENCY[row.looks[0].need] if row.looks else len(_URGENCY)
    return first, row.last or date.min, row.name.casefold()


def _row(name: str, plan: TrainingPlan, history: History, today: date) -> RosterRow:
    now = situation(history, plan, today)
    upcoming = following(now)
    last = now.done[-1] if now.done else None
    return RosterRow(
        name=name,
        group=plan.group,
        upcoming=upcoming,
        last=now.last_day,
        last_outcome=last.outcome if last else None,
        pain=now.pain.level,
        looks=tuple(_looks(now, upcoming)),
    )


def _looks(now: Situation, upcoming: NextSession) -> Iterator[Look]:
    """Yield what to look at, in the order of `Need`."""
    yield from _hurt(now)
    first = upcoming.reasons[0]
    if upcoming.prescription is None and now.pain.stop is None and now.pain.signs is None:
        yield Look(Need.NO_SESSION, first.text.removeprefix("No session: "))
    if first.rule == "too hard":
        yield Look(Need.TOO_HARD, first.text.removeprefix("Too hard: "))
    if first.rule == "stall" or stalled(now):
        kind = "" if upcoming.method is Method.OWN else f", now {upcoming.method.value}"
        yield Look(Need.STALL, f"two weeks not met{kind}")
    if upcoming.prescription is not None and now.skipped >= 2:
        yield Look(Need.SKIPPED, f"{now.skipped} sessions, {now.days_off} days off")
    elif upcoming.prescription is not None and _lacking(now):
        yield Look(Need.SKIPPED, "in each of the last two weeks a session")
    if first.rule == "gate":
        yield Look(Need.STEP_UP, _step_up(now, upcoming))
    yield from _form(now)
    if not now.done:
        yield Look(Need.NEW, "no session yet")


def _lacking(now: Situation) -> bool:
    """Whether each of the last two weeks that are over lacks a session."""
    over = now.weeks if now.week_over else now.weeks[:-1]
    return len(over) > 1 and not any(week in now.whole_weeks for week in over[-2:])


def _step_up(now: Situation, upcoming: NextSession) -> str:
    """Say whether the step up comes, and else what it waits for: a word, a session, or a limit of the plan."""
    waits = closed(now)
    if upcoming.awaits is Awaits.FORM:
        return "waits for form"
    if waits:
        return f"waits {waits.rstrip('.')}"
    if now.at is not None and upcoming.rung == now.ladder.rungs[now.at.rung].key:
        return f"held back: {upcoming.reasons[1].text.rstrip('.')}"
    return f"to {upcoming.rung}"


def _hurt(now: Situation) -> Iterator[Look]:
    """Yield warning signs, a stop, or pain that is more than acceptable."""
    state = now.pain
    if state.signs is not None:
        yield Look(Need.STOP, f"warning signs on {day(state.signs)}: medical care, then a clinician's release")
    if state.stop is not None:
        release = "; needs a release" if state.stop.needs_release else ""
        yield Look(Need.STOP, f"{state.stop.why} on {day(state.stop.began)}{_where(now)}{release}")
    elif state.reopened is not None:
        yield Look(Need.PAIN, f"one rung back after the stop of {day(state.reopened.began)}{_where(now)}")
    elif state.level is not None and state.level > ACCEPTABLE:
        twice = ", twice running" if state.twice else ""
        yield Look(Need.PAIN, f"{state.level} of 10{twice}{_where(now)}")


def _where(now: Situation) -> str:
    named = [one.where for one in now.statements if isinstance(one, Pain) and one.where]
    return f" ({named[-1]})" if named else ""


def _form(now: Situation) -> Iterator[Look]:
    """Yield the questions of form that stand before a step up which may come next."""
    if now.at is None or now.at.method is not Method.OWN or now.ladder.above(now.at) is not None:
        return
    if now.at.rung + 1 >= len(now.ladder.rungs):
        return
    found = answers(now)
    unanswered = [one.value for one in Question if one not in found]
    failing = [one.value for one, answer in found.items() if not answer.yes]
    if unanswered:
        yield Look(Need.FORM, f"{'? '.join(unanswered)}?")
    if failing:
        yield Look(Need.FORM, f"not yet: {listing(failing)}")
