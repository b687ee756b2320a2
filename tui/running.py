"""Runs a driver to its end, in the dashboard or as text, and turns what goes wrong into one clear line."""

from __future__ import annotations

import asyncio
import os
import sys
from collections.abc import Sequence
from contextlib import closing, nullcontext

import click

from tui.control import Asked, Driver, Feed, LiveControl, ReplayControl, SoundControl
from tui.crash import crash_log
from tui.home import Home
from tui.rooms import Room
from tui.text import TextFeed
from tui.trouble import clear_errors

INTERRUPTED = 130


def wants_text(headless: bool) -> bool:
    """Return whether to print text: asked for, or nobody can see a dashboard."""
    return headless or not sys.stdout.isatty() or os.environ.get("TERM") == "dumb"


def run_as_text(driver: Driver) -> None:
    """Run a driver and print what happens."""
    try:
        with clear_errors():
            asyncio.run(driver(TextFeed()))
    except KeyboardInterrupt:
        click.echo("stopped; what was done until now is in the log", err=True)
        raise SystemExit(INTERRUPTED) from None


def run_in_dashboard(
    driver: Driver | None,
    *,
    home: Home,
    control: LiveControl | None = None,
    replay: ReplayControl | None = None,
    sound: SoundControl | None = None,
    trainees: Sequence[str] = (),
    rooms: Sequence[Room] = (),
    first: str | Room = "",
    guide: Sequence[str] = (),
    asked: Asked | None = None,
) -> None:
    """Run a driver under the dashboard; what it died of is raised once the screen is left.

    Parameters
    ----------
    home
        Where a fault of the program is written down.
    sound
        Makes the session heard; closed in the end.
    """
    from tui.app import RungwiseApp

    async def pictured_first(feed: Feed) -> None:
        await app.pictured.wait()  # what a session loads takes longer than the first picture
        if driver:
            await driver(feed)

    app = RungwiseApp(
        pictured_first if driver else None,
        control=control,
        replay=replay,
        trainees=trainees,
        rooms=rooms,
        first=first,
        guide=guide,
        asked=asked,
        sound=sound,
    )
    with crash_log(home.crashes), clear_errors(), closing(sound) if sound else nullcontext():
        app.run(mouse=False)
        if app.failure is not None:
            raise app.failure
