"""The questions at a terminal before the first set and after the last: pain, warning signs, how hard it was."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

import click

from analysis.logbook.book import Logbook
from analysis.training.records import History
from analysis.training.situation import situation
from analysis.training.statements import Pain, Signs, Statement
from tui.home import Home
from tui.plans import done_by, trainee_called, training_for

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
        What is not in the log yet: nobody is, before a session of theirs begins.
    """
    trainee = trainee_called(logbook, name)
    known = logbook.trainee(name) == trainee
    history = logbook.history(trainee.id) if known else History()
    now = situation(history, training_for(home, logbook, trainee), day)
    said = tuple(_before(trained=bool(now.done), early=now.early, day=day, now_us=now_us))
    if not known:
        return said
    for one in said:
        logbook.say(trainee.id, one)
    return ()


def _before(*, trained: bool, early: bool, day: date, now_us: int) -> Iterator[Statement]:
    now = click.prompt(f"Pain now, 0 none to {TEN} worst", default=0, type=Level())
    worst = click.prompt("Worst pain since the last session", default=now, type=Level()) if trained else None
    felt = max(now, worst or 0)
    where = click.prompt("Where", default="", show_default=False) if felt else ""
    sharp = bool(felt) and click.confirm("Sharp, at night, or along a nerve?", default=False)
    yield Pain(said_utc_us=now_us, day=day, now=now, worst=worst, sharp=sharp, where=where)
    if early and trained:
        seen = click.confirm("Sudden swelling, dark urine, or weakness out of proportion?", default=False)
        yield Signs(said_utc_us=now_us, day=day, any=seen)


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
        f"How hard was it, 0 rest to {TEN} as hard as can be (Enter: no answer)",
        default=NO_ANSWER,
        show_default=False,
        type=Level(),
    )
    if rpe != NO_ANSWER:
        logbook.note_session(done[-1].session_id, rpe=rpe)
    now = click.prompt(f"Pain now, 0 none to {TEN} worst", default=0, type=Level())
    logbook.say(trainee.id, Pain(said_utc_us=now_us, day=day, now=now))
