"""`rungwise tell`: what people say that no sensor knows, and what follows from it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import asdict, dataclass, replace
from datetime import date, datetime
from pathlib import Path
from typing import Any

import click

from analysis.logbook.book import Logbook
from analysis.logbook.entries import Trainee
from analysis.training.decision import ID_LETTERS
from analysis.training.pain import pain_words
from analysis.training.records import SessionRecord
from analysis.training.reference import NoReferenceError, reference_travel_m
from analysis.training.statements import (
    Form,
    Note,
    Pain,
    Placement,
    Question,
    Reference,
    Release,
    Role,
    Signs,
    Statement,
    Worn,
)
from analysis.training.words import day as day_words
from tui.book.done import follow_lines, holds_today
from tui.book.moments import day_told, here_now, told_us
from tui.book.next import next_document
from tui.book.show import person_called
from tui.home import Home
from tui.session.plans import log_of, proposed, training_for
from tui.trouble import Trouble, clear_errors
from tui.words.lines import print_lines
from tui.words.mount_words import MOUNT_NAMES
from tui.words.set_up_words import set_up_words, weighed_share

STATEMENT_FORMAT = "rungwise.statement/1"


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """What was said in one go; None where nothing was.

    Attributes
    ----------
    pain, worst
        0–10, now and the worst of the day after the session before.
    signs
        Whether there is sudden swelling, dark urine, or weakness out of proportion.
    blades, back
        The two questions of form.
    release
        Who reopens training after a stop: "coach" or "clinician".
    reference
        First letters of a session, and number of set and rep: this rep went all the way.
    scale, body
        What a scale under the feet shows and what the body weighs, kg.
    by
        Name of the one who says so; empty: not told.
    self_seen
        The trainee's own answer, from a video.
    """

    pain: int | None = None
    worst: int | None = None
    sharp: bool = False
    where: str = ""
    signs: bool | None = None
    blades: bool | None = None
    back: bool | None = None
    self_seen: bool = False
    release: str | None = None
    reference: tuple[str, int, int] | None = None
    scale: float | None = None
    body: float | None = None
    by: str = ""


def tell(folder: Path, name: str | None, said: Words, *, on: datetime | None, as_json: bool) -> None:
    """Keep what was said, and print what follows from it."""
    now = here_now()
    day = day_told(on, now)
    home = Home(folder)
    with clear_errors(), Logbook.open(home.logbook) as logbook:
        person = person_called(logbook, name)
        moment_us = told_us(day, now, logbook.history(person.id))
        when = {"said_utc_us": moment_us, "day": day}
        statements = (*statements_of(said, person, when), *_references(logbook, said, person, when))
        weighed = _weighed(logbook, said, person, None if on is None else day)
        for one in statements:
            logbook.say(person.id, one)
        if weighed is not None:
            logbook.note_set_up(weighed.session_id, weighed.set_up)
        log = log_of(logbook, person)
        proposal = proposed(log, training_for(home, person, log), now.date())
    if as_json:
        click.echo(json.dumps(next_document(proposal, person)))
        return
    noted = list(map(statement_words, statements))
    if weighed is not None:
        noted.append(f"set-up of {day_words(weighed.day)}: {set_up_words(weighed.set_up)}")
    today_told = () if day == now.date() else (f"{holds_today(now.date())}:",)
    head = f"noted of {person.name}, {day_words(day)}: {'; '.join(noted)}"
    print_lines([head, *today_told, *follow_lines(proposal, person)])


def statements_of(said: Words, person: Trainee, when: dict[str, Any]) -> tuple[Statement, ...]:
    """Return what was said as the logbook keeps it.

    Raises
    ------
    Trouble
        When it is not said who answers or releases, or the one who trains does so alone.
    """
    found: list[Statement] = []
    if said.pain is not None:
        found.append(Pain(now=said.pain, worst=said.worst, sharp=said.sharp, where=said.where, **when))
    if said.signs is not None:
        found.append(Signs(any=said.signs, **when))
    answers = ((Question.BLADES, said.blades), (Question.BACK, said.back))
    for question, yes in answers:
        if yes is not None:
            found.append(Form(question=question, yes=yes, by=_seen_by(said, person), self_seen=said.self_seen, **when))
    if said.release is not None:
        found.append(Release(role=Role(said.release), by=_other(said, person, "a release"), **when))
    return tuple(found)


def _references(logbook: Logbook, said: Words, person: Trainee, when: dict[str, Any]) -> Iterator[Reference]:
    """Yield the rep that went all the way, where one was named."""
    if said.reference is None:
        return
    letters, number, rep = said.reference
    called = logbook.sessions_called(letters)
    record = logbook.session(called[0]) if len(called) == 1 else None
    if record is None or record.trainee != person.id:
        raise Trouble(f"no one session of {person.name} is called {letters}: rungwise log shows the names")
    try:
        travel_m = reference_travel_m(record, number, rep)
    except NoReferenceError as error:
        raise Trouble(f"{error}. rungwise correct {letters} lists what there is") from error
    assert record.rung is not None  # `reference_travel_m` asks for it
    yield Reference(
        rung=record.rung,
        set_up=record.set_up,
        travel_m=travel_m,
        by=_seen_by(said, person),
        self_seen=said.self_seen,
        **when,
    )


def _weighed(logbook: Logbook, said: Words, person: Trainee, day: date | None) -> SessionRecord | None:
    """Return the session to which a share on the hands belongs, with it: of a day, else the last one."""
    if said.scale is None or said.body is None:
        return None
    done = [one for one in logbook.sessions(person.id) if one.sets and day in (None, one.day)]
    if not done:
        when = "" if day is None else f" on {day_words(day)}"
        raise Trouble(
            f"{person.name} has no session{when} whose set-up it could be: type it in with rungwise done --scale KG "
            "--body KG"
        )
    return replace(done[-1], set_up=replace(done[-1].set_up, hand_share=weighed_share(said.scale, said.body)))


def _seen_by(said: Words, person: Trainee) -> str:
    """Return who answers for the form: the trainee from a video, or somebody else."""
    if said.self_seen:
        return said.by or person.name
    return _other(said, person, "what is seen of form", "; your own answer from a video is marked --self-seen")


def _other(said: Words, person: Trainee, what: str, more: str = "") -> str:
    if not said.by or said.by.casefold() == person.name.casefold():
        raise Trouble(
            f"{what} needs the name of the one who gives it, somebody else than {person.name}: --by NAME{more}"
        )
    return said.by


def list_said(folder: Path, name: str | None, *, as_json: bool) -> None:
    """Print what was said of a trainee, oldest first."""
    with clear_errors(), Logbook.open(Home(folder).logbook) as logbook:
        person = person_called(logbook, name)
        said = logbook.statements(person.id)
    for one in said:
        if as_json:
            click.echo(json.dumps(statement_document(one, person)))
        else:
            print_lines([f"{one.day}  {person.name}  {statement_words(one)}"])
    if not said:
        click.echo(f"nothing was said of {person.name} yet: rungwise tell --help shows what can be", err=True)


def statement_document(said: Statement, person: Trainee) -> dict[str, Any]:
    """Return what was said as `rungwise.statement/1`."""
    head = {"format": STATEMENT_FORMAT, "trainee": person.name, "date": said.day.isoformat()}
    match said:
        case Pain():
            about = {"kind": "pain", "now": said.now, "worst": said.worst, "sharp": said.sharp, "where": said.where}
        case Signs():
            about = {"kind": "signs", "any": said.any}
        case Form():
            key = said.question.name.lower()
            about = {"kind": "form", "question": key, "yes": said.yes, "by": said.by, "self_seen": said.self_seen}
        case Release():
            about = {"kind": "release", "role": said.role.value, "by": said.by}
        case Placement():
            step = said.step + 1
            about = {"kind": "placement", "rung": said.rung, "step": step, "by": said.by, "why": said.why}
        case Reference():
            whole = {"travel_m": said.travel_m, "by": said.by, "self_seen": said.self_seen}
            about = {"kind": "reference", "rung": said.rung, "set_up": asdict(said.set_up), **whole}
        case Worn():
            about = {"kind": "worn", "rung": said.rung, "mount": said.mount.value, "asked": said.asked.value}
        case Note():
            about = {"kind": "note", "session": said.session, "at_s": said.at_s, "text": said.text, "by": said.by}
    return {**head, **about, "said_utc_us": said.said_utc_us}


def statement_words(said: Statement) -> str:
    """Return what was said, in a few words."""
    match said:
        case Pain():
            return pain_words(said)
        case Signs():
            return f"{'some' if said.any else 'none'} of sudden swelling, dark urine, weakness out of proportion"
        case Form():
            seen = "seen on video by" if said.self_seen else "says"
            return f"{said.question.value}: {'yes' if said.yes else 'no'}, {seen} {said.by}"
        case Release():
            return f"released by {said.by} ({said.role.value})"
        case Placement():
            return f"{said.by} decided: {said.rung}, step {said.step + 1}{f', for {said.why}' if said.why else ''}"
        case Reference():
            seen = "seen on video by" if said.self_seen else "approved by"
            return f"reference rep of {said.rung}: {100 * said.travel_m:.0f} cm, {seen} {said.by}"
        case Worn():
            return f"the sensor sits on the {MOUNT_NAMES[said.mount]} for {said.rung}"
        case Note():
            return f"{said.by} noted in session {said.session[:ID_LETTERS]}: {said.text}"
