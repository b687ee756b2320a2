"""`rungwise check`: a session rep by rep, on a screen in a terminal, as text or JSON elsewhere."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path

from analysis.logbook.book import Logbook
from tui.book.check import desk_of
from tui.book.correct import show_session
from tui.book.moments import here_now
from tui.home import Home
from tui.occasion import Occasion
from tui.rooms import Library, check_room, rooms_of
from tui.trouble import clear_errors
from tui.words.check_words import check_lines
from tui.words.lines import print_lines


def open_check(held: ExitStack, home: Home, named: str | None) -> Occasion:
    """Make ready the dashboard with a session: `named` by the letters of its id, or by whose last one it is."""
    library = _library(home, held.enter_context(Logbook.open(home.logbook)))
    desk = desk_of(library, named)
    library.looking.name = desk.read().trainee
    return Occasion(rooms=rooms_of(library), first=check_room(library, desk.session))


def show_check(folder: Path, named: str | None, *, as_json: bool) -> None:
    """Show a session as text or JSON; `named` as for the screen."""
    home = Home(folder)
    with clear_errors(), Logbook.open(home.logbook) as logbook:
        desk = desk_of(_library(home, logbook), named)
        if as_json:
            show_session(folder, desk.session, as_json=True)
        else:
            print_lines(check_lines(desk.read()))


def _library(home: Home, logbook: Logbook) -> Library:
    last = logbook.last_trainee()
    who = last.name if last else ""
    return Library(home=home, logbook=logbook, who=lambda: who, today=lambda: here_now().date())
