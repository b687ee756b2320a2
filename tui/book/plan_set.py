"""`rungwise plan set`: changes keys in one plan, or in all of a group."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import click

from analysis.logbook.book import Logbook
from analysis.logbook.people import name_key
from analysis.training.plan import TrainingPlan, default_plan
from analysis.training.sound import remarks
from tui.book.done import new_words
from tui.book.plan_edit import difference, edited
from tui.book.plan_file import PlanError, parse, plan_text_of, read_plan, write_plans, written_plans
from tui.book.plan_text import plan_text
from tui.book.plan_view import remark_words
from tui.home import Home
from tui.session.plans import last_name, trainee_called
from tui.trouble import Trouble, clear_errors
from tui.words.lines import print_lines


@dataclass(frozen=True, slots=True)
class _Change:
    """One plan before and after."""

    name: str
    path: Path
    old: str
    new: str
    was: TrainingPlan
    plan: TrainingPlan


def set_keys(
    folder: Path, changes: Sequence[tuple[str, str]], *, name: str | None, group: str | None, dry_run: bool
) -> None:
    """Change keys in one plan, or in all plans of a group: all of them or none."""
    home = Home(folder)
    with clear_errors(), Logbook.open(home.logbook) as logbook:
        people = _group(home, group) if group is not None else [_one(home, logbook, name)]
        found = list(_changed(people, changes))
        known = [one.name for one in logbook.trainees()]
        if not dry_run:
            write_plans(home, {one.path: one.new for one in found if one.new != one.old or not one.path.exists()})
            for one in found:
                logbook.keep_trainee(trainee_called(logbook, one.name))
    for one in found:
        if one.name not in known:
            print_lines([new_words(one.name, known)])
        _tell(one, dry_run=dry_run)
    if dry_run:
        click.echo("nothing was written (--dry-run)")


def _one(home: Home, logbook: Logbook, name: str | None) -> tuple[str, Path, str]:
    """Return a trainee's name, file and its text; the default plan's where there is none."""
    person = trainee_called(logbook, name or last_name(logbook))
    path = home.plan(name_key(person.name))
    text = plan_text_of(path) if path.exists() else plan_text(default_plan(), person.name)
    return person.name, path, text


def _group(home: Home, group: str) -> list[tuple[str, Path, str]]:
    """Return name, file and text of all plans of a group (a difference of case is none)."""
    plans = [read_plan(path) for path in written_plans(home)]
    members = [one for one in plans if name_key(one.plan.group) == name_key(group)]
    if not members:
        known = ", ".join(sorted({one.plan.group for one in plans if one.plan.group})) or "none yet"
        raise Trouble(
            f"no plan is of the group {group} (groups: {known}). "
            f'rungwise plan set group="{group}" --trainee NAME puts somebody into it'
        )
    return [(one.trainee, one.path, plan_text_of(one.path)) for one in members]


def _changed(people: Sequence[tuple[str, Path, str]], changes: Sequence[tuple[str, str]]) -> Iterator[_Change]:
    """Yield each plan with its changes, checked.

    Raises
    ------
    PlanError
        When a plan was wrong before, or would be after.
    """
    for name, path, old in people:
        _, was = parse(old, str(path), name)
        new = edited(old, changes)
        try:
            _, plan = parse(new, str(path), name)
        except PlanError as error:
            raise PlanError(f"{error}\nnothing was changed") from error
        yield _Change(name, path, old, new, was, plan)


def _tell(one: _Change, *, dry_run: bool) -> None:
    if one.new == one.old:
        click.echo(f"{one.name}: it is so already")
    elif dry_run:
        click.echo(difference(one.old, one.new, str(one.path)))
    else:
        click.echo(f"{one.name}: {one.path}")
        for line in difference(one.old, one.new, "").splitlines()[2:]:
            if line.startswith(("+", "-")):
                click.echo(f"  {line}")
    before = {remark_words(remark, one.was) for remark in remarks(one.was)}
    for remark in remarks(one.plan):
        if (text := remark_words(remark, one.plan)) not in before:
            click.echo(f"  look at {text}")
