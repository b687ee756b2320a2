"""Looks whether somebody hangs, before it is known whose arrivals these are."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Sequence

from analysis.motion.events import Event, HoldBegan, RepConfirmed, RepProvisional
from analysis.motion.touch import Felt
from sensor.source import Arrival
from tui.mending.again import AT_ONCE
from tui.session.track import Track


class Lookout:
    """A track of its own, whose answers are thrown away but for one: somebody is on the bar.

    Parameters
    ----------
    track
        New.
    before
        What came until now.
    since_s
        Who began before was somebody else, or got off the bar, host seconds.

    Attributes
    ----------
    sees_somebody
        Whether somebody was seen to hang, or at the top of a rep.
    sees_rep
        Whether they did a whole rep.
    """

    def __init__(self, track: Track, before: Iterable[Arrival], since_s: float) -> None:
        self._track, self._since_s = track, since_s
        self._coming = deque(before)
        self.sees_somebody = self.sees_rep = False

    @property
    def felt(self) -> Felt:
        """What the sensor felt lately."""
        return self._track.felt

    @property
    def is_busy(self) -> bool:
        """Whether arrivals wait."""
        return bool(self._coming)

    def give(self, arrival: Arrival) -> None:
        """Take one arrival, as soon as those before it are taken."""
        if self._coming:
            self._coming.append(arrival)
        else:
            self._look(self._track.push(arrival))

    def work_off(self) -> None:
        """Take a few of the arrivals that wait, so that the screen stays alive."""
        for _ in range(min(AT_ONCE, len(self._coming))):
            self._look(self._track.push(self._coming.popleft()))

    def _look(self, events: Sequence[Event]) -> None:
        reps = [one.rep.start_s for one in events if isinstance(one, RepConfirmed)]
        tops = [one.start_s for one in events if isinstance(one, RepProvisional)]
        holds = [one.at_s for one in events if isinstance(one, HoldBegan)]
        self.sees_rep |= self._is_news(reps)
        self.sees_somebody |= self._is_news([*tops, *holds, *reps])

    def _is_news(self, began_s: Sequence[float]) -> bool:
        return any(self._track.clock.to_host(at_s) > self._since_s for at_s in began_s)
