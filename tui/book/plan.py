"""`rungwise plan new`, `check` and `show`: writes, checks and shows the plans of trainees."""

from __future__ import annotations

import json
from pathlib import Path

import click

from analysis.logbook.book import Logbook
from analysis.logbook.people import name_key
from analysis.training.plan import default_plan
from analysis.training.prescription import Goal
from analysis.training.sound import remarks
from tui.book.done import new_words
from tui.book.moments import here_now
from tui.book.plan_file import PlanError, Written, read_plan, training_plan, write_plans, written_plans
from tui.book.plan_text import plan_text
from tui.book.plan_view import plan_document, plan_lines, remark_words
from tui.book.show import person_called
from tui.home import Home
from tui.session.plans import last_name, log_of, proposed, trainee_called
from tui.trouble import Trouble, clear_errors
from tui.words.lines import print_lines


def new_plan(folder: Path, name: str, *, goal: str, force: bool) -> None:
    """Write the default plan with its comments, and put the trainee into the logbook."""
    home = Home(folder)
    with clear_errors(), Logbook.open(home.logbook) as logbook:
        trainee = trainee_called(logbook, name)
        path = home.plan(name_key(trainee.name))
        texts = {path: plan_text(default_plan(Goal(goal)), trainee.name)}
        if path.exists():
            if not force:
                raise Trouble(
                    f"{trainee.name} has a plan already: {path}. Edit it, or write the default one over it with --force"
                )
            before = path.with_suffix(".toml.before")
            texts[before] = path.read_text(encoding="utf-8", errors="replace")
        known = [one.name for one in logbook.trainees()]
        logbook.keep_trainee(trainee)
        write_plans(home, texts)
    if trainee.name not in known:
        print_lines([new_words(trainee.name, known)])
    click.echo(f"{trainee.name}: {path}")
    if len(texts) > 1:
        click.echo(f"  the plan that was there: {before}")
    click.echo("  Edit it, then: rungwise plan check. Read the cautions in it with the trainee, and note the day:")
    click.echo(f'  rungwise plan set acknowledged={here_now().date()} --trainee "{trainee.name}"')


def check_plans(folder: Path, name: str | None) -> None:
    """Say of one plan, or of all, what is wrong and what is worth a look."""
    home = Home(folder)
    paths = list(written_plans(home)) if name is None else [home.plan(name_key(name))]
    if not paths or not paths[0].exists():
        who = name or "everybody"
        click.echo(
            f'no plan is written: the default plan holds for {who}. rungwise plan new --trainee "NAME" writes one'
        )
        return
    wrong = []
    for path in paths:
        try:
            found = read_plan(path, name)
            _well_named(home, found)
        except PlanError as error:
            wrong.append(str(error))
            continue
        click.echo(f"{found.trainee}: nothing is wrong in {path}")
        for one in remarks(found.plan):
            print_lines([f"  look at {remark_words(one, found.plan)}"])
    if wrong:
        raise Trouble("\n".join(wrong))


def _well_named(home: Home, found: Written) -> None:
    wanted = home.plan(name_key(found.trainee))
    if found.path.name != wanted.name:
        raise PlanError(
            f"{found.path}: is the plan of {found.trainee}, whose file is {wanted.name}; call it that, or give the "
            "name of the trainee whose plan it is to be (trainee = …)"
        )


def show_plan(folder: Path, name: str | None, *, as_json: bool) -> None:
    """Show a plan, where the trainee stands, and the cautions."""
    home = Home(folder)
    with clear_errors(), Logbook.open(home.logbook) as logbook:
        path = home.plan(name_key(name or last_name(logbook)))
        person = trainee_called(logbook, name) if name and path.exists() else person_called(logbook, name)
        plan = training_plan(home, person.name)
        now = proposed(log_of(logbook, person), plan, here_now().date())
    written = path if path.exists() else None
    if as_json:
        click.echo(json.dumps(plan_document(person.name, plan, written, now)))
        return
    print_lines(plan_lines(person.name, plan, written, now))
