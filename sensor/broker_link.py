"""Whether a broker is there, for whoever shows it or waits for it; and how long to wait before the next attempt."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterator

FIRST_PAUSE_S = 0.5
LONGEST_PAUSE_S = 30.0


def pauses(draw: Callable[[float, float], float]) -> Iterator[float]:
    """Yield how long to wait before each next attempt, seconds: twice as long each time, up to the longest.

    Parameters
    ----------
    draw
        Gives a number between two, so that those who lost a broker together do not all come back at one moment.
    """
    pause_s = FIRST_PAUSE_S
    while True:
        yield draw(pause_s / 2, pause_s)
        pause_s = min(LONGEST_PAUSE_S, 2 * pause_s)


class LinkNews:
    """The link to a broker as it is now.

    Attributes
    ----------
    is_up
        Whether the broker is connected, and all topics are listened to.
    why
        Why it is not, and what to do, in one sentence; empty while it is up, or before the first attempt has ended.
    lasts
        Whether trying again is in vain until somebody changes something: an account, a certificate.
    connections
        How often it came up so far.
    dropped
        Letters dropped because nobody read them in time.
    oversize
        Letters left out because they were longer than anybody reads.
    """

    def __init__(self) -> None:
        self.is_up, self.why, self.lasts = False, "", False
        self.connections = self.dropped = self.oversize = 0
        self._edition = 0
        self._waiting: list[asyncio.Future[None]] = []

    async def news(self, seen: int = 0) -> int:
        """Wait until something is new since edition `seen`, and return the edition now; 0: since the beginning."""
        while self._edition == seen:
            waiting = asyncio.get_running_loop().create_future()
            self._waiting.append(waiting)
            await waiting
        return self._edition

    async def up(self) -> None:
        """Wait until the broker is connected."""
        seen = self._edition
        while not self.is_up:
            seen = await self.news(seen)

    def came(self) -> None:
        """Take note that the broker is connected."""
        self.is_up, self.why, self.lasts = True, "", False
        self.connections += 1
        self._tell()

    def went(self, why: str, *, lasts: bool = False) -> None:
        """Take note that it is not, and why; after another attempt that ended alike nothing is new."""
        if not self.is_up and (self.why, self.lasts) == (why, lasts):
            return
        self.is_up, self.why, self.lasts = False, why, lasts
        self._tell()

    def missed(self, *, oversize: bool) -> None:
        """Count a letter that is not passed on."""
        if oversize:
            self.oversize += 1
        else:
            self.dropped += 1
        self._tell()

    def _tell(self) -> None:
        self._edition += 1
        for waiting in self._waiting:
            if not waiting.done():
                waiting.set_result(None)
        self._waiting.clear()
