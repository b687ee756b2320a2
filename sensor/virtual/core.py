"""What the virtual sensor does with commands and time, whichever way its bytes then travel; sans-I/O.

The sensor samples from its first `Start` on: a person begins when the session is on. After that it goes on, watched or
not, until the motion is over; what was sampled while nobody listened stays in the ring for `Resend`.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from sensor.limits import FORCE_RANGES_G, REFERENCE_TURN_RANGES_DEG_S, SET_RATE_HZ, listed
from sensor.protocol import (
    Command,
    Info,
    InfoFlags,
    Layout,
    Mark,
    Marked,
    Packet,
    PacketFlags,
    Resend,
    SetRange,
    SetRate,
    Start,
    Stop,
    encode,
    layout_for,
    max_samples,
)
from sensor.virtual.motion import (
    Counts,
    FeedSpec,
    FileFeed,
    Scale,
    load_motion,
    smallest_scale,
    to_counts,
)

PACKET_S = 0.1
RING_S = 120.0
RESENT_AT_ONCE = 8
FIRMWARE = (0, 1)


class RefusedError(ValueError):
    """A command that this sensor cannot carry out; the message says why."""


class SensorCore:
    """The sensor without its radio.

    Parameters
    ----------
    feed
        What it measures.
    boot_id
        Its first boot id, u32.
    """

    def __init__(self, feed: FeedSpec, boot_id: int) -> None:
        self._feed = feed
        self._motion = load_motion(feed)
        self._counts = to_counts(self._motion, smallest_scale(self._motion))
        self._boot_id = boot_id
        self._first = 0
        """Position of the sample whose index is 0 in the present boot id."""
        self._next = 0
        """Position of the first sample not yet sent."""
        self._started_s: float | None = None
        self._att_mtu = 23
        self._mark: Marked | None = None
        self._backlog: deque[bytes] = deque()
        self._zero_us = 0
        """Where the device's clock began, in the motion's own time."""
        self.streaming = False

    @property
    def info(self) -> Info:
        """The information characteristic."""
        counts = self._counts
        return Info(
            boot_id=self._boot_id,
            rate_hz=counts.rate_hz,
            force_g_per_count=counts.scale.force_g / 32768,
            turn_deg_s_per_count=counts.scale.turn_deg_s / 32768,
            axes=int(counts.values.shape[1]),
            ring_samples=self._ring_samples,
            firmware=FIRMWARE,
            flags=InfoFlags.CAN_RESEND,
        )

    @property
    def marked(self) -> bytes:
        """What reading the control characteristic gives: the last mark, empty before the first."""
        return bytes(self._mark) if self._mark else b""

    @property
    def finished(self) -> bool:
        """Whether the motion is over and all of it was sent or missed."""
        return self._next >= len(self._counts) and not self._backlog

    def take(self, command: Command, now_s: float, att_mtu: int) -> None:
        """Carry out a command.

        Parameters
        ----------
        now_s
            Host seconds, of any origin, always the same one.
        att_mtu
            ATT MTU of the connection that the command came by.

        Raises
        ------
        RefusedError
            When the sensor cannot do it.
        """
        self._att_mtu = att_mtu
        match command:
            case Start():
                self._start(now_s)
            case Stop():
                self.pause()
            case Resend(first_index, count):
                self._backlog.extend(self._resend(first_index, count, now_s))
            case Mark(token):
                at = self._sampled(now_s)
                device_us = self._origin_us + round(self._elapsed_s(now_s) * 1e6)
                self._mark = Marked(token, self._index(at), (device_us - self._zero_us) % 2**32)
            case SetRate(rate_hz):
                self._set_rate(rate_hz, now_s)
            case SetRange(force_g, turn_deg_s):
                self._set_range(Scale(force_g, turn_deg_s), now_s)

    def pause(self) -> None:
        """Stop sending, by command or because the link is gone; time and index go on."""
        self.streaming = False
        self._backlog.clear()

    def restart(self, now_s: float) -> None:
        """Lose power for a moment: index and clock begin anew, the ring is empty, the person goes on."""
        self.pause()
        self._reboot(self._counts, now_s)
        self._zero_us = int(self._counts.device_us[self._first])

    def due(self, now_s: float) -> list[bytes]:
        """Return the packets to send now: all live ones whose last sample was taken, then a few of the re-sent."""
        if not self.streaming:
            return []
        packets = []
        sampled = self._sampled(now_s)
        while self._next < sampled and (end := self._packet_end(self._next)) <= sampled:
            packets.append(self._packet(self._next, end, PacketFlags.NONE))
            self._next = end
        return packets + [self._backlog.popleft() for _ in range(min(RESENT_AT_ONCE, len(self._backlog)))]

    def next_due_s(self) -> float:
        """Return when `due` will next have something (host seconds); infinity when not streaming."""
        if not self.streaming or self._started_s is None:
            return math.inf
        if self._backlog or self.finished:
            return -math.inf
        last = self._packet_end(self._next) - 1
        return self._started_s + float(self._counts.device_us[last] - self._origin_us) / 1e6

    @property
    def _origin_us(self) -> int:
        return int(self._counts.device_us[0])

    @property
    def _ring_samples(self) -> int:
        return min(65535, math.ceil(RING_S * self._counts.rate_hz))

    def _elapsed_s(self, now_s: float) -> float:
        return 0.0 if self._started_s is None else now_s - self._started_s

    def _sampled(self, now_s: float) -> int:
        """Return how many of the motion's samples have been taken by now."""
        if self._started_s is None:
            return 0
        now_us = self._origin_us + round(self._elapsed_s(now_s) * 1e6)
        return int(np.searchsorted(self._counts.device_us, now_us, side="right"))

    def _index(self, position: int) -> int:
        """Return the wire's index of a sample, or of the one after the last."""
        index = self._counts.index
        beyond = position - (len(index) - 1)
        return int(index[position] if beyond <= 0 else index[-1] + beyond) - int(index[self._first])

    def _start(self, now_s: float) -> None:
        if self._started_s is None:
            self._started_s = now_s
        elif not self.streaming:
            self._next = max(self._next, self._sampled(now_s))
        self.streaming = True

    def _packet_end(self, start: int, full: bool = False) -> int:
        """Return the position after the last sample that may share a packet with `start`.

        A live packet holds 0.1 s at most, a re-sent one (`full`) as much as the MTU allows. Either holds consecutive
        indices only, and ends where the file's own times would part from an even grid by half a sample.
        """
        counts = self._counts
        most = max_samples(self._att_mtu, counts.values.shape[1])
        size = most if full else min(most, max(1, round(PACKET_S * counts.rate_hz)))
        index = counts.index[start : start + size] - counts.index[start]
        off_us = counts.device_us[start : start + size] - counts.device_us[start] - index * (1e6 / counts.rate_hz)
        broken = (index != np.arange(len(index))) | (np.abs(off_us) > 0.5e6 / counts.rate_hz)
        return start + (int(broken.argmax()) if broken.any() else len(index))

    def _packet(self, start: int, end: int, flags: PacketFlags) -> bytes:
        counts = self._counts
        if counts.saturated[start:end].any():
            flags |= PacketFlags.SATURATED
        if start == self._first:
            flags |= PacketFlags.RESTARTED
        packet = Packet(
            boot_tag=self._boot_id & 0xFF,
            first_index=self._index(start) % 2**32,
            device_us=(int(counts.device_us[start]) - self._zero_us) % 2**32,
            counts=counts.values[start:end],
            flags=flags,
        )
        return encode(packet, self._layout)

    @property
    def _layout(self) -> Layout:
        return layout_for(self._att_mtu)

    def _resend(self, first_index: int, count: int, now_s: float) -> Iterator[bytes]:
        """Yield what the ring still holds of a range of indices."""
        index, sampled = self._counts.index, self._sampled(now_s)
        first = first_index + int(index[self._first])
        oldest = self._index(sampled) + int(index[self._first]) - self._ring_samples
        at = int(np.searchsorted(index, max(first, oldest, int(index[self._first]))))
        stop = min(sampled, int(np.searchsorted(index, first + count)))
        while at < stop:
            end = min(self._packet_end(at, full=True), stop)
            yield self._packet(at, end, PacketFlags.RESENT)
            at = end

    def _set_rate(self, rate_hz: float, now_s: float) -> None:
        if isinstance(self._feed, FileFeed):
            raise RefusedError("a recording plays at its own rate")
        slowest, fastest = SET_RATE_HZ
        if not slowest <= rate_hz <= fastest:
            raise RefusedError(f"{rate_hz:g} Hz: set a rate of {slowest:g} to {fastest:g} Hz")
        self._feed = replace(self._feed, rate_hz=rate_hz)
        self._motion = load_motion(self._feed)
        self._reboot(to_counts(self._motion, self._counts.scale), now_s)

    def _set_range(self, scale: Scale, now_s: float) -> None:
        if scale.turn_deg_s == 0:
            scale = replace(scale, turn_deg_s=self._counts.scale.turn_deg_s)
        turn_ok = self._motion.rate_rad_s is None or scale.turn_deg_s in REFERENCE_TURN_RANGES_DEG_S
        if scale.force_g not in FORCE_RANGES_G or not turn_ok:
            ranges = f"±{listed(FORCE_RANGES_G)} g and ±{listed(REFERENCE_TURN_RANGES_DEG_S)} °/s"
            raise RefusedError(f"±{scale.force_g} g, ±{scale.turn_deg_s} °/s: set ranges of {ranges}")
        self._reboot(to_counts(self._motion, scale), now_s)

    def _reboot(self, counts: Counts, now_s: float) -> None:
        """Begin a new boot id at the next sample; the device's clock and the person go on."""
        self._counts = counts
        self._boot_id = (self._boot_id + 1) % 2**32
        self._first = self._next = min(self._sampled(now_s), len(counts) - 1)
        self._backlog.clear()
