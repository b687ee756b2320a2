"""`rungwise forget`: parses, and hands over."""

from __future__ import annotations

from pathlib import Path

import click

from tui.home import Home


@click.command(
    short_help="Remove everything of a trainee, for good.",
    epilog='\b\nExamples:\n  rungwise forget "Jonas Reiter"\n  rungwise forget "Jonas Reiter" --yes',
)
@click.argument("trainee")
@click.option("--yes", is_flag=True, help="Do not ask.")
@click.pass_obj
def forget(home: Path | None, trainee: str, yes: bool) -> None:
    """Remove everything of a trainee: sessions and their recordings, what was said and proposed, the plan.

    Sets of others in these sessions stay, without the trainee's name. It says what it cannot reach. A coach's logbook
    that hears this one removes it too.
    """
    from tui.book.forget import forget as remove

    remove(home or Home.default().folder, trainee, sure=yes)
