"""How much one client may take, so that the others go on; sans-I/O."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass

PAYLOAD_BYTES = 262_144
"""Longest payload, as for every part of Rungwise."""
FRAME_BYTES = PAYLOAD_BYTES + 1024
"""Longest packet: topic and head beside the payload."""
CONNECT_BYTES = 8192
"""Longest first packet, of somebody whom nobody knows yet; a will is in it."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What the hub allows.

    Attributes
    ----------
    messages_per_s, burst
        Messages of one account, and how many at once. A gateway of ten sensors sends 100 a second; what comes faster
        waits, and is not thrown away.
    bytes_per_s, burst_bytes
        The same for their size.
    connections, of_one, unknown
        Most connections, of all, of one account, and such that did not say who they are yet.
    connect_within_s
        How long these have to say it, and those before them to be secured.
    unfinished, unfinished_of_one
        Most connections that are not secured yet: of all, and of one address.
    backlog_bytes
        What may wait for a client that does not read; then it is let go.
    retained
        Most topics of one account that the hub keeps the last message of.
    subscriptions
        Most filters that one connection asks for.
    """

    messages_per_s: float = 500.0
    burst: float = 1000.0
    bytes_per_s: float = 1_048_576.0
    burst_bytes: float = 4_194_304.0
    connections: int = 256
    of_one: int = 8
    unknown: int = 64
    connect_within_s: float = 5.0
    unfinished: int = 64
    unfinished_of_one: int = 32
    backlog_bytes: int = 8_388_608
    retained: int = 64
    subscriptions: int = 64


class Pace:
    """A bucket that fills at a steady rate; what it does not hold must be waited for (token bucket)."""

    def __init__(self, per_s: float, burst: float) -> None:
        self._per_s = per_s
        self._burst = burst
        self._left = burst
        self._at_s: float | None = None

    def take(self, amount: float, now_s: float) -> float:
        """Take so much, and return how many seconds to wait before the next is taken."""
        since_s = 0.0 if self._at_s is None else max(0.0, now_s - self._at_s)
        self._at_s = now_s
        self._left = min(self._burst, self._left + since_s * self._per_s) - amount
        return max(0.0, -self._left / self._per_s)


class Notices:
    """Lets somebody's fault of one kind be told once in a while, and counts what was not told."""

    _MOST = 1000

    def __init__(self, every_s: float = 30.0) -> None:
        self._every_s = every_s
        self._told: OrderedDict[tuple[str, str], tuple[float, int]] = OrderedDict()

    def told(self, who: str, kind: str, sentence: str, now_s: float) -> str | None:
        """Return the sentence if it is to be told now; how often it was not told stands behind it."""
        at_s, silent = self._told.get((who, kind), (None, 0))
        if at_s is not None and now_s - at_s < self._every_s:
            self._told[who, kind] = (at_s, silent + 1)
            return None
        self._told[who, kind] = (now_s, 0)
        self._told.move_to_end((who, kind))
        if len(self._told) > self._MOST:
            self._told.popitem(last=False)
        return f"{sentence} ({silent} more times since)" if silent else sentence
