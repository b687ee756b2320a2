"""What the keeper cannot write at once: a locked logbook, a full disk. The session goes on, and says so."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING

from analysis.logbook.errors import LogbookError
from sensor.recording_file import RecordingError

if TYPE_CHECKING:
    from analysis.logbook.book import Logbook
    from sensor.source import HostClock

AGAIN_S = 5.0
"""How often it is tried again, session seconds."""
REMIND_S = 15.0
"""How often it is told while it lasts: the next rep's line takes its place."""
QUIET_S = 10.0
"""A full disk takes some writes and refuses others: without a refusal for so long it is full no more."""
RECORDED_AGAIN = "the recording goes on; what came meanwhile is missing in it"


class Setbacks:
    """What went wrong and lasts; told at once, again and again, and when it is over.

    Parameters
    ----------
    clock
        The session's clock.
    """

    def __init__(self, clock: HostClock) -> None:
        self._clock = clock
        self._lasting: dict[str, _Lasting] = {}
        self._over: list[str] = []

    def met(self, what: str, text: str, *, after: str = "") -> None:
        """Take note of one.

        Parameters
        ----------
        what
            Tells it from others.
        text
            What is told while it lasts.
        after
            What is told once it did not come again for `QUIET_S`; empty: it lasts until `is_over` says so.
        """
        now_s = self._clock.now_s()
        told_s = self._lasting[what].told_s if what in self._lasting else float("-inf")
        self._lasting[what] = _Lasting(text, after, told_s, now_s)

    def is_over(self, what: str, text: str) -> None:
        """Take note that it is over, if there was one, and tell so."""
        if self._lasting.pop(what, None):
            self._over.append(text)

    def lines(self) -> tuple[str, ...]:
        """Return what is to be told now."""
        now_s = self._clock.now_s()
        for what, one in list(self._lasting.items()):
            if one.after and one.told_s > float("-inf") and now_s - one.met_s >= QUIET_S:
                self.is_over(what, one.after)
        due = [one for one in self._lasting.values() if now_s - one.told_s >= REMIND_S]
        for one in due:
            one.told_s = now_s
        over, self._over = self._over, []
        return (*over, *(one.text for one in due))

    @contextmanager
    def recording(self) -> Iterator[None]:
        """Go on without the recording where it cannot be written; what comes later is tried again."""
        try:
            yield
        except RecordingError as error:
            self.met("recording", f"not recorded just now: {error}", after=RECORDED_AGAIN)


@dataclass(slots=True)
class _Lasting:
    """One setback: what is told while it lasts and after, when it was told, and when it came last."""

    text: str
    after: str
    told_s: float
    met_s: float


class Later:
    """Writes to the logbook in their order, at once where that is possible, else again until it is.

    Parameters
    ----------
    logbook
        Where to write; nobody waits for another writer while the session runs.
    setbacks
        Takes note of what could not be written.
    """

    def __init__(self, logbook: Logbook, clock: HostClock, setbacks: Setbacks) -> None:
        self._logbook, self._clock, self._setbacks = logbook, clock, setbacks
        self._jobs: deque[Callable[[], None]] = deque()
        self._tried_s = float("-inf")

    def write(self, job: Callable[[], None]) -> None:
        """Do `job` after those that wait; it may be begun more than once."""
        self._jobs.append(job)
        if len(self._jobs) == 1:
            self._try()

    def tick(self) -> None:
        """Try again what waits, when it is time."""
        if self._jobs and self._clock.now_s() - self._tried_s >= AGAIN_S:
            self._try()

    def finish(self) -> None:
        """Write all that waits, and wait for whoever writes.

        Raises
        ------
        LogbookError
            When it cannot be written now either.
        """
        while self._jobs:
            self._jobs[0]()
            self._jobs.popleft()

    def _try(self) -> None:
        self._tried_s = self._clock.now_s()
        try:
            with self._logbook.hurried():
                self.finish()
        except LogbookError as error:
            self._setbacks.met("logbook", f"not in the log yet, and tried again: {error}")
        else:
            self._setbacks.is_over("logbook", "the log is complete again")
