"""`rungwise plan start`: where to begin, from a test day or as the coach decides."""

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path

import click

from analysis.logbook.book import Logbook
from analysis.logbook.people import name_key
from analysis.training.plan import TrainingPlan
from analysis.training.statements import Placement
from analysis.training.test_day import PROTOCOL, Proposal, Tried, propose
from tui.book.done import follow_lines, new_words
from tui.book.moments import day_told, here_now, told_us
from tui.book.next import next_document
from tui.book.plan_file import training_plan
from tui.home import Home
from tui.session.plans import last_name, log_of, proposed, trainee_called
from tui.trouble import Trouble, clear_errors
from tui.words.lines import print_lines

TEST_DAY = "The test day"
"""Who decides where no coach does."""


def tell_test_day() -> None:
    """Say how a test day goes."""
    print_lines(["The test day:", *(f"  {line}" for line in PROTOCOL)])
    click.echo("Then: rungwise plan start --rows N --hang SECONDS --low-bar N")


def start_on(
    folder: Path,
    name: str | None,
    tried: Tried,
    *,
    on: datetime | None,
    rung: str | None,
    step: int | None,
    by: str,
    as_json: bool,
) -> None:
    """Say on which rung to begin or go on, from a test day or as the coach decides, and keep it."""
    home, now = Home(folder), here_now()
    day = day_told(on, now)
    with clear_errors(), Logbook.open(home.logbook) as logbook:
        trainee = trainee_called(logbook, name or last_name(logbook))
        if name_key(by) == name_key(trainee.name):
            raise Trouble(f"the rung is decided by somebody else than {trainee.name}: give the coach's name (--by)")
        plan = training_plan(home, trainee.name)
        proposal = None if tried == Tried() else propose(tried, plan)
        wanted = rung or (proposal.rung if proposal else plan.start)
        at = _step(plan, wanted, step)
        why = "" if proposal is None else _why(proposal, rung)
        known = [one.name for one in logbook.trainees()]
        logbook.keep_trainee(trainee)
        moment_us = told_us(day, now, logbook.history(trainee.id))
        placement = Placement(said_utc_us=moment_us, day=day, rung=wanted, step=at, by=by or TEST_DAY, why=why)
        logbook.say(trainee.id, placement)
        log = log_of(logbook, trainee)
        following, trained = proposed(log, plan, now.date()), bool(log.sessions)
    if as_json:
        click.echo(json.dumps(next_document(following, trainee)))
        return
    exercise = plan.ladder.rungs[plan.ladder.number(wanted) or 0].exercise.name
    lines = follow_lines(following, trainee)
    decided = following.reasons[0].rule == "placement"
    if trainee.name not in known:
        print_lines([new_words(trainee.name, known)])
    goes = "goes on" if trained else "begins"
    print_lines([f"{trainee.name} {goes} with {wanted}, step {at + 1}: {exercise}"])
    print_lines(lines if decided or not why else (f"  {why}", *lines))


def _why(proposal: Proposal, rung: str | None) -> str:
    """Say what the decision rests on; `rung` is the coach's, None where the test day decides."""
    if rung is None:
        return proposal.why
    if rung == proposal.rung:
        return f"as the test day proposed, {proposal.why}"
    return f"instead of {proposal.rung}, which the test day proposed, {proposal.why}"


def _step(plan: TrainingPlan, rung: str, step: int | None) -> int:
    """Return the number of a step of a rung, from 0.

    Raises
    ------
    Trouble
        When there is no such rung, or no such step.
    """
    number = plan.ladder.number(rung)
    if number is None:
        keys = ", ".join(one.key for one in plan.ladder.rungs)
        raise Trouble(f"{rung} is no rung of the plan; give one of {keys}")
    steps = len(plan.ladder.rungs[number].steps)
    if step is not None and step > steps:
        raise Trouble(f"{rung} has {steps} steps, not {step}: give --step 1 to {steps}")
    return (step or 1) - 1
