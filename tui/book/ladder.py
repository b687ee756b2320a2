"""Where a trainee stands, as the ladder screen takes it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from analysis.logbook.book import Logbook
from analysis.logbook.entries import Trainee
from analysis.training.climb import climb
from analysis.training.plan import TrainingPlan
from analysis.training.progress import Progress, progress
from analysis.training.progression import NextSession
from analysis.training.records import History
from analysis.training.schedule import Planned, schedule
from tui.book.next import asked_lines, head_words
from tui.book.progress import alike_words, place_words, trend_name, trend_words
from tui.book.show import log_row
from tui.home import Home
from tui.questions.awaited import awaited_lines
from tui.session.plans import proposed, training_for
from tui.views.ladder_view import DayMark, DayView, LadderView, NextView, ReasonView, RungView, Tread, TrendView
from tui.words import format as words

SHOWN = 12
"""So many sessions are shown, the last ones."""
DAYS = 14
"""So many days the calendar has, today included."""


def ladder_of(home: Home, logbook: Logbook, name: str, today: date) -> LadderView:
    """Return where the trainee of that name stands; nothing of somebody who is not in the logbook.

    Parameters
    ----------
    today
        The trainee's calendar day.

    Raises
    ------
    PlanError
        When the trainee's file is no plan.
    """
    person = logbook.trainee(name)
    if person is None:
        return LadderView()
    history = History(logbook.sessions(person.id, with_reps=True), logbook.statements(person.id)).until(today)
    plan = training_for(home, person, history)
    proposal = proposed(history, plan, today)
    how = progress(history, plan, today)
    return LadderView(
        trainee=person.name,
        rungs=_rungs(history, plan, proposal),
        climb=climb(history, plan, today),
        climb_words=place_words(how) if how.sessions else "",
        sessions=tuple(log_row(one, person) for one in reversed(history.sessions[-SHOWN:])),
        trends=tuple(_trends(how)),
        trends_note=f"from {alike_words(how)}",
        coming=_next(proposal, person, today),
        days=_days(history, plan, person, today),
    )


def _rungs(history: History, plan: TrainingPlan, proposal: NextSession) -> tuple[RungView, ...]:
    here = plan.ladder.number(proposal.rung)
    trained = {one.rung for one in history.sessions if one.sets}
    return tuple(
        RungView(
            name=rung.key,
            tread=_tread(number, here or 0, rung.key in trained),
            step=proposal.step if number == here else 0,
            steps=proposal.steps if number == here else len(rung.steps),
            gate=rung.gate,
        )
        for number, rung in enumerate(plan.ladder.rungs)
    )


def _tread(number: int, here: int, trained: bool) -> Tread:
    if number >= here:
        return Tread.HERE if number == here else Tread.AHEAD
    return Tread.CLIMBED if trained else Tread.PASSED


def _trends(how: Progress) -> Iterator[TrendView]:
    for name, found in how.trends.items():
        if found is not None:
            yield TrendView(trend_name(name), trend_words(name, found), found.slope, found.margin)


def _next(proposal: NextSession, person: Trainee, today: date) -> NextView:
    asked = proposal.prescription
    first, *others = proposal.reasons
    awaited = tuple(awaited_lines(proposal, person.name))
    return NextView(
        head=head_words(proposal, today),
        asked=() if asked is None else tuple(asked_lines(asked, proposal.method)),
        cue=proposal.cue,
        reasons=(
            ReasonView(first.text, (*awaited, *first.evidence)),
            *(ReasonView(one.text, _new(one.evidence, first.evidence)) for one in others),
        ),
        cautions=proposal.cautions,
    )


def _new(evidence: tuple[str, ...], told: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(line for line in evidence if line not in told)


def _days(history: History, plan: TrainingPlan, person: Trainee, today: date) -> tuple[DayView, ...]:
    done = {one.day for one in history.sessions if one.sets}
    coming = {one.day: one for one in schedule(history, plan, today, trainee=person.id, weeks=DAYS // 7)}
    return tuple(_day(today + timedelta(days=number), done, coming) for number in range(DAYS))


def _day(day: date, done: set[date], coming: dict[date, Planned]) -> DayView:
    if day not in coming:
        return DayView(day, DayMark.DONE if day in done else DayMark.FREE)
    found = coming[day]
    asked = found.proposal.prescription
    what = "" if asked is None else f"{words.asked(asked)}, rest {asked.rest_s:g} s"
    at = "" if found.at is None else f"{found.at:%H:%M}, "
    return DayView(day, DayMark.COMING if found.tentative else DayMark.NEXT, f"{at}{what}")
