"""What to ask a sensor for again: the samples of its present boot id that did not come; sans-I/O.

    INFO, DATA ──► heard ──► holes, oldest first ──► ask ──► Resend, one at a time ──► … re-sent packets fill the hole
                                                      └─ three times in vain: not again over this connection

It sees the payloads that the radio passes on, no others: what was dropped before the recording is asked for, and what
the recording holds is not. Several sensors in one session have one each.
"""

from __future__ import annotations

from dataclasses import dataclass

from sensor.protocol import Extent, Info, InfoFlags, ProtocolError, Resend, extent, unwrap
from sensor.reorder import INDEX_MODULUS
from sensor.source import Channel

RETRY_S = 1.0
"""A request that nothing came of for so long is given again (seconds of the session's clock)."""
TRIES = 3
_MOST_SAMPLES = 65535
_HOLES_KEPT = 4096


@dataclass(slots=True)
class _Hole:
    """Samples `first` … `end` (half-open, unbounded indices) that did not come, and how often they were asked for."""

    first: int
    end: int
    tries: int = 0


class BackFill:
    """Knows what came and what did not; say with `heard` what comes, and send what `ask` gives."""

    def __init__(self) -> None:
        self._info: Info | None = None
        self._next: int | None = None
        self._holes: list[_Hole] = []
        self._asked: _Hole | None = None
        self._asked_s = 0.0

    @property
    def info(self) -> Info | None:
        """What the sensor said last of its present boot id."""
        return self._info

    @property
    def missing(self) -> int:
        """Samples that are still asked for."""
        return sum(hole.end - hole.first for hole in self._holes if hole.tries < TRIES)

    def heard(self, channel: Channel, payload: bytes, now_s: float) -> None:
        """Take note of a payload; what is none of the protocol is passed over."""
        try:
            match channel:
                case Channel.INFO:
                    self._take_info(Info.from_bytes(payload))
                case Channel.DATA:
                    self._take_packet(extent(payload), now_s)
        except ProtocolError:
            return

    def ask(self, now_s: float) -> Resend | None:
        """Return what to ask for now; None while an answer is under way, or where nothing is missing."""
        if self._asked is not None and now_s - self._asked_s < RETRY_S:
            return None
        self._asked = hole = next((hole for hole in self._holes if hole.tries < TRIES), None)
        if hole is None:
            return None
        hole.tries, self._asked_s = hole.tries + 1, now_s
        return Resend(hole.first % INDEX_MODULUS, min(hole.end - hole.first, _MOST_SAMPLES))

    def _take_info(self, info: Info) -> None:
        if self._info is None or info.boot_id != self._info.boot_id:
            self._next, self._holes = None, []
        for hole in self._holes:  # a new connection: what the old one was too bad for may come now
            hole.tries = 0
        self._info, self._asked = info, None

    def _take_packet(self, packet: Extent, now_s: float) -> None:
        info = self._info
        if info is None or packet.boot_tag != info.boot_tag or InfoFlags.CAN_RESEND not in info.flags:
            return
        first = unwrap(packet.first_index, INDEX_MODULUS, packet.first_index if self._next is None else self._next)
        end = first + packet.samples
        if self._next is not None and first > self._next:
            self._holes.append(_Hole(self._next, first))
        elif self._next is not None and first < self._next:
            self._fill(first, end, now_s)
        self._next = end if self._next is None else max(self._next, end)
        self._forget(self._next - info.ring_samples)

    def _fill(self, first: int, end: int, now_s: float) -> None:
        """Take what came late out of the holes; a hole that it touched is being answered."""
        holes: list[_Hole] = []
        for hole in self._holes:
            if end <= hole.first or hole.end <= first:
                holes.append(hole)
                continue
            left = [_Hole(a, b) for a, b in ((hole.first, first), (end, hole.end)) if a < b]
            holes += left
            if hole is self._asked:
                self._asked, self._asked_s = (left[-1] if left else None), now_s
        self._holes = holes

    def _forget(self, oldest: int) -> None:
        """Leave out what the ring has passed over."""
        if not self._holes or (self._holes[0].first >= oldest and len(self._holes) <= _HOLES_KEPT):
            return
        for hole in self._holes:
            hole.first = max(hole.first, oldest)
        self._holes = [hole for hole in self._holes if hole.first < hole.end][-_HOLES_KEPT:]
