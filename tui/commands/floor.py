"""`rungwise floor`: parses, and hands over."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tui.commands.broker import access_of, broker_options
from tui.commands.options import headless_option
from tui.home import Home

if TYPE_CHECKING:
    from tui.occasion import Occasion


@click.command(
    short_help="See every station of a gym at a glance, and keep what they did.",
    epilog="\b\nExamples:\n"
    "  rungwise floor mqtts://gym.example --password-file coach.txt --ca gym.pem\n"
    "  rungwise floor mqtt://localhost --headless",
)
@click.argument("url")
@broker_options
@headless_option
@click.pass_obj
def floor(home: Path | None, url: str, password_file: Path | None, ca: Path | None, headless: bool) -> None:
    """See every station of a gym at a glance, and keep what they did in the logbook here.

    URL is the broker's: mqtt[s]://[user@]host[:port][/gym]. Who needs a look stands first; enter opens a station, n
    sends a note, r a changed target, p that trainee's plan. What comes is in this computer's logbook, so log, check,
    ladder, roster and report work on it. With --headless, or where nobody looks, it prints a line for each change.
    """
    from sensor.broker_address import Address
    from tui.running import run_in_dashboard, wants_text
    from tui.trouble import clear_errors

    used = Home(home) if home else Home.default()
    with clear_errors():
        address, access = Address.parse(url), access_of(password_file, ca)
    if wants_text(headless):
        from tui.floor.command import tell_floor

        tell_floor(used, address, access)
        return

    def prepare(held: ExitStack) -> Occasion:
        from tui.floor.command import open_floor

        return open_floor(held, used, address, access)

    run_in_dashboard(prepare, home=used, network=True)
