"""Runs a driver to its end, in the dashboard or as text, and turns what goes wrong into one clear line."""

from __future__ import annotations

import asyncio
import gc
import os
import sys
from contextlib import ExitStack
from functools import partial
from typing import TYPE_CHECKING

import click

from tui.crash import crash_log
from tui.home import Home
from tui.occasion import Occasion, Prepare
from tui.trouble import clear_errors

if TYPE_CHECKING:
    from tui.session.control import Driver

INTERRUPTED = 130
_SEARCHES = (700, 10, 50)
"""When Python searches for garbage; the last, in all that is not frozen, five times rarer than it is wont to."""
_TURN_S = 0.001
"""How long one thread keeps the others waiting: those that read keys and write pictures wait for the session's own."""


def wants_text(headless: bool) -> bool:
    """Return whether to print text: asked for, or nobody can see a dashboard."""
    return headless or not sys.stdout.isatty() or os.environ.get("TERM") == "dumb"


def new_runner(*, network: bool) -> asyncio.Runner:
    """Return what runs a session.

    Parameters
    ----------
    network
        A broker is spoken to: its library watches sockets, which on Windows is done by another loop than the usual one.
    """
    return asyncio.Runner(loop_factory=asyncio.SelectorEventLoop if network else None)


def run_as_text(driver: Driver, *, network: bool = False) -> None:
    """Run a driver and print what happens; `network` as of `new_runner`."""
    from tui.words.text import TextFeed

    try:
        with clear_errors(), new_runner(network=network) as runner:
            runner.run(driver(TextFeed()))
    except KeyboardInterrupt:
        click.echo("stopped; what was done until now is in the log", err=True)
        raise SystemExit(INTERRUPTED) from None


def _unhurried(prepare: Prepare, held: ExitStack) -> Occasion:
    """Make ready; what is loaded by then stays for good, so no later search for garbage looks at it.

    A full search would: .15 to .2 s, while a key waits for its answer.
    """
    try:
        return prepare(held)
    finally:
        gc.freeze()
        gc.set_threshold(*_SEARCHES)
        gc.enable()


def run_in_dashboard(prepare: Prepare, *, home: Home, network: bool = False) -> None:
    """Open the dashboard; what it died of is raised once the screen is left.

    Parameters
    ----------
    prepare
        Makes ready what it is opened for, in a thread of its own behind the first picture.
    home
        Where a fault of the program is written down.
    network
        As of `new_runner`.
    """
    gc.disable()  # until all is loaded, nothing becomes garbage that is worth a search
    sys.setswitchinterval(_TURN_S)
    from tui.app import RungwiseApp

    with clear_errors():
        crashes = home.crashes  # the first that needs the folder
    with crash_log(crashes), clear_errors(), ExitStack() as held:
        app = RungwiseApp(partial(_unhurried, prepare, held))
        with new_runner(network=network) as runner:
            app.run(mouse=False, loop=runner.get_loop())
        if app.failure is not None:
            raise app.failure
        app.occasion.left()
