"""What can be opened from everywhere: the rooms of the house, and the way into each.

A way in has two steps. The first reads (files, the logbook) and may take a while, so it runs beside the screen; the
second makes the screen of what was read. `tui.app` knows nothing of what a room holds.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import date
from functools import partial
from typing import TYPE_CHECKING

from tui.home import Home
from tui.views.check_view import Speaker

if TYPE_CHECKING:
    from textual.screen import Screen

    from analysis.logbook.book import Logbook  # takes as long to load as all the screens

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
    whose
        Whose it is now, said where the rooms are listed; empty: everybody's.
    """

    key: str
    name: str
    tells: str
    enter: Enter
    whose: Callable[[], str] = str


@dataclass(frozen=True, slots=True)
class Door:
    """A way from a session into a room, by one key.

    Attributes
    ----------
    key, name
        Its key, and what opens.
    enter_of
        From the session's id to the way in.
    """

    key: str
    name: str
    enter_of: Callable[[str], Enter]


@dataclass(slots=True)
class Looking:
    """What somebody chose while looking round; it holds until another choice.

    Attributes
    ----------
    name
        Whose rooms were asked for; empty: of nobody in particular.
    speaker
        Who corrects.
    """

    name: str = ""
    speaker: Speaker = field(default_factory=Speaker)


@dataclass(frozen=True, slots=True, kw_only=True)
class Library:
    """Where the rooms read from.

    Attributes
    ----------
    who
        Name of the trainee whose rooms these are; empty where the logbook holds nobody.
    today
        The day, where the trainee is.
    looking
        What was chosen in the rooms; the group's room changes whose rooms these are.
    """

    home: Home
    logbook: Logbook
    who: Callable[[], str]
    today: Callable[[], date]
    looking: Looking = field(default_factory=Looking)


def rooms_of(library: Library) -> tuple[Room, ...]:
    """Return the rooms in the order in which they are listed."""
    usual = library.who
    library = replace(library, who=lambda: library.looking.name or usual())
    return (
        Room("l", "log", "what was done, set by set", lambda: _log(library), library.who),
        check_room(library),
        Room("d", "ladder", "where somebody stands, and what comes next", lambda: _ladder(library), library.who),
        Room("r", "replay", "the last recorded session, whole and close", lambda: _replay(library), library.who),
        group_room(library),
    )


def check_room(library: Library, session: str | None = None) -> Room:
    """Return the room where a session is looked through; without one, the last of whose rooms these are."""
    tells = "a session rep by rep, and its corrections"
    return Room("c", "check", tells, lambda: _check(library, session), library.who)


def group_room(library: Library, group: str | None = None) -> Room:
    """Return the room of everybody, or of a group, from which the rooms of each are opened."""
    return Room("p", "people", "who needs a look, and why", lambda: _group(library, group))


def doors_of(library: Library) -> tuple[Door, ...]:
    """Return what opens from a session of the log."""
    return (
        Door("c", "check", lambda session: lambda: _check(library, session)),
        Door("r", "replay", lambda session: _replay_of(library, session)),
    )


def _log(library: Library) -> Callable[[], Screen[None]]:
    from tui.book.show import log_of
    from tui.screens.log import LogScreen

    read = partial(log_of, library.logbook, library.who())
    rows = read()
    return lambda: LogScreen(rows, doors_of(library), read)


def _check(library: Library, session: str | None) -> Callable[[], Screen[None]]:
    from tui.book.check import desk_of
    from tui.screens.check import CheckScreen

    desk = desk_of(library, session)
    view = desk.read()
    replay = partial(_replay_of, library, view.session)
    return lambda: CheckScreen(desk, view, library.looking.speaker, replay)


def _group(library: Library, group: str | None) -> Callable[[], Screen[None]]:
    from tui.book.roster import group_of
    from tui.screens.group import GroupScreen

    read = partial(group_of, library.home, library.logbook, group, library.today())
    view = read()
    return lambda: GroupScreen(view, library.looking, read)


def _ladder(library: Library) -> Callable[[], Screen[None]]:
    from tui.book.ladder import ladder_of
    from tui.screens.ladder import LadderScreen

    names = tuple(one.name for one in library.logbook.trainees())
    view = ladder_of(library.home, library.logbook, library.who() or next(iter(names), ""), library.today())

    def enter_for(other: str) -> Enter:
        library.looking.name = other
        return lambda: _ladder(library)

    return lambda: LadderScreen(view, names, enter_for)


def _replay_of(library: Library, session: str, at_s: float | None = None) -> Enter:
    from tui.retrace.room import replay_enter

    return replay_enter(library, session, at_s)


def _replay(library: Library) -> Callable[[], Screen[None]]:
    from tui.retrace.room import last_enter

    return last_enter(library)()
