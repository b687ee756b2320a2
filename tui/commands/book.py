"""The commands around the logbook: parses, and hands over."""

from __future__ import annotations

from contextlib import ExitStack
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tui.commands.options import Day, headless_option, one_name, trainee_argument, trainee_option
from tui.home import Home

if TYPE_CHECKING:
    from tui.occasion import Occasion


@click.command(
    short_help="List what was done, by session or week, and how it goes.",
    epilog='\b\nExamples:\n  rungwise log "Jonas Reiter"\n  rungwise log "Jonas Reiter" --weeks\n'
    '  rungwise log "Jonas Reiter" --progress\n'
    "  rungwise log --json\n"
    "  rungwise log --backup 2026-03-02.sqlite",
)
@trainee_argument
@trainee_option
@headless_option
@click.option("--weeks", is_flag=True, help="Week by week: sessions, reps, load (exertion × minutes) and its change.")
@click.option("--progress", "progressed", is_flag=True, help="How it goes: the ladder, gains, trends.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document a line (rungwise.session/1, week/1 …).")
@click.option("--backup", type=click.Path(path_type=Path), metavar="FILE", help="Copy the logbook into this new file.")
@click.pass_obj
def log(
    home: Path | None,
    trainee: str | None,
    named: str | None,
    headless: bool,
    weeks: bool,
    progressed: bool,
    as_json: bool,
    backup: Path | None,
) -> None:
    """List what was done, or with --progress how it goes: a screen in a terminal, lines elsewhere.

    With --backup a copy is made, of everybody's sessions as of now and while others write; to go back to it, put it in
    the place of logbook.sqlite in the home folder while Rungwise is not running.
    """
    folder, name = home or Home.default().folder, one_name(trainee, named)
    if backup:
        if name or weeks or progressed or as_json:
            raise click.UsageError("--backup copies the whole logbook: leave out the trainee and all else")
        from tui.book.backup import copy_log

        copy_log(folder, backup)
        return
    if weeks and progressed:
        raise click.UsageError("--weeks and --progress are two tables: ask for one")
    if weeks:
        from tui.book.weeks import show_weeks

        show_weeks(folder, trainee=name, as_json=as_json)
        return
    _show_log(Home(folder), name, progressed=progressed, headless=headless, as_json=as_json)


def _show_log(home: Home, name: str | None, *, progressed: bool, headless: bool, as_json: bool) -> None:
    from tui.running import run_in_dashboard, wants_text

    if as_json or wants_text(headless):
        from tui.book.progress import show_progress
        from tui.book.show import show_log

        show = show_progress if progressed else show_log
        show(home.folder, trainee=name, as_json=as_json)
        return

    def prepare(held: ExitStack) -> Occasion:
        from tui.book.progress import open_ladder
        from tui.book.show import open_log

        return (open_ladder if progressed else open_log)(held, home, name)

    run_in_dashboard(prepare, home=home)


@click.command(
    "next", epilog='Examples: rungwise next "Jonas Reiter", rungwise next "Jonas Reiter" --date 2026-03-09 --json'
)
@trainee_argument
@trainee_option
@click.option("--date", "on", type=Day(), help="Take this day as today.")
@click.option("--json", "as_json", is_flag=True, help="Print as JSON (rungwise.next/1).")
@click.pass_obj
def next_command(home: Path | None, trainee: str | None, named: str | None, on: datetime | None, as_json: bool) -> None:
    """Say what to do next, and why."""
    from tui.book.next import show_next

    show_next(home or Home.default().folder, trainee=one_name(trainee, named), on=on, as_json=as_json)


@click.command(epilog="Examples: rungwise roster, rungwise roster --group valley --json")
@click.option("--group", metavar="NAME", help="Only those whose plan names this group.")
@click.option("--date", "on", type=Day(), help="Take this day as today.")
@headless_option
@click.option("--json", "as_json", is_flag=True, help="One JSON document a line (rungwise.roster/1).")
@click.pass_obj
def roster(home: Path | None, group: str | None, on: datetime | None, headless: bool, as_json: bool) -> None:
    """Show everybody on one page, those first who need a look.

    That is: pain or a stop, a stall, skipped sessions, a step up that may come and what it waits for, questions of
    form that are open. In a terminal as a screen, elsewhere as text.
    """
    from tui.running import run_in_dashboard, wants_text

    used = Home(home) if home else Home.default()
    if as_json or wants_text(headless):
        from tui.book.roster import show_roster

        show_roster(used.folder, group=group, on=on, as_json=as_json)
        return

    def prepare(held: ExitStack) -> Occasion:
        from tui.book.roster import open_people

        return open_people(held, used, group, on)

    run_in_dashboard(prepare, home=used)
