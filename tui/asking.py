"""The questions at a terminal before the first set and after the last: pain, warning signs, how hard it was."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import date

import click

from analysis.logbook.book import Logbook
from analysis.motion.mounts import Mount
from analysis.training.pain import stops
from analysis.training.situation import situation
from analysis.training.statements import Pain, Signs, Statement
from tui.home import Home
from tui.plans import Plan, done_by, log_of, trainee_called, training_for, worn_at
from tui.set_up_words import ask_set_up, last_set_up

NO_ANSWER = -1

TEN = "x"
"""The key for 10: each answer is one key."""


class Level(click.IntRange):
    """0 to 10; `x` is 10."""

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> int:
        """Return the number, or fail with what is allowed."""
        if value == NO_ANSWER:
            return NO_ANSWER
        text = "10" if str(value).strip().lower() == TEN else str(value).strip()
        if not text.isdecimal() or int(text) > 10:
            self.fail(f"{value} is not allowed; give 0 to 10, or {TEN} for 10.", param, ctx)
        return int(text)


def ask_before(home: Home, logbook: Logbook, name: str, day: date, now_us: int) -> tuple[Statement, ...]:
    """Ask before the first set: pain now, the worst since last time, in the first weeks the warning signs.

    Parameters
    ----------
    name
        The trainee's.
    day, now_us
        The trainee's day, and the moment (µs since 1970-01-01 UTC).

    Returns
    -------
    tuple of Statement
        What is not in the log yet: nobody is, before a session of theirs begins, or pain forbids it.
    """
    trainee = trainee_called(logbook, name)
    known = logbook.trainee(name) == trainee
    log = log_of(logbook, trainee)
    now = situation(log, training_for(home, trainee, log), day)
    held: list[Statement] = []
    for one in _before(trained=bool(now.done), early=now.early, day=day, now_us=now_us):
        if not known and isinstance(one, Pain) and stops(one):
            # no session begins, and yet a stop must not be forgotten
            trainee, known = logbook.add_trainee(trainee.name), True
        if known:  # at once: who breaks off between two questions has said the first
            logbook.say(trainee.id, one)
        else:
            held.append(one)
    return tuple(held)


def _before(*, trained: bool, early: bool, day: date, now_us: int) -> Iterator[Statement]:
    now = click.prompt(f"Pain now, 0 none to 10 worst ({TEN} is 10)", default=0, type=Level())
    worst = click.prompt("Worst pain since the last session", default=now, type=Level()) if trained else None
    felt = max(now, worst or 0)
    where = click.prompt("Where", default="", show_default=False) if felt else ""
    sharp = bool(felt) and click.confirm("Sharp, at night, or along a nerve?", default=False)
    yield Pain(said_utc_us=now_us, day=day, now=now, worst=worst, sharp=sharp, where=where)
    if early and trained:
        seen = click.confirm("Sudden swelling, dark urine, or weakness out of proportion?", default=False)
        yield Signs(said_utc_us=now_us, day=day, any=seen)


def asked_set_up(logbook: Logbook, plan: Plan, *, chosen: Mount | None) -> Callable[[Plan], Plan]:
    """Ask what stands around the trainee; return what puts it into a plan: a support that changes the mount does.

    Parameters
    ----------
    plan
        Today's, of whom is asked.
    chosen
        The mount that was named; it stays.
    """
    number = plan.training.ladder.number(plan.rung)
    if number is None:
        return as_it_is
    rung = plan.training.ladder.rungs[number]
    set_up = ask_set_up(last_set_up(done_by(logbook, plan.trainee), rung.key), rung.needs)
    mount = plan.mount if chosen or set_up.support is None else set_up.support.mount(plan.mount)
    return lambda one: worn_at(mount, replace(one, set_up=set_up))


def as_it_is(plan: Plan) -> Plan:
    """Return a plan as it is: nobody said what stands around."""
    return plan


def ask_after(logbook: Logbook, name: str, held: Sequence[Statement], *, since_us: int, day: date, now_us: int) -> None:
    """Ask after the last set how hard it was and about pain, and keep it with what was `held`; not without a session.

    Parameters
    ----------
    since_us
        When this run began.
    """
    trainee = trainee_called(logbook, name)
    done = [one for one in done_by(logbook, trainee) if one.started_utc_us >= since_us and one.sets]
    if not done:
        return
    for one in held:
        logbook.say(trainee.id, one)
    rpe = click.prompt(
        f"How hard was it, 0 rest to 10 as hard as can be ({TEN} is 10; Enter: no answer)",
        default=NO_ANSWER,
        show_default=False,
        type=Level(),
    )
    if rpe != NO_ANSWER:
        logbook.note_session(done[-1].session_id, rpe=rpe)
    now = click.prompt(f"Pain now, 0 none to 10 worst ({TEN} is 10)", default=0, type=Level())
    logbook.say(trainee.id, Pain(said_utc_us=now_us, day=day, now=now))
