"""Plans between a coach and a station: which one is sent, on what it rests, and where a station's is kept here.

A plan that came is written as the trainee's file only where nobody here changed that meanwhile; else both are kept. No
text from outside becomes a path: a file is called by `Home.plan`, which writes all but letters and digits otherwise.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from difflib import ndiff
from pathlib import Path
from typing import Protocol
from uuid import UUID

from analysis.logbook.entries import Trainee
from analysis.logbook.people import name_key
from tui.book.plan_file import PlanError, parse, plan_text_of, write_plans
from tui.floor.seen import readable
from tui.home import Home
from tui.share.plans import digest
from tui.trouble import Trouble

MOST_LETTERS = 65_536
"""Of a plan that is sent (`share/schemas/word.1.json`)."""
MOST_LINES = 8
"""In which two plans differ that are shown."""
BESIDE = ".from-station"
"""Ends the name of a plan that is kept beside the trainee's own; no command reads it."""

BEFORE = ".before"
"""Ends the name of the plan that counted here until the station's was taken; no command reads it."""


class Shelf(Protocol):
    """The logbook, as far as this needs it."""

    def trainee(self, name: str) -> Trainee | None:
        """Return the person of that name."""
        ...

    def trainees(self) -> tuple[Trainee, ...]:
        """Return everybody."""
        ...

    def noted_plan(self, trainee: UUID) -> str | None:
        """Return the plan of a trainee as a station noted it last."""
        ...


@dataclass(frozen=True, slots=True)
class Plan:
    """A plan to be sent.

    Attributes
    ----------
    trainee
        Whose.
    text
        All of it.
    base
        SHA-256 of what it takes the place of at the station (empty: of nothing).
    beside
        File of the station's own, where that was changed there, too: somebody has to say which one counts.
    differs
        In what lines the two differ then, each with whose it is.
    """

    trainee: str
    text: str
    base: str
    beside: str = ""
    differs: tuple[str, ...] = ()


def known_at(book: Shelf, trainee: str, station: str) -> Trainee | None:
    """Return who trains at a station, as our logbook knows them; None where it does not yet.

    Two people of one name are kept apart by the name of the station (`analysis.logbook.changes_in`).
    """
    return (book.trainee(f"{trainee} ({station})") or book.trainee(trainee)) if trainee else None


def plan_to_send(home: Home, book: Shelf, trainee: str, station: str) -> Plan:
    """Return the plan of somebody who trains at a station, and is known here.

    Raises
    ------
    Trouble
        When there is none to send, or it is no plan.
    """
    known = known_at(book, trainee, station)
    if known is None:
        raise Trouble(f"{trainee or 'Nobody'} is not in the logbook here yet: the records have to come first.")
    if name_key(known.name) != name_key(trainee):
        raise Trouble(
            f"Two people here are called {trainee}: the plan of the one at {station} is changed at {station}."
        )
    path = home.plan(name_key(known.name))
    noted = book.noted_plan(known.id)
    if not path.exists():
        raise Trouble(f'No plan of {known.name} is written here: rungwise plan new "{known.name}" writes one.')
    text = plan_text_of(path)
    parse(text, str(path), known.name)
    if len(text) > MOST_LETTERS:
        raise Trouble(f"{path.name} has {len(text)} letters; at most {MOST_LETTERS} can be sent.")
    if text == noted:
        raise Trouble(f"The station has this plan of {known.name} already.")
    if noted is None:
        return Plan(known.name, text, "")
    plan, beside = Plan(known.name, text, digest(noted)), _beside(path)
    if not (beside.exists() and plan_text_of(beside) == noted):
        return plan
    return replace(plan, beside=str(beside), differs=_differing(text, noted, station))


def _differing(ours: str, theirs: str, station: str) -> tuple[str, ...]:
    """Return the lines in which two plans differ; of many the first ones, and how many more there are."""
    whose = {"- ": "yours", "+ ": station}
    found = [
        f"{whose[line[:2]]}: {readable(line[2:].strip())}"
        for line in ndiff(ours.splitlines(), theirs.splitlines())
        if line[:2] in whose and line[2:].strip()
    ]
    more = len(found) - MOST_LINES
    return (*found[:MOST_LINES], f"… and {more} more") if more > 0 else tuple(found)


def take_plan(home: Home, book: Shelf, trainee: str, station: str) -> str:
    """Let a station's plan count here, too; the one that was here is kept beside it. Return what there is to say.

    Raises
    ------
    Trouble
        When the station has told none.
    """
    known = known_at(book, trainee, station)
    noted = book.noted_plan(known.id) if known else None
    if known is None or noted is None:
        raise Trouble(f"No plan of {trainee or 'anybody'} came from {station}.")
    path = home.plan(name_key(known.name))
    before = path.with_name(path.name + BEFORE)
    write_plans(home, {before: plan_text_of(path), path: noted} if path.exists() else {path: noted})
    _beside(path).unlink(missing_ok=True)
    return f"The plan of {known.name} is the one of {station}; yours is kept as {before.name}."


def noted_plans(book: Shelf) -> dict[UUID, str]:
    """Return the plans that stations noted so far, by trainee."""
    found = {one.id: book.noted_plan(one.id) for one in book.trainees()}
    return {trainee: text for trainee, text in found.items() if text is not None}


def keep_plans(home: Home, book: Shelf, before: Mapping[UUID, str]) -> list[str]:
    """Write plans that came as files, and return what there is to say: a line each.

    Parameters
    ----------
    before
        What was noted before they came.

    Raises
    ------
    HomeError
        When one cannot be written.
    """
    after, said = noted_plans(book), []
    for one in book.trainees():
        if one.id in after and after[one.id] != before.get(one.id):
            said.append(_keep(home, one.name, after[one.id], before.get(one.id)))
    return said


def _keep(home: Home, name: str, text: str, before: str | None) -> str:
    path = home.plan(name_key(name))
    try:
        whose, _ = parse(text, "the plan")
    except PlanError as error:
        return f"The plan of {name} that came is none this Rungwise can read: {readable(str(error).splitlines()[0])}"
    if name_key(whose) != name_key(name):
        two = f"as {readable(whose)} is the name of two people here"
        return f"A plan of {name} came. It stays at the station alone, {two}."
    own = plan_text_of(path) if path.exists() else None
    if own in (None, before):
        write_plans(home, {path: text})
        return f"The plan of {name} came from the station."
    if own == text:
        return f"The station keeps the plan of {name}."
    beside = _beside(path)
    write_plans(home, {beside: text})
    return f"The plan of {name} was changed at the station and here: both are kept, and p asks which one counts."


def _beside(path: Path) -> Path:
    return path.with_name(path.name + BESIDE)
