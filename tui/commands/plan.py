"""The commands around a trainee's plan: parses, and hands over."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import click

from tui.commands.options import Number, one_name, trainee_argument, trainee_option
from tui.commands.told import date_option
from tui.home import Home

GOALS = ("strength", "size", "endurance")


@click.group(short_help="Write, check, show and change the plan of a trainee.")
def plan() -> None:
    """Write, check, show and change the plan of a trainee: rungs, days, grips, equipment, goal, histories.

    A plan is a text file (TOML) in the data folder, plans/NAME.toml, with a comment to each key; edit it with any
    editor, or by `plan set`. Who has none trains by the default plan.
    """


@plan.command(
    epilog='\b\nExamples:\n  rungwise plan new --trainee "Jonas Reiter"\n  rungwise plan new "Jonas Reiter" --goal size'
)
@trainee_argument
@trainee_option
@click.option("--goal", type=click.Choice(GOALS), default="strength", show_default=True, help="What for.")
@click.option("--force", is_flag=True, help="Over the plan that is there; that one is kept as NAME.toml.before.")
@click.pass_obj
def new(home: Path | None, trainee: str | None, named: str | None, goal: str, force: bool) -> None:
    """Write the default plan with its comments, to be edited."""
    from tui.book.plan import new_plan

    name = one_name(trainee, named)
    if name is None:
        raise click.UsageError('say whose plan, for example --trainee "Jonas Reiter"')
    new_plan(home or Home.default().folder, name, goal=goal, force=force)


@plan.command(
    short_help="Say what is wrong in one plan, or in all.",
    epilog='\b\nExamples:\n  rungwise plan check\n  rungwise plan check "Jonas Reiter"',
)
@trainee_argument
@trainee_option
@click.pass_obj
def check(home: Path | None, trainee: str | None, named: str | None) -> None:
    """Say what is wrong in a plan, with line, key and what is allowed; without TRAINEE in all of them."""
    from tui.book.plan import check_plans

    check_plans(home or Home.default().folder, one_name(trainee, named))


@plan.command(
    short_help="Show a plan, and where the trainee stands.",
    epilog='\b\nExamples:\n  rungwise plan show "Jonas Reiter"\n  rungwise plan show --json',
)
@trainee_argument
@trainee_option
@click.option("--json", "as_json", is_flag=True, help="Print as JSON (rungwise.plan-view/1).")
@click.pass_obj
def show(home: Path | None, trainee: str | None, named: str | None, as_json: bool) -> None:
    """Show a plan, where the trainee stands on the ladder, and the cautions."""
    from tui.book.plan import show_plan

    show_plan(home or Home.default().folder, one_name(trainee, named), as_json=as_json)


@plan.command(
    "set",
    short_help="Change keys of a plan, and keep its comments.",
    epilog="\b\nExamples:\n"
    '  rungwise plan set goal=size weighted.reps=10 weighted.rest_s=90 --trainee "Jonas Reiter"\n'
    '  rungwise plan set group=recruits weekdays=monday,thursday --trainee "Jonas Reiter"\n'
    "  rungwise plan set equipment=low-bar,high-bar,block,handles --group recruits --dry-run\n"
    "  rungwise plan set feet-on-floor.tempo.down_s=2 box.steps.2.reps=4 pull-up.load_step_kg=none\n"
    "  rungwise plan set equipment-=rings,towel grips+=wide\n"
    "  rungwise plan set 'pull-up.steps+={reps = 9}' pull-up.gate=none\n"
    "  rungwise plan set 'box.steps.4+={tempo = {down_s = 2}, reps = 3}' box.steps.2=none\n"
    '  rungwise plan set \'rungs.box+={key = "rows-in-rings", exercise = "inverted-row", sets = 3, reps = 8, '
    "rest_s = 90}'",
)
@click.argument("changes", nargs=-1, required=True, metavar="KEY=VALUE...")
@click.option("--trainee", "named", metavar="NAME", help="Whose plan; default: of the last one who trained.")
@click.option("--group", metavar="GROUP", help="All plans of this group.")
@click.option("--dry-run", is_flag=True, help="Show what would be written, as a diff, and write nothing.")
@click.pass_obj
def set_command(
    home: Path | None, changes: tuple[str, ...], named: str | None, group: str | None, dry_run: bool
) -> None:
    """Change keys of a plan and keep its comments; KEY=none takes a key out, so that its default holds.

    A key of a rung is RUNG.KEY. KEY+=VALUE puts something into a list, KEY-=VALUE takes a word out of one. RUNG.steps+=
    puts a step after the last one, RUNG.steps.2+= before step 2, RUNG.steps.2=none takes that step out. rungs+= puts a
    rung after the last one, rungs.RUNG+= before RUNG, RUNG=none takes a rung out, with the comments within it.

    Several are changed together. What would make a plan wrong is told, and nothing is written; of a group all plans are
    changed or none.
    """
    from tui.book.plan_set import set_keys

    if named is not None and group is not None:
        raise click.UsageError("--trainee and --group name one plan and many: give one of them")
    if group is not None and not group.strip():
        raise click.UsageError("--group needs the name of a group, as the plans have it")
    pairs = []
    for one in changes:
        key, sign, value = one.partition("=")
        if not sign or not key.strip(" +-"):
            raise click.UsageError(f"{one} is no KEY=VALUE: give for example sessions_a_week=3")
        pairs.append((key.strip(), value.strip()))
    set_keys(home or Home.default().folder, pairs, name=named, group=group, dry_run=dry_run)


@plan.command(
    short_help="Say where to begin: by a test day, or as the coach decides.",
    epilog="\b\nExamples:\n"
    "  rungwise plan start\n"
    '  rungwise plan start --rows 15 --hang 20 --low-bar 12 --trainee "Jonas Reiter"\n'
    '  rungwise plan start --rows 15 --low-bar 12 --rung heels-raised --by "Ada Brunn"\n'
    '  rungwise plan start "Jonas Reiter" --rung feet-on-floor --step 3 --by "Ada Brunn"',
)
@trainee_argument
@trainee_option
@date_option
@click.option("--rows", type=click.IntRange(0, 50), help="Inverted rows, body straight; stop at 15.")
@click.option("--hang", type=Number(min=0, max=600), metavar="SECONDS", help="A hang, 20 s at most.")
@click.option("--low-bar", type=click.IntRange(0, 60), help="Low-bar pull-ups, stopped two before the form breaks.")
@click.option("--rung", metavar="KEY", help="The coach decides: this rung.")
@click.option("--step", type=click.IntRange(1, 100), help="With --rung: this step of it, from 1.")
@click.option("--by", default="", metavar="NAME", help="With --rung: who decides.")
@click.option("--json", "as_json", is_flag=True, help="Print what follows as JSON (rungwise.next/1).")
@click.pass_obj
def start(
    home: Path | None,
    trainee: str | None,
    named: str | None,
    on: datetime | None,
    rows: int | None,
    hang: float | None,
    low_bar: int | None,
    rung: str | None,
    step: int | None,
    by: str,
    as_json: bool,
) -> None:
    """Say where to begin: from a short test day, or as the coach decides. Without figures: how a test day goes.

    It is kept beside the log, and the next session is worked out from there.
    """
    from analysis.training.test_day import Tried
    from tui.book.plan_start import start_on, tell_test_day

    if bool(rung) != bool(by.strip()) or (step is not None and not rung):
        raise click.UsageError("--rung and --by go together (--step with them): say which rung, and who decides")
    tried = Tried(rows=rows, hang_s=hang, low_bar=low_bar)
    if tried == Tried() and not rung:
        tell_test_day()
        return
    folder = home or Home.default().folder
    start_on(folder, one_name(trainee, named), tried, on=on, rung=rung, step=step, by=by.strip(), as_json=as_json)
