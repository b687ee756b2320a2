"""`rungwise log --backup`: a copy of the logbook."""

from __future__ import annotations

from pathlib import Path

import click

from analysis.logbook.book import Logbook
from tui.home import Home
from tui.trouble import clear_errors


def copy_log(folder: Path, target: Path) -> None:
    """Copy the logbook of a home folder into a new file."""
    with clear_errors(), Logbook.open(Home(folder).logbook) as logbook:
        logbook.copy_to(target)
    click.echo(f"{target} is a copy of {Home(folder).logbook}, {target.stat().st_size / 1e6:.1f} MB")
