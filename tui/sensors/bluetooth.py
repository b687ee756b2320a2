"""Which Bluetooth a command uses: the system's own, or a virtual sensor on a virtual table."""

from __future__ import annotations

import sys
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

import click

from sensor.radio_search import Backends
from tui.trouble import Trouble

STILL_S, TURNED_S = 3600.0, 3.5
"""How long a virtual sensor lies on a side: for good, or until a calibration has seen it and says so."""


def show_progress(said: str | None) -> None:
    """Show a person at a terminal what is waited for, in the place of what was shown before; None: nothing."""
    if sys.stderr.isatty():
        click.echo("\r\033[K" + (said or ""), nl=False, err=True)


@asynccontextmanager
async def radio(virtual: bool, *, side_s: float = STILL_S) -> AsyncIterator[Backends | None]:
    """Give what bleak is to use: the system's own Bluetooth (None), or a virtual sensor's.

    Parameters
    ----------
    side_s
        How long the virtual sensor lies on each side before it is turned onto the next.
    """
    if not virtual:
        yield None
        return
    from sensor.virtual.link import link_available

    if not link_available():
        raise Trouble("the virtual link is not installed; install it: pip install 'rungwise[demo]'")
    from sensor.virtual.adapter import virtual_adapter
    from sensor.virtual.backend import backends
    from sensor.virtual.motion import TableTopFeed
    from sensor.virtual.process_setup import TABLE_TOP_ADDRESS, Setup
    from sensor.virtual.spawn import virtual_sensor

    setup = Setup(feed=TableTopFeed(side_s), address=TABLE_TOP_ADDRESS)
    async with virtual_sensor(setup) as port, virtual_adapter(port) as adapter:
        yield backends(adapter)
