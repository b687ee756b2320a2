"""`rungwise done`: a session typed in, made without the sensor."""

from __future__ import annotations

import json
from collections.abc import Iterable
from datetime import date, datetime
from difflib import get_close_matches
from importlib.metadata import version
from pathlib import Path
from typing import Any
from uuid import uuid4

import click

from analysis.logbook.book import Logbook
from analysis.logbook.entries import Trainee
from analysis.logbook.whole import Entry
from analysis.training.ladder import Method
from analysis.training.pain import worst_pains
from analysis.training.plan import TrainingPlan
from analysis.training.prescription import Grip
from analysis.training.progression import NextSession
from analysis.training.records import History, SessionRecord
from analysis.training.setup import SetUp, Support
from analysis.training.statements import Pain
from analysis.training.told import ToldSession, pain_after, told_session
from analysis.training.verdict import Outcome
from analysis.training.words import day as day_words
from tui.book.meanwhile import Read, on_what_is_there, read_of
from tui.book.moments import day_told, here_now, session_span_us, utc_us
from tui.book.show import session_document
from tui.home import Home
from tui.questions.awaited import awaited_lines
from tui.session.plans import log_of, proposed
from tui.trouble import Trouble, clear_errors
from tui.words import format as words
from tui.words.lines import print_lines
from tui.words.set_up_words import weighed_share


def told_of(
    *,
    on: datetime | None,
    counts: tuple[int, ...],
    rests: tuple[float, ...] | None,
    load: float | None,
    bar: float | None,
    heels: float | None,
    block: float | None,
    support: str | None,
    scale: float | None,
    body: float | None,
    grip: str | None,
    **same: Any,
) -> ToldSession:
    """Return a told session from the options of the command; `same` are those that the session names alike."""
    return ToldSession(
        day=day_told(on, here_now()),
        counts=counts,
        rests_s=rests or (),
        load_kg=load,
        grip=None if grip is None else Grip(grip),
        set_up=SetUp(
            bar_cm=bar,
            heels_cm=heels,
            block_cm=block,
            support=None if support is None else Support(support),
            hand_share=None if scale is None or body is None else weighed_share(scale, body),
        ),
        **same,
    )


def enter_session(folder: Path, name: str, told: ToldSession, *, again: bool, as_json: bool) -> None:
    """Judge and keep one session that was told, and say what follows from it."""
    now = here_now()
    home = Home(folder)
    with clear_errors(), Logbook.open(home.logbook) as logbook:
        read, record, said = on_what_is_there(lambda: _keep(home, logbook, name, told, now, again=again))
        trainee = read.trainee
        others = [one.name for one in logbook.trainees() if one != trainee]
        log = log_of(logbook, trainee)
        proposal = proposed(log, read.plan, now.date())
        logbook.record_next(trainee.id, proposal, made_utc_us=utc_us(now), after_session=record.session_id)
    if as_json:
        click.echo(json.dumps(session_document(record, trainee, *worst_pains(said, [record]))))
        return
    if not read.known:
        print_lines([new_words(trainee.name, others)])
    today_told = today_lines(record, log, now.date())
    print_lines((*told_lines(record), *today_told, *follow_lines(proposal, trainee)))


def _keep(
    home: Home, logbook: Logbook, name: str, told: ToldSession, now: datetime, *, again: bool
) -> tuple[Read, SessionRecord, tuple[Pain, ...]]:
    """Judge a told session by what the log holds, and write it."""
    read = read_of(home, logbook, name)
    _once(read.trainee, read.log, told, again=again)
    record, said = judged(read.trainee, told, read.log, read.plan, now)
    entry = Entry(read.trainee, record, said, read.edition)
    logbook.keep_whole([entry], station=logbook.station(), version=version("rungwise"))
    return read, record, said


def judged(
    trainee: Trainee, told: ToldSession, history: History, training: TrainingPlan, now: datetime
) -> tuple[SessionRecord, tuple[Pain, ...]]:
    """Return a told session, judged against what was asked that day, and the pain that was said with it."""
    record = told_session(
        told,
        history,
        training,
        session_id=uuid4(),
        trainee=trainee.id,
        span_utc_us=session_span_us(told.day, now, history, told.minutes),
    )
    pain = pain_after(told, record)
    return record, () if pain is None else (pain,)


def _once(trainee: Trainee, history: History, told: ToldSession, *, again: bool) -> None:
    there = [one for one in history.sessions if one.day == told.day and one.sets]
    if there and not again:
        counts = ", ".join(words.done(done.verdict) for done in there[-1].sets)
        raise Trouble(
            f"{trainee.name} has a session on {told.day} already ({counts}). "
            "A second one that day is added with --again; a wrong one is put right with rungwise correct"
        )


def new_words(name: str, known: Iterable[str]) -> str:
    """Say that a name is new, and which of those in the logbook are spelt much like it: it may be a slip."""
    names = {one.casefold(): one for one in known}
    near = [names[one] for one in get_close_matches(name.casefold(), names, n=2, cutoff=0.75)]
    beside = f"; beside {' and '.join(near)}, who {'is' if len(near) == 1 else 'are'} spelt much alike" if near else ""
    return f"{name} is new in the logbook{beside}"


def told_lines(record: SessionRecord) -> tuple[str, ...]:
    """Return a told session and its verdict, in words."""
    counts = ", ".join(words.done(one.verdict) for one in record.sets)
    rests = [one.rest_before_s for one in record.sets[1:]]
    asked = record.prescription
    load = f", {words.load_words(asked.load_kg)}" if asked.load_kg else ""
    kind = "" if record.method is Method.OWN else f" ({record.method.value})"
    each = f"{words.asked(asked)}, rest {asked.rest_s:g} s, {asked.grip.value} grip{load}"
    head = f"{day_words(record.day)}: {asked.exercise.name}{kind}, {each}"
    lines = [head, f"  done {counts}: {record.outcome.value}"]
    lines += [f"  {text}" for text in record.verdict.summary]
    if rests and None in rests and record.outcome is Outcome.MET:
        lines.append("  The rest was not told (--rest), so this session does not count towards less rest.")
    return tuple(lines)


def holds_today(today: date) -> str:
    """Say that what follows what was told of an earlier day is worked out as of today."""
    return f"What follows holds for today, {day_words(today)}"


def today_lines(record: SessionRecord, log: History, today: date) -> tuple[str, ...]:
    """Say of a session of an earlier day that what follows is counted from today, and from which session."""
    if record.day == today:
        return ()
    last = max(one.day for one in log.until(today).sessions if one.sets)
    ago = {0: "today", 1: "yesterday"}.get((today - last).days, f"{(today - last).days} days ago")
    holds = holds_today(today)
    if last == record.day:
        return (f"That was {ago}. {holds}, if nothing was done since:",)
    return (f"The last session in the log is that of {day_words(last)}, {ago}. {holds}:",)


def follow_lines(proposal: NextSession, trainee: Trainee) -> tuple[str, ...]:
    """Return in short what comes next: what and when, the rules that led to it, and how to say what it waits for."""
    lines = list(words.next_lines(proposal))
    shown = 1 if proposal.prescription is None else 2
    waits = (f"  {line}" for line in awaited_lines(proposal, trainee.name))
    why = (f"  {one.text}" for one in proposal.reasons if one.rule != "days")
    return (*lines[:shown], *why, *waits)
