"""Somebody who trains now: a session, and the arrivals that are on their way to it."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable
from dataclasses import replace

from sensor.source import Arrival, HostClock
from tui.session import Session

AT_ONCE = 20
"""Arrivals between two looks at the keys: some hundredths of a second of work."""


class Person:
    """Gives a session its arrivals in their order; while it takes again what was before, they wait.

    Parameters
    ----------
    name
        Whose session it is.
    session
        Not begun yet.
    clock
        That of the arrivals.
    ahead_s
        By how much the seconds of the session's clock are ahead of it.
    """

    def __init__(self, name: str, session: Session, clock: HostClock, ahead_s: float = 0.0) -> None:
        self.name, self.session = name, session
        self._clock, self._ahead_s = clock, ahead_s
        self._coming: deque[Arrival] = deque()

    def begin(self, latest: Iterable[Arrival]) -> None:
        """Begin on a sensor that may be there already.

        Parameters
        ----------
        latest
            What the sensors said of themselves last: a new recording must make sense by itself, and begin now.
        """
        self.session.begin()
        if self.session.has_past:
            self.session.remark("reading what was done so far")
        else:
            self._meet(latest)

    def give(self, arrival: Arrival) -> None:
        """Take one arrival, as soon as those before it are taken."""
        shifted = replace(arrival, at_s=arrival.at_s + self._ahead_s) if self._ahead_s else arrival
        if self.is_busy:
            self._coming.append(shifted)
        else:
            self.session.handle(shifted)

    @property
    def is_busy(self) -> bool:
        """Whether arrivals wait."""
        return self.session.has_past or bool(self._coming)

    def work_off(self, latest: Iterable[Arrival]) -> None:
        """Take a few of the arrivals that wait, so that the screen stays alive."""
        if self.session.has_past:
            if self.session.relive(AT_ONCE):
                self._meet(latest)
            return
        for _ in range(min(AT_ONCE, len(self._coming))):
            self.session.handle(self._coming.popleft())

    def end(self) -> None:
        """Take what waits still, and close the session."""
        coming, self._coming = self._coming, deque()
        while self.session.has_past:
            self.session.relive(AT_ONCE)
        for arrival in coming:
            self.session.handle(arrival)
        self.session.end()

    def _meet(self, latest: Iterable[Arrival]) -> None:
        now_s = self._clock.now_s() + self._ahead_s
        for arrival in latest:
            self.session.handle(replace(arrival, at_s=now_s))
