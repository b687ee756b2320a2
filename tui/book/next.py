"""`rungwise next`: what to do next, and why."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path
from typing import Any

import click

from analysis.logbook.book import Logbook
from analysis.logbook.entries import Trainee
from analysis.training.ladder import Method
from analysis.training.prescription import Prescription
from analysis.training.progression import NextSession
from analysis.training.words import day as day_words
from tui.book.moments import here_now
from tui.book.show import asked_document, person_called
from tui.home import Home
from tui.questions.awaited import awaited_lines
from tui.session.plans import log_of, proposed, training_for
from tui.trouble import clear_errors
from tui.words import format as words
from tui.words.lines import print_lines
from tui.words.set_up_words import share_words

NEXT_FORMAT = "rungwise.next/1"

METHOD_WORDS = {
    Method.PAUSED: "for a while with a pause at the top",
    Method.ONE_AND_A_HALF: "for a while one and a half",
    Method.SLOW_NEGATIVE: "for a while lowered slowly",
}
"""How the rung is climbed, where it is not by its own steps."""


def show_next(folder: Path, *, trainee: str | None, on: datetime | None, as_json: bool) -> None:
    """Print the next session and why."""
    today = on.date() if on else here_now().date()
    home = Home(folder)
    with clear_errors(), Logbook.open(home.logbook) as logbook:
        person = person_called(logbook, trainee)
        log = log_of(logbook, person)
        proposal = proposed(log, training_for(home, person, log), today)
    if as_json:
        click.echo(json.dumps(next_document(proposal, person)))
        return
    print_lines(next_text(proposal, person, today))


def next_text(proposal: NextSession, person: Trainee, today: date) -> Iterator[str]:
    """Yield the next session as one reads it before training: what, why, how, and what to be careful of."""
    yield f"{person.name} · {head_words(proposal, today)}"
    if proposal.prescription is not None:
        yield ""
        yield from (f"  {line}" for line in asked_lines(proposal.prescription, proposal.method))
        if proposal.hand_share is not None:
            yield f"  feet help as last time: {share_words(proposal.hand_share)}"
        if proposal.cue:
            yield f"  {proposal.cue}"
    yield ""
    yield "why"
    told: set[str] = set()
    for reason in proposal.reasons:
        yield f"  {reason.text}"
        if reason is proposal.reasons[0]:
            yield from (f"  {line}" for line in awaited_lines(proposal, person.name))
        yield from (f"    {line}" for line in reason.evidence if line not in told)
        told.update(reason.evidence)
    if proposal.prescription is not None and proposal.prescription.exercise.cues:
        yield "how"
        yield from (f"  {cue}" for cue in proposal.prescription.exercise.cues)
    yield "mind"
    yield from (f"  {caution}" for caution in proposal.cautions)


def head_words(proposal: NextSession, today: date) -> str:
    """Return when and where on the ladder the next session is, or that there is none."""
    if proposal.prescription is None:
        return "no session"
    when = "today" if proposal.due == today else f"from {day_words(proposal.due)}"
    return f"{when} · {proposal.rung}, step {proposal.step} of {proposal.steps}"


def asked_lines(asked: Prescription, method: Method = Method.OWN) -> Iterator[str]:
    """Yield what is asked: the exercise, the figures, the phases by name, then what is asked of the rarer kinds."""
    yield f"{asked.exercise.name}{f', {METHOD_WORDS[method]}' if method in METHOD_WORDS else ''}"
    load = f" · {words.load_words(asked.load_kg)}" if asked.load_kg else ""
    yield f"{words.asked(asked)} · rest {asked.rest_s:g} s · {asked.grip.value} grip{load}"
    if not asked.hold_s:
        yield f"{asked.tempo.named()} s (tempo {asked.tempo.digits})"
    yield from words.kind_words(asked)
    if asked.partner:
        yield f"in turn with {asked.partner.name}"


def next_document(proposal: NextSession, trainee: Trainee) -> dict[str, Any]:
    """Return the next session as `rungwise.next/1`; `date` is the first day on which it may be done."""
    asked = proposal.prescription
    return {
        "format": NEXT_FORMAT,
        "trainee": trainee.name,
        "date": proposal.due.isoformat(),
        "rung": proposal.rung,
        "step": proposal.step,
        "steps": proposal.steps,
        "method": proposal.method.value,
        **_next_asked(asked),
        "cue": proposal.cue,
        "hand_share": proposal.hand_share,
        "reasons": [{"rule": one.rule, "text": one.text, "evidence": list(one.evidence)} for one in proposal.reasons],
        "cautions": list(proposal.cautions),
    }


def _next_asked(asked: Prescription | None) -> dict[str, Any]:
    """Return what is asked next; nulls where no session is allowed."""
    if asked is None:
        return dict.fromkeys(("exercise", "sets", "reps", "tempo", "rest_s", "grip", "load_kg"))
    return {"exercise": asked.exercise.key, **asked_document(asked)}
