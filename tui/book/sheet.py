"""`rungwise done --sheet`: a group's day as a table to print and fill in."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from datetime import date, datetime
from pathlib import Path

import click

from analysis.logbook.book import Logbook
from analysis.training.ladder import MOST_SETS
from analysis.training.plan import TrainingPlan
from analysis.training.progression import NextSession, next_session
from analysis.training.records import History
from tui.book.moments import here_now
from tui.book.roster import NOBODY, members
from tui.home import Home
from tui.trouble import Trouble, clear_errors
from tui.words import format as words

ASKED = ("asked_sets", "asked_reps", "asked_tempo", "asked_rest_s", "asked_grip", "asked_load_kg")
SET_COLUMNS = tuple(f"set_{number}" for number in range(1, MOST_SETS + 1))
FILLED = (*SET_COLUMNS, "rest_s", "pain", "where", "rpe", "minutes", "grip", "load_kg", "seen_by", "note")
COLUMNS = ("trainee", "date", "rung", "exercise", *ASKED, *FILLED)
STDOUT = Path("-")


def write_sheet(folder: Path, path: Path, *, group: str | None, on: datetime | None) -> None:
    """Write a group's sheet of a day into a new file, or print it (`STDOUT`)."""
    day = on.date() if on else here_now().date()
    home = Home(folder)
    with clear_errors(), Logbook.open(home.logbook) as logbook:
        people = members(home, logbook, group)
        text = sheet_text(people, day)
    if not people:
        raise Trouble(NOBODY)
    if path == STDOUT:
        click.echo(text, nl=False)
        return
    try:
        with path.open("x", encoding="utf-8", newline="") as file:
            file.write(text)
    except OSError as problem:
        raise Trouble(f"{path} cannot be written ({problem.strerror})") from problem
    click.echo(f"{path}: {len(people)} {'line' if len(people) == 1 else 'lines'} to fill in, from set_1 on")
    click.echo(f"then read it back: rungwise done --sheet {path}")


def sheet_text(people: Iterable[tuple[str, TrainingPlan, History]], day: date) -> str:
    """Return the sheet of a day as CSV (RFC 4180): what is asked of each, and empty columns for what is done."""
    out = io.StringIO()
    table = csv.DictWriter(out, COLUMNS, restval="")
    table.writeheader()
    for name, plan, history in people:
        table.writerow(
            {"trainee": name, "date": day.isoformat(), **_asked(next_session(history.until(day), plan, day))}
        )
    return out.getvalue()


def _asked(proposal: NextSession) -> dict[str, object]:
    asked = proposal.prescription
    if asked is None:
        return {"exercise": proposal.reasons[0].text}
    return {
        "rung": proposal.rung,
        "exercise": asked.exercise.name,
        "asked_sets": asked.sets,
        "asked_reps": f"{asked.hold_s:g} s held" if asked.hold_s else asked.reps or "clean reps",
        "asked_tempo": "" if asked.hold_s else ", ".join([asked.tempo.named(), *words.kind_words(asked)]),
        "asked_rest_s": f"{asked.rest_s:g}",
        "asked_grip": asked.grip.value,
        "asked_load_kg": f"{asked.load_kg:g}",
    }
