"""A session as plain text: one line for each thing that happens."""

from __future__ import annotations

import click

from tui.session.messages import Moment, Snapshot
from tui.words.format import clock


class TextFeed:
    """Prints moments as they come (`tui.session.control.Feed`); a snapshot has nothing to add to them."""

    def post_snapshot(self, snapshot: Snapshot) -> None:
        """Show nothing: text does not redraw."""

    def post_moment(self, moment: Moment) -> None:
        """Print it with its time."""
        click.echo(f"{clock(moment.at_s):>6}  {moment.text}")
