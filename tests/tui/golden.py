"""Text goldens: the visible characters of a screen, kept in tests/golden.

After a wanted change of a screen, write them anew with ``RUNGWISE_WRITE_GOLDEN=1 pytest tests/tui`` and read the diff.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from textual.app import App
from textual.pilot import Pilot
from textual.screen import Screen

from tui.screens.visit import VisitScreen

FOLDER = Path(__file__).parent.parent / "golden"


def screen_text(app: App[None]) -> str:
    """Return what is on the screen, a line a row, without trailing blanks."""
    strips = app.screen._compositor.render_strips()
    return "\n".join("".join(segment.text for segment in strip).rstrip() for strip in strips) + "\n"


def check_golden(name: str, shown: str) -> None:
    """Compare with the golden of that name, or write it where that was asked for."""
    path = FOLDER / f"{name}.txt"
    if os.environ.get("RUNGWISE_WRITE_GOLDEN"):
        path.write_text(shown, encoding="utf-8")
    assert path.exists(), f"{path.name} is missing: RUNGWISE_WRITE_GOLDEN=1 pytest tests/tui writes it"
    kept = path.read_text(encoding="utf-8")
    assert shown == kept, f"{name} looks different:\n{shown}\nwas:\n{kept}"


async def read(app: App[None], pilot: Pilot[None]) -> None:
    """Wait until what is being read is there, or is said to be not."""
    reading = [one for one in app.workers if isinstance(one.node, VisitScreen)]
    if reading:  # an empty list would wait for the session, too
        await app.workers.wait_for_complete(reading)
    await pilot.pause()


async def shown(app: App[None], pilot: Pilot[None], screen: type[Screen[Any]]) -> None:
    """Wait until a room is read, and expect this screen."""
    await read(app, pilot)
    assert isinstance(app.screen, screen), app.screen
