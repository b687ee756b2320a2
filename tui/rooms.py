"""What can be opened from everywhere: the rooms of the house, and the way into each.

A way in has two steps. The first reads (files, the logbook) and may take a while, so it runs beside the screen; the
second makes the screen of what was read. `tui.app` knows nothing of what a room holds.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from analysis.logbook.book import Logbook
from tui.home import Home

if TYPE_CHECKING:
    from textual.screen import Screen

Enter = Callable[[], Callable[[], "Screen[None]"]]
"""Reads what a room shows, and returns what makes its screen."""


@dataclass(frozen=True, slots=True)
class Room:
    """One of the rooms.

    Attributes
    ----------
    key
        Opens it from the list of rooms.
    name, tells
        What it is called, and what one sees there.
    enter
        The way in.
    """

    key: str
    name: str
    tells: str
    enter: Enter


@dataclass(frozen=True, slots=True, kw_only=True)
class Library:
    """Where the rooms read from.

    Attributes
    ----------
    who
        Name of the trainee whose rooms these are; empty where the logbook holds nobody.
    today
        The day, where the trainee is.
    """

    home: Home
    logbook: Logbook
    who: Callable[[], str]
    today: Callable[[], date]


def rooms_of(library: Library) -> tuple[Room, ...]:
    """Return the rooms in the order in which they are listed."""
    return (
        Room("l", "log", "what was done, set by set", lambda: _log(library)),
        Room("d", "ladder", "where somebody stands, and what comes next", lambda: _ladder(library, library.who())),
        Room("r", "replay", "the last recorded session, whole and close", lambda: _replay(library)),
    )


def _log(library: Library) -> Callable[[], Screen[None]]:
    from tui.book.show import log_of
    from tui.screens.log import LogScreen

    rows = log_of(library.logbook, library.who())
    return lambda: LogScreen(rows)


def _ladder(library: Library, name: str) -> Callable[[], Screen[None]]:
    from tui.book.ladder import ladder_of
    from tui.screens.ladder import LadderScreen

    names = tuple(one.name for one in library.logbook.trainees())
    view = ladder_of(library.home, library.logbook, name or next(iter(names), ""), library.today())
    return lambda: LadderScreen(view, names, lambda other: lambda: _ladder(library, other))


def _replay(library: Library) -> Callable[[], Screen[None]]:
    from tui.retrace.room import last_enter

    return last_enter(library)()
