"""`rungwise` alone: the list of rooms, and what is still missing for a first session."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack

from analysis.logbook.book import Logbook
from analysis.logbook.people import name_key
from tui.book.moments import here_now
from tui.home import Home
from tui.occasion import Occasion
from tui.rooms import Library, rooms_of
from tui.sensors.sensors import SensorFile


def open_list(held: ExitStack, home: Home) -> Occasion:
    """Make ready the dashboard without a session."""
    logbook = held.enter_context(Logbook.open(home.logbook))
    last = logbook.last_trainee()
    who = last.name if last else ""
    library = Library(home=home, logbook=logbook, who=lambda: who, today=lambda: here_now().date())
    return Occasion(rooms=rooms_of(library), guide=tuple(first_steps(home, who)))


def first_steps(home: Home, who: str) -> Iterator[str]:
    """Yield what to do next where something is missing: a session, a sensor, a plan.

    Parameters
    ----------
    who
        Who trained last; empty where nobody did.
    """
    name = who or "Jonas Reiter"
    if not who:
        yield "Nobody has trained yet. `rungwise demo` shows a whole session, without a sensor."
    if not SensorFile(home.sensors).met():
        yield "No sensor was met yet: `rungwise scan` looks for one, `rungwise sensor --virtual` shows how it answers."
    if not home.plan(name_key(name)).exists():
        yield f'No plan is written: the default ladder holds. `rungwise plan new "{name}"` writes one to edit.'
    yield f'`rungwise train "{name}"` begins a session.'
