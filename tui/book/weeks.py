"""`rungwise log --weeks`: how much each week asked of a person."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click

from analysis.logbook.book import Logbook
from analysis.logbook.entries import Trainee
from analysis.training.load import Week, weeks
from tui.book.show import people_called
from tui.home import Home
from tui.trouble import clear_errors
from tui.words.format import UNKNOWN

WEEK_FORMAT = "rungwise.week/1"


def show_weeks(folder: Path, *, trainee: str | None, as_json: bool) -> None:
    """Print the weeks of a trainee, or of everybody, the oldest first."""
    with clear_errors(), Logbook.open(Home(folder).logbook) as logbook:
        found = [(person, weeks(logbook.sessions(person.id))) for person in people_called(logbook, trainee)]
    for person, several in found:
        if as_json:
            for week in several:
                click.echo(json.dumps(week_document(week, person)))
        elif several:
            for line in week_lines(several, person):
                click.echo(line)
    if not any(several for _, several in found):
        click.echo("no session in the log yet: rungwise train or rungwise done makes the first one", err=True)


def week_lines(several: tuple[Week, ...], person: Trainee) -> Iterator[str]:
    """Yield a table of weeks."""
    yield person.name
    yield "  week of     sessions  reps   load  change  monotony"
    for week in several:
        found = week.spread
        total = UNKNOWN if found is None else f"{found.total:.0f}"
        change = UNKNOWN if week.change is None else f"{week.change:+.0f}"
        alike = UNKNOWN if found is None or found.monotony is None else f"{found.monotony:.2f}"
        yield f"  {week.monday}  {week.sessions:8d} {week.reps:5d} {total:>6} {change:>7} {alike:>9}"
    lacking = any(week.known < week.sessions for week in several)
    yield f"  load: RPE × minutes{'; none where a session of the week has no RPE or no minutes' if lacking else ''}"
    yield "  monotony: the load of a day on average, over its scatter from day to day"


def week_document(week: Week, person: Trainee) -> dict[str, Any]:
    """Return one week as `rungwise.week/1`; loads are RPE × minutes (Foster et al. 2001)."""
    found = week.spread
    return {
        "format": WEEK_FORMAT,
        "trainee": person.name,
        "week": week.monday.isoformat(),
        "sessions": week.sessions,
        "reps": week.reps,
        "sessions_with_load": week.known,
        "load": None if found is None else found.total,
        "load_sd": None if found is None else found.sd,
        "monotony": None if found is None else found.monotony,
        "change": week.change,
    }
