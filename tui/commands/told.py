"""The commands for what people tell: parses, and hands over."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Any

import click

from tui.commands.options import Day, Number, Numbers, RepName, one_name, trainee_argument, trainee_option
from tui.home import Home

GRIPS = ("pronated", "supinated", "neutral", "wide", "towel")
SUPPORTS = ("rack", "guided-bar", "rings", "straps", "towel")

date_option = click.option("--date", "on", type=Day(), help="The day it was; default: today.")


scale_option = click.option(
    "--scale",
    type=Number(min=0, max=300),
    metavar="KG",
    help="What a scale under the feet shows, hanging still in the start position; with --body.",
)
body_option = click.option(
    "--body", type=Number(min=20, max=400), metavar="KG", help="Body weight. The share on the hands is kept, not this."
)


def _both_weights(scale: float | None, body: float | None) -> None:
    if (scale is None) != (body is None):
        raise click.UsageError("--scale and --body go together: the share on the hands is 1 − scale / body weight")


@click.command(
    epilog="\b\nExamples:\n"
    '  rungwise done --trainee "Jonas Reiter" --sets 15,15,12 --rest 90 --pain 0 --rpe 7\n'
    '  rungwise done --trainee "Jonas Reiter" --date 2026-03-02 --sets 15,15,15 --rest 90,100 --minutes 20\n'
    "  rungwise done --sheet monday.csv --group valley"
)
@trainee_argument
@trainee_option
@date_option
@click.option("--sets", "counts", type=Numbers(0, 999, whole=True), help="Reps of each set (of holds its seconds).")
@click.option("--rest", "rests", type=Numbers(0, 3600), help="Rest really taken, s: one for all, or one a gap: 90,100.")
@click.option("--pain", type=click.IntRange(0, 10), help="Pain after the session, 0 to 10.")
@click.option("--sharp", is_flag=True, help="The pain is sharp, at night, or goes along a nerve.")
@click.option("--where", default="", metavar="TEXT", help="Where the pain is.")
@click.option("--rpe", type=click.IntRange(0, 10), help="How hard the whole session was, 0 to 10.")
@click.option("--minutes", type=Number(min=1, max=600), help="How long it took.")
@click.option("--grip", type=click.Choice(GRIPS), help="The grip, if another than asked.")
@click.option(
    "--load",
    type=Number(min=-200, max=300),
    metavar="KG",
    help="Added load, if not as asked; less than 0: assistance.",
)
@click.option("--rung", metavar="KEY", help="The rung, if another than the one proposed.")
@click.option("--seen-by", default="", metavar="NAME", help="Who watched; without, it opens no next rung.")
@click.option("--bar", type=Number(min=1, max=400), metavar="CM", help="Height of the bar.")
@click.option("--heels", type=Number(min=-300, max=300), metavar="CM", help="From heels to under the bar.")
@click.option("--block", type=Number(min=0, max=200), metavar="CM", help="Height of the block under the heels.")
@click.option("--support", type=click.Choice(SUPPORTS), help="What carries the person.")
@scale_option
@body_option
@click.option("--note", default="", metavar="TEXT", help="Anything worth keeping.")
@click.option("--again", is_flag=True, help="A second session of that day.")
@click.option(
    "--sheet",
    type=click.Path(dir_okay=False, allow_dash=True, path_type=Path),
    metavar="FILE",
    help="A table (CSV) of the day for a whole group: a new FILE is written, with what is asked of each; one that is "
    "there, filled in, is read. - prints it.",
)
@click.option("--group", metavar="NAME", help="With --sheet: only those whose plan names this group.")
@click.option("--json", "as_json", is_flag=True, help="Print the session as JSON (rungwise.session/1).")
@click.pass_obj
def done(
    home: Path | None,
    /,
    trainee: str | None,
    named: str | None,
    again: bool,
    as_json: bool,
    sheet: Path | None,
    group: str | None,
    **told: Any,
) -> None:
    """Type in a session that was done without the sensor.

    What was asked that day is worked out from the log. Counts and rests are judged, the tempo is not. Whoever is new is
    added.
    """
    name, folder = one_name(trainee, named), home or Home.default().folder
    if sheet is not None:
        _sheet(folder, sheet, group, told.pop("on"), [name, again, as_json, *told.values()])
        return
    from tui.book.done import enter_session, told_of

    if group is not None:
        raise click.UsageError("--group goes with --sheet; a single session is its trainee's")
    if name is None:
        raise click.UsageError('say who it was, for example --trainee "Jonas Reiter"')
    if told["counts"] is None:
        raise click.UsageError("say what was done, the reps of each set: --sets 15,15,12")
    if told["pain"] is None and (told["sharp"] or told["where"]):
        raise click.UsageError("--sharp and --where say more of a pain: give --pain 0 to 10 as well")
    _both_weights(told["scale"], told["body"])
    enter_session(folder, name, told_of(**told), again=again, as_json=as_json)


def _sheet(folder: Path, path: Path, group: str | None, on: datetime | None, others: list[Any]) -> None:
    """Write a sheet where there is none yet, read it where there is."""
    from tui.book.sheet import STDOUT, write_sheet
    from tui.book.sheet_back import read_sheet

    if any(one not in (None, "", False) for one in others):
        raise click.UsageError("--sheet goes with --group and --date alone: all else stands in its columns")
    if path != STDOUT and path.exists():
        read_sheet(folder, path)
    else:
        write_sheet(folder, path, group=group, on=on)


SAYING = ("pain", "signs", "blades", "back", "release", "reference", "scale", "body")
"""Options of `tell` that say something by themselves."""

_YES = click.Choice(("yes", "no"))


@click.command(
    short_help="Say what no sensor knows: pain, form, a release.",
    epilog="\b\nExamples:\n"
    '  rungwise tell "Jonas Reiter" --pain 2 --worst 3 --where "left elbow"\n'
    '  rungwise tell "Jonas Reiter" --blades yes --back yes --by "Ada Brunn"\n'
    '  rungwise tell "Jonas Reiter" --reference 6f1f3b1e/1/4 --by "Ada Brunn"\n'
    '  rungwise tell "Jonas Reiter" --release coach --by "Ada Brunn"\n'
    '  rungwise tell "Jonas Reiter" --scale 22 --body 70\n'
    '  rungwise tell "Jonas Reiter" --list',
)
@trainee_argument
@trainee_option
@date_option
@click.option("--pain", type=click.IntRange(0, 10), help="Pain now, 0 to 10.")
@click.option("--worst", type=click.IntRange(0, 10), help="Its worst on the day after the session before.")
@click.option("--sharp", is_flag=True, help="It is sharp, at night, or goes along a nerve.")
@click.option("--where", default="", metavar="TEXT", help="Where it is.")
@click.option("--signs/--no-signs", default=None, help="Sudden swelling, dark urine, weakness out of proportion.")
@click.option("--blades", type=_YES, help="Are the shoulder blades drawn back at the top?")
@click.option("--back", type=_YES, help="Is the upper back straight, not rounded?")
@click.option(
    "--reference",
    type=RepName(),
    help="This rep went all the way; others of its rung and set-up are measured against it.",
)
@click.option("--self-seen", is_flag=True, help="The trainee's own answer about form, from a video.")
@click.option("--release", type=click.Choice(("coach", "clinician")), help="Training may go on after a stop, says who.")
@click.option("--by", default="", metavar="NAME", help="Who says so, of form and release.")
@scale_option
@body_option
@click.option("--list", "listed", is_flag=True, help="Print what was said so far.")
@click.option("--json", "as_json", is_flag=True, help="With --list rungwise.statement/1 a line, else rungwise.next/1.")
@click.pass_obj
def tell(
    home: Path | None,
    /,
    trainee: str | None,
    named: str | None,
    on: datetime | None,
    listed: bool,
    as_json: bool,
    **said: Any,
) -> None:
    """Say what no sensor knows: pain, warning signs, form, a release after a stop.

    It is kept for good beside what was measured, and the next session follows from it. --scale and --body belong to the
    set-up of the last session, or of that day's. Without TRAINEE it is about the last one who trained.
    """
    from tui.book.tell import Words, list_said, tell

    name, folder = one_name(trainee, named), home or Home.default().folder
    anything = any(
        said[key] is not None for key in ("pain", "signs", "blades", "back", "release", "reference", "scale", "body")
    )
    if listed:
        if anything or on:
            raise click.UsageError("--list only prints what was said: leave out the rest")
        list_said(folder, name, as_json=as_json)
        return
    if said["pain"] is None and (said["sharp"] or said["where"] or said["worst"] is not None):
        raise click.UsageError("--worst, --sharp and --where say more of a pain: give --pain 0 to 10 as well")
    if not anything:
        raise click.UsageError(
            "say something: --pain, --signs or --no-signs, --blades and --back, --reference, --release, "
            "or --scale and --body"
        )
    _both_weights(said["scale"], said["body"])
    yes = {key: None if said[key] is None else said[key] == "yes" for key in ("blades", "back")}
    tell(folder, name, Words(**{**said, **yes}), on=on, as_json=as_json)
