"""What is worth telling of the sensor's link when it changes."""

from __future__ import annotations

from collections.abc import Iterator

from sensor.source import LinkState
from tui.session.messages import SHOWN_GAP_S, Link
from tui.words.format import fetched_line, link_line

LOW_PERCENT = 15
"""From here on a sensor wants charging before the next session; from `EMPTY_PERCENT` on it may stop within a set.

Conventions of small devices; what is left depends on cell, age and cold, and no source gives better ones."""
EMPTY_PERCENT = 5


class LinkNews:
    """Takes the link as it is now and tells what is new; each warning once, however the level flickers."""

    def __init__(self) -> None:
        self._told: LinkState | None = LinkState.SEARCHING
        self._warned_at = 100
        self._whole = Link(state=LinkState.SEARCHING)
        """The link when nothing was missing last."""

    def of(self, link: Link) -> Iterator[str]:
        """Yield a line for a new state, for what was missing and is no longer, and for a battery that became low."""
        state = None if link.state is LinkState.CONNECTED and link.rate_hz is None else link.state
        again = link.is_gone and state is LinkState.SEARCHING  # that it is looked for was told with its loss
        if state is not None and state is not self._told and not again:
            yield link_line(link)
        self._told = state
        if link.missing_s == 0:
            yield from self._come(link)
        warned_at = next((limit for limit in (EMPTY_PERCENT, LOW_PERCENT) if is_below(link, limit)), 100)
        if warned_at < self._warned_at:
            self._warned_at = warned_at
            yield battery_line(link)

    def _come(self, link: Link) -> Iterator[str]:
        """Tell what became of the seconds that were missing, if anyone was told that they were."""
        fetched_s, lost_s = link.fetched_s - self._whole.fetched_s, link.lost_s - self._whole.lost_s
        self._whole = link
        if max(fetched_s, lost_s) >= SHOWN_GAP_S:
            yield fetched_line(fetched_s, lost_s)


def is_below(link: Link, percent: int) -> bool:
    """Return whether the battery is known to hold so much or less."""
    return link.battery is not None and link.battery <= percent


def battery_line(link: Link) -> str:
    """Say how low the battery is and what to do."""
    todo = "it may stop in mid-set: charge it now" if is_below(link, EMPTY_PERCENT) else "charge it after this session"
    return f"{link.sensor or 'the sensor'} has {link.battery} % of its battery left; {todo}"
