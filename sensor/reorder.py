"""Packets of one boot id into the order of their samples; sans-I/O.

```
 packet ──► late or duplicate ──► dropped, counted
   │
   ├─► next in line ──► given on, and whatever waited behind it
   │
   └─► beyond a hole ──► waits; when two or more wait and patience is at an end, the hole is given up
```
"""

from __future__ import annotations

from bisect import bisect_left
from collections import deque
from dataclasses import dataclass, replace

from sensor.protocol import Packet, PacketFlags, unwrap

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
    heard
        How many samples had come before it, those sent again left out.
    """

    first: int
    packet: Packet
    arrival_s: float
    skip: int = 0
    heard: int = 0

    @property
    def end(self) -> int:
        """Index after the packet's last sample."""
        return self.first + len(self.packet)


@dataclass(frozen=True, slots=True)
class Hole:
    """Samples `first` … `end` (half-open) that did not come in time."""

    first: int
    end: int


@dataclass(frozen=True, slots=True)
class Patience:
    """How many newer samples may come before a hole is given up: as many as are missing, within limits.

    Attributes
    ----------
    least, most
        The limits, in samples.
    renewed
        Whether the wait begins anew with whatever fills a part of the hole.
    """

    least: float
    most: float
    renewed: bool = False

    def with_hole(self, missing: int) -> float:
        """Return the samples to wait behind a hole of so many."""
        return min(max(self.least, missing), self.most)


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
    patience
        How much may be held back behind a hole before it is given up.
    tally
        Where to count.
    """

    def __init__(self, patience: Patience, tally: Tally) -> None:
        self._patience = patience
        self._tally = tally
        self._next: int | None = None
        self._is_parted = False
        self._waiting: list[Placed] = []
        self._heard = 0
        """Samples that came, those sent again left out."""
        self._renewed = 0
        """Of these, those that had come when a hole was last filled a little."""
        self._hole_end: int | None = None
        """Where the hole ends that is waited for."""
        self._until = 0.0
        """It is given up when so many have been heard."""
        self._holes: deque[Hole] = deque(maxlen=_HOLES_KEPT)

    @property
    def missing(self) -> int:
        """Samples that are waited for."""
        expected, missing = self._next or 0, 0
        for waiting in self._waiting:
            missing += max(0, waiting.first - expected)
            expected = max(expected, waiting.end)
        return missing

    def push(self, packet: Packet, arrival_s: float) -> list[Placed | Hole]:
        """Take in one packet, give what is now in order."""
        is_resent = PacketFlags.RESENT in packet.flags
        if self._next is None and is_resent:  # an answer to whoever asked before this stream began
            self._tally.late += len(packet)
            return []
        if self._next is None:
            self._next = packet.first_index
        placed = Placed(unwrap(packet.first_index, INDEX_MODULUS, self._next), packet, arrival_s, heard=self._heard)
        if placed.end <= self._next:
            self._count_past(placed)
            return []
        at = bisect_left(self._waiting, placed.first, key=_first)
        if at < len(self._waiting) and self._waiting[at].first == placed.first and self._waiting[at].end >= placed.end:
            self._tally.duplicate += len(packet)
            return []
        self._waiting.insert(at, placed)
        if self._is_parted and not is_resent:
            self._is_parted, self._next = False, max(self._next, placed.first)
        # What is sent again does not shorten the wait, and no index that a packet claims may lengthen it.
        self._heard += 0 if is_resent else len(packet)
        if self._patience.renewed and placed.first <= self._next:
            self._hole_end, self._renewed = None, self._heard
        return self._release(self._next, patient=True)

    def flush(self, *, parting: bool = False) -> list[Placed | Hole]:
        """Give everything that waits, holes named: nothing more will come, or, where it is parted, from there on anew.

        Parameters
        ----------
        parting
            Take what is missing until the next packet for no loss.
        """
        out = self._release(self._next or 0, patient=False)
        self._is_parted = parting and self._next is not None
        return out

    def _release(self, expected: int, *, patient: bool) -> list[Placed | Hole]:
        out: list[Placed | Hole] = []
        while self._waiting and (self._waiting[0].first <= expected or not (patient and self._is_worth_it(expected))):
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

    def _is_worth_it(self, expected: int) -> bool:
        """Whether to wait on behind the first hole."""
        head = self._waiting[0]
        if head.first != self._hole_end:
            since = max(head.heard, self._renewed)
            self._hole_end, self._until = head.first, since + self._patience.with_hole(head.first - expected)
        return len(self._waiting) < 2 or self._heard < self._until

    def _give_up(self, hole: Hole) -> Hole:
        self._tally.lost += hole.end - hole.first
        self._holes.append(hole)
        return hole

    def _count_past(self, placed: Placed) -> None:
        spans = (min(placed.end, hole.end) - max(placed.first, hole.first) for hole in self._holes)
        late = sum(max(0, span) for span in spans)
        self._tally.late += late
        self._tally.duplicate += len(placed.packet) - late


def _first(placed: Placed) -> int:
    return placed.first
