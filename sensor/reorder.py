"""Packets of one boot id into the order of their samples; sans-I/O.

```
 packet ──► late or duplicate ──► dropped, counted
   │
   ├─► next in line ──► given on, and whatever waited behind it
   │
   └─► beyond a hole ──► waits; when two or more wait and span `wait_samples`, the hole is given up
```
"""

from __future__ import annotations

from bisect import insort
from collections import deque
from dataclasses import dataclass, replace

from sensor.protocol import Packet, unwrap

INDEX_MODULUS = 1 << 32


_HOLES_KEPT = 4096


@dataclass(frozen=True, slots=True, eq=False)
class Placed:
    """A packet in its place.

    Attributes
    ----------
    first
        Index of the packet's first sample, unbounded.
    arrival_s
        When it arrived.
    skip
        How many of its samples came before, in another packet.
    """

    first: int
    packet: Packet
    arrival_s: float
    skip: int = 0

    @property
    def end(self) -> int:
        """Index after the packet's last sample."""
        return self.first + len(self.packet)


@dataclass(frozen=True, slots=True)
class Hole:
    """Samples `first` … `end` (half-open) that did not come in time."""

    first: int
    end: int


@dataclass(slots=True)
class Tally:
    """Samples so far, over all boot ids of a stream.

    Attributes
    ----------
    received
        Given on, each once.
    lost
        In holes that were given up.
    late
        Came after their hole was given up, or after the next boot id began; not given on.
    duplicate
        Came again.
    """

    received: int = 0
    lost: int = 0
    late: int = 0
    duplicate: int = 0


class Reorder:
    """Gives every sample at most once, in order, holes named.

    Parameters
    ----------
    wait_samples
        How much may be held back behind a hole before it is given up.
    tally
        Where to count.

    Attributes
    ----------
    holes
        The latest holes given up.
    """

    def __init__(self, wait_samples: float, tally: Tally) -> None:
        self._wait_samples = wait_samples
        self._tally = tally
        self._next: int | None = None
        self._waiting: list[Placed] = []
        self.holes: deque[Hole] = deque(maxlen=_HOLES_KEPT)

    @property
    def next_index(self) -> int:
        """Index of the sample expected next; 0 before the first packet."""
        return self._next or 0

    def push(self, packet: Packet, arrival_s: float) -> list[Placed | Hole]:
        """Take in one packet, give what is now in order."""
        if self._next is None:
            self._next = packet.first_index
        placed = Placed(unwrap(packet.first_index, INDEX_MODULUS, self._next), packet, arrival_s)
        if placed.end <= self._next:
            self._count_past(placed)
            return []
        if any(waiting.first == placed.first and waiting.end >= placed.end for waiting in self._waiting):
            self._tally.duplicate += len(packet)
            return []
        insort(self._waiting, placed, key=lambda waiting: waiting.first)
        return self._release(self._next, patient=True)

    def flush(self) -> list[Placed | Hole]:
        """Give everything that waits, holes named: nothing more will come."""
        return self._release(self.next_index, patient=False)

    def _release(self, expected: int, *, patient: bool) -> list[Placed | Hole]:
        out: list[Placed | Hole] = []
        while self._waiting and (self._waiting[0].first <= expected or not (patient and self._worth_waiting())):
            head = self._waiting.pop(0)
            if head.first > expected:
                out.append(self._give_up(Hole(expected, head.first)))
                expected = head.first
            skip = min(expected - head.first, len(head.packet))
            self._tally.duplicate += skip
            if skip < len(head.packet):
                out.append(replace(head, skip=skip) if skip else head)
                self._tally.received += len(head.packet) - skip
                expected = self._next = head.end
        return out

    def _worth_waiting(self) -> bool:
        span = max(waiting.end for waiting in self._waiting) - self._waiting[0].first
        return len(self._waiting) < 2 or span < self._wait_samples

    def _give_up(self, hole: Hole) -> Hole:
        self._tally.lost += hole.end - hole.first
        self.holes.append(hole)
        return hole

    def _count_past(self, placed: Placed) -> None:
        spans = (min(placed.end, hole.end) - max(placed.first, hole.first) for hole in self.holes)
        late = sum(max(0, span) for span in spans)
        self._tally.late += late
        self._tally.duplicate += len(placed.packet) - late
