"""`rungwise roster` and the room of the people: a group on one page, those first who need a look."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from datetime import date, datetime
from pathlib import Path
from typing import Any

import click

from analysis.logbook.book import Logbook
from analysis.logbook.outlines import in_one_go
from analysis.training.plan import TrainingPlan
from analysis.training.records import History
from analysis.training.roster import RosterRow, roster
from tui.book.moments import here_now
from tui.book.plan_file import PlanError, training_plan
from tui.home import Home
from tui.occasion import Occasion
from tui.rooms import Library, group_room, rooms_of
from tui.trouble import Trouble, clear_errors
from tui.views.group_view import GroupView, PersonRow
from tui.words.lines import print_lines, terminal_width

Member = tuple[str, TrainingPlan, History]
"""Name, plan and log."""

ROSTER_FORMAT = "rungwise.roster/1"
NOBODY = (
    "nobody is in the logbook yet (who only did a demonstration is not listed): rungwise train or rungwise done adds "
    "the first one"
)


def show_roster(folder: Path, *, group: str | None, on: datetime | None, as_json: bool) -> None:
    """Show one row a trainee, those first who need a look, as text or JSON."""
    today = on.date() if on else here_now().date()
    home = Home(folder)
    with in_one_go(), clear_errors():
        rows, wrong = _looked_over(home, group, today)
    if as_json:
        for row in rows:
            click.echo(json.dumps(roster_document(row, today)))
    else:
        print_lines(roster_lines(rows, today, terminal_width()))
    if wrong:
        raise Trouble("\n".join(wrong))
    if not rows and not as_json:
        click.echo(NOBODY, err=True)


def open_people(held: ExitStack, home: Home, group: str | None, on: datetime | None) -> Occasion:
    """Make ready the dashboard with everybody, or a group."""
    logbook = held.enter_context(Logbook.open(home.logbook))
    last = logbook.last_trainee()
    who = last.name if last else ""
    today = on.date() if on else here_now().date()
    library = Library(home=home, logbook=logbook, who=lambda: who, today=lambda: today)
    return Occasion(rooms=rooms_of(library), first=group_room(library, group))


def group_of(home: Home, logbook: Logbook, group: str | None, today: date) -> GroupView:
    """Return everybody, or a group, as the room of the people shows them.

    Raises
    ------
    Trouble
        When the group has no member.
    """
    with in_one_go():
        people, wrong = readable(home, logbook, group)
        rows = roster([(name, plan, log.until(today)) for name, plan, log in people], today)
    return GroupView(group=group or "", rows=tuple(_person(row, today) for row in rows), wrong=tuple(wrong))


def _person(row: RosterRow, today: date) -> PersonRow:
    return PersonRow(
        name=row.name,
        place=_place(row),
        last="never" if row.last is None else f"{row.last:%d %b} {_mark(row)}".rstrip(),
        due=_due(row, today),
        looks=tuple(_look_words(row)),
    )


def _looked_over(home: Home, group: str | None, today: date) -> tuple[tuple[RosterRow, ...], list[str]]:
    """Return the rows, and what is wrong in the plans of others; the logs are let go with the return."""
    with Logbook.open(home.logbook) as logbook:
        people, wrong = readable(home, logbook, group)
        return roster([(name, plan, log.until(today)) for name, plan, log in people], today), wrong


def members(home: Home, logbook: Logbook, group: str | None) -> list[Member]:
    """Return name, plan and log of everybody, or of a group; without those who only did a demonstration.

    Raises
    ------
    Trouble
        When the group has no member.
    PlanError
        When somebody's file is no plan.
    """
    people, wrong = readable(home, logbook, group)
    if wrong:
        raise PlanError("\n".join(wrong))
    return people


def readable(home: Home, logbook: Logbook, group: str | None) -> tuple[list[Member], list[str]]:
    """Return the members whose plans can be read, and what is wrong in the others: one slip must not hide a group.

    Raises
    ------
    Trouble
        When the group has no member, and all plans can be read.
    """
    logs = logbook.histories()
    real = {one: log for one, log in logs.items() if not log.sessions or not all(done.demo for done in log.sessions)}
    people: list[Member] = []
    wrong: list[str] = []
    for one, log in real.items():
        try:
            people.append((one.name, training_plan(home, one.name), log))
        except PlanError as error:
            wrong.append(str(error))
    if group is None:
        return people, wrong
    wanted = [(name, plan, log) for name, plan, log in people if plan.group.casefold() == group.casefold()]
    if not wanted and not wrong:
        groups = ", ".join(sorted({plan.group for _, plan, _ in people if plan.group})) or "none"
        raise Trouble(f"nobody is in the group {group} (groups: {groups}). A plan names its group (key group)")
    return wanted, wrong


def roster_lines(rows: Sequence[RosterRow], today: date, width: int | None = None) -> Iterator[str]:
    """Yield a table: name, where on the ladder, last session, next one, and what to look at.

    Parameters
    ----------
    width
        Columns there are; what to look at goes below where it does not fit beside. None: beside.
    """
    wide = max((len(row.name) for row in rows), default=0)
    rung = max((len(_place(row)) for row in rows), default=0)
    if not rows:
        return
    title = f"{'':{wide}}  {'':{rung}}  last           next        "
    longest = max((len(text) for row in rows for text in _look_words(row)), default=0)
    below = width is not None and len(title) + longest > width
    yield title.rstrip() if below else f"{title}look at"
    for row in rows:
        last = "never" if row.last is None else f"{row.last:%d %b} {_mark(row)}"
        head = f"{row.name:{wide}}  {_place(row):{rung}}  {last:13}  {_due(row, today):10}  "
        if below:
            yield head.rstrip()
            yield from (f"    {text}" for text in _look_words(row))
        else:
            first, *more = _look_words(row) or ["–"]
            yield f"{head}{first}"
            yield from (f"{'':{len(head)}}{text}" for text in more)


def _look_words(row: RosterRow) -> list[str]:
    return [f"{one.need.value}: {one.text}" for one in row.looks]


def _place(row: RosterRow) -> str:
    return f"{row.upcoming.rung} {row.upcoming.step}/{row.upcoming.steps}"


def _mark(row: RosterRow) -> str:
    return "" if row.last_outcome is None else row.last_outcome.value.replace("not measurable", "?")


def _due(row: RosterRow, today: date) -> str:
    if row.upcoming.prescription is None:
        return "–"
    return "today" if row.upcoming.due == today else f"{row.upcoming.due:%a %d %b}"


def roster_document(row: RosterRow, today: date) -> dict[str, Any]:
    """Return one row as `rungwise.roster/1`."""
    upcoming = row.upcoming
    return {
        "format": ROSTER_FORMAT,
        "date": today.isoformat(),
        "trainee": row.name,
        "group": row.group or None,
        "rung": upcoming.rung,
        "step": upcoming.step,
        "steps": upcoming.steps,
        "method": upcoming.method.value,
        "last": None if row.last is None else row.last.isoformat(),
        "last_outcome": None if row.last_outcome is None else row.last_outcome.value,
        "due": None if upcoming.prescription is None else upcoming.due.isoformat(),
        "pain": row.pain,
        "looks": [{"need": one.need.value, "text": one.text} for one in row.looks],
    }
