"""`rungwise check`: parses, and hands over."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tui.commands.options import headless_option
from tui.home import Home

if TYPE_CHECKING:
    from tui.occasion import Occasion


@click.command(
    short_help="Look a session through, rep by rep, and correct it.",
    epilog='\b\nExamples:\n  rungwise check\n  rungwise check "Jonas Reiter"\n  rungwise check 3f2a --json',
)
@click.argument("named", required=False, metavar="[SESSION|TRAINEE]")
@headless_option
@click.option("--json", "as_json", is_flag=True, help="Print the session as JSON (rungwise.session/1).")
@click.pass_obj
def check(home: Path | None, named: str | None, headless: bool, as_json: bool) -> None:
    """Look a session through: each rep against the prescription, with the verdict and its uncertainty.

    SESSION is the first letters of a session's id, as `rungwise log` shows it; with a TRAINEE it is the last one of
    theirs, with neither, that of the last one who trained. In a terminal it is a screen, where what was counted can be
    corrected by keys; elsewhere text.
    """
    from tui.running import run_in_dashboard, wants_text

    folder = home or Home.default().folder
    if as_json or wants_text(headless):
        from tui.book.check_command import show_check

        show_check(folder, named, as_json=as_json)
        return

    def prepare(held: ExitStack) -> Occasion:
        from tui.book.check_command import open_check

        return open_check(held, Home(folder), named)

    run_in_dashboard(prepare, home=Home(folder))
