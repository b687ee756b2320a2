"""What a session has beside it: a station, or nothing; loaded only where it is wanted."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Protocol

from analysis.logbook.book import Logbook
from tui.home import Home
from tui.session.control import Driver
from tui.share.now import UNASKED, Felt
from tui.training.live import LiveRun
from tui.wanted import Share


class Beside(Protocol):
    """What goes on beside a session."""

    def driver(self, driver: Driver) -> Driver:
        """Return the session with it."""
        ...

    def drawn(self, words: Iterable[str]) -> None:
        """Take note that words of a coach are on the screen."""
        ...

    def left(self, logbook: Logbook) -> Iterable[str]:
        """Do what is left once the screen is, and tell what there is to tell."""
        ...


class Nobody:
    """A session that is shared with nobody."""

    def driver(self, driver: Driver) -> Driver:
        """Return the session as it is."""
        return driver

    def drawn(self, words: Iterable[str]) -> None:
        """Nothing was said."""

    def left(self, logbook: Logbook) -> Iterable[str]:
        """Nothing is left."""
        return ()


def beside(
    share: Share | None, home: Home, run: LiveRun, felt: Callable[[str], Felt] = lambda _: UNASKED, *, watched: bool
) -> Beside:
    """Return what a session has beside it; parameters as of `tui.share.sharing.Sharing`."""
    if share is None:
        return Nobody()
    from tui.share.sharing import Sharing

    return Sharing(share, home, run, felt=felt, watched=watched)
