"""`rungwise check`: a session rep by rep, on a screen in a terminal, as text or JSON elsewhere."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from analysis.logbook.book import Logbook
from tui.book.check import desk_of
from tui.book.correct import show_session
from tui.book.moments import here_now
from tui.check_words import check_lines
from tui.home import Home
from tui.lines import print_lines
from tui.rooms import Library, check_room, rooms_of
from tui.running import run_in_dashboard, wants_text
from tui.trouble import clear_errors


def show_check(folder: Path, named: str | None, *, headless: bool, as_json: bool) -> None:
    """Show a session: `named` by the letters of its id, or by the trainee whose last one it is."""
    home = Home(folder)
    with clear_errors(), Logbook.open(home.logbook) as logbook:
        last = logbook.last_trainee()
        who = last.name if last else ""
        library = Library(home=home, logbook=logbook, who=lambda: who, today=lambda: here_now().date())
        desk = desk_of(library, named)
        if as_json:
            show_session(folder, desk.session, as_json=True)
            return
        view = desk.read()
        if wants_text(headless):
            print_lines(check_lines(view))
            return
        library = replace(library, who=lambda: view.trainee)
        run_in_dashboard(None, home=home, rooms=rooms_of(library), first=check_room(library, desk.session))
