"""Arrivals of one sensor into numbered samples in SI units, in order, each once; sans-I/O.

```
 INFO ──► same boot id: nothing · new boot id: flush, begin anew, take what waited for it
 LINK ──► lent: flush; what is missing until the next packet is no loss
 DATA ──► of the present boot id ──► `Reorder` ──► Block | Lost      (Restart before the first of a later boot id)
      ──► of an earlier one: late, dropped
      ──► of none known: waits for its information
```
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sensor.boot import Boot
from sensor.calibration import Calibration
from sensor.clock import Timekeeping
from sensor.interpreter import Interpreter
from sensor.own.decoder import Heard
from sensor.protocol import Info, InfoFlags, Packet, PacketFlags, ProtocolError
from sensor.reorder import Hole, Patience, Placed, Reorder, Tally
from sensor.source import Arrival

FloatArray = NDArray[np.float64]

WAIT_S = 0.3
"""How much may wait behind a hole, device seconds. Bluetooth keeps the order; gateways may swap neighbours."""
SHORT_WAIT_S = 2.5
"""How long a live reading waits for a sensor that can re-send: no longer than the hole, and so long at most.

Thirty seconds come within two where the ATT MTU is large; a count that stands still for longer is worse than a gap."""
LONG_WAIT_S = 6.0
"""How long a sensor that can re-send is waited for, after the last thing it sent again, where nobody looks on.

The host asks three times, a second apart (`sensor.backfill`)."""
_UNEXPLAINED_MAX = 4096
_LEAST_STEP_S = 1e-6


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Block:
    """Consecutive samples of one boot id.

    Attributes
    ----------
    first_index
        Index of the first sample; does not wrap.
    t_s : (n,) array
        Device time, seconds, strictly rising over the whole stream, restarts included.
    force_m_s2 : (n, 3) array
        Specific force, m/s².
    rate_rad_s : (n, 3) array or None
        Angular rate, rad/s; None without a gyro.
    saturated
        A sample stands at the end of its range: the device said so, or a count is at an end of 16 bits.
    arrival_s
        Host time at which the packet arrived, for `sensor.clock`.
    """

    sensor_id: str
    boot_id: int
    first_index: int
    t_s: FloatArray
    force_m_s2: FloatArray
    rate_rad_s: FloatArray | None
    saturated: bool
    arrival_s: float

    def __len__(self) -> int:
        return len(self.t_s)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lost:
    """Samples `first_index` … `end_index` (half-open) of a boot id that did not come in time."""

    sensor_id: str
    boot_id: int
    first_index: int
    end_index: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Restart:
    """A new boot id begins: indices anew, maybe another rate or range; `t_s` goes on from where it was.

    Between the boot ids only arrival times tell how long it took, so that stretch is as sure as those.
    """

    sensor_id: str
    boot_id: int
    first_index: int
    t_s: float


Item = Block | Lost | Restart


@dataclass(slots=True)
class End:
    """Where the stream stands: time of its last sample, and when that arrived."""

    t_s: float
    arrival_s: float


class Assembler:
    """Turns one sensor's arrivals into items, in order.

    Parameters
    ----------
    sensor_id
        Only arrivals of this sensor may be pushed.
    calibration
        Applied here and nowhere else.
    patient
        Wait as long as a hole may still be filled, not only as long as a live reading can.

    Attributes
    ----------
    info
        What the present boot id's packets mean; None before it is known.
    tally
        Samples received, lost, late, duplicate so far.
    rejected
        Payloads that were none of the protocol, or whose information never came.
    end
        Where the stream stands; that of another assembler's where this one goes on with its time.
    """

    def __init__(self, sensor_id: str, calibration: Calibration | None = None, *, patient: bool = False) -> None:
        self.sensor_id = sensor_id
        self._patient = patient
        self.tally = Tally()
        self.rejected = 0
        self._calibration = calibration or Calibration()
        self._interpreter = Interpreter()
        self._boot: Boot | None = None
        self.end: End | None = None
        self._past_tags: set[int] = set()
        self._unexplained: deque[tuple[Packet, float]] = deque()

    @property
    def info(self) -> Info | None:
        """What the present boot id's packets mean."""
        return self._boot.info if self._boot else None

    @property
    def described(self) -> bool:
        """Whether the sensor is another maker's, read by a description."""
        return self._interpreter.described

    @property
    def keeping(self) -> Timekeeping:
        """What is thought of the sensor's clock before it is measured."""
        return self._interpreter.keeping

    @property
    def loss(self) -> float:
        """Share of samples lost so far, 0–1."""
        return self.tally.lost / max(1, self.tally.lost + self.tally.received)

    @property
    def missing_s(self) -> float:
        """Length of the holes behind which samples wait, device seconds."""
        return self._boot.reorder.missing / self._boot.info.rate_hz if self._boot else 0.0

    def push(self, arrival: Arrival) -> list[Item]:
        """Take in one arrival, give the items that are now complete.

        Raises
        ------
        ValueError
            When the arrival is another sensor's. Bad payloads raise nothing: they are counted in `rejected`.
        """
        if arrival.sensor_id != self.sensor_id:
            raise ValueError(f"arrival of {arrival.sensor_id!r} given to the assembler of {self.sensor_id!r}")
        if arrival.is_lent:
            return self._take(self._interpreter.part(arrival.at_s)) + self._flush(parting=True)
        try:
            heard = self._interpreter.read(arrival)
        except ProtocolError:
            self.rejected += 1
            return []
        return self._take(heard)

    def finish(self) -> list[Item]:
        """Give what still waits, holes named: the stream has ended."""
        items = self._take(self._interpreter.finish())
        self.rejected += len(self._unexplained)
        self._unexplained.clear()
        return items + self._flush()

    def _take(self, heard: Iterable[Heard]) -> list[Item]:
        items: list[Item] = []
        for what, at_s in heard:
            items += self._take_info(what) if isinstance(what, Info) else self._take_packet(what, at_s)
        return items

    def _take_info(self, info: Info) -> list[Item]:
        if self.info is not None and self.info.boot_id == info.boot_id:
            return []
        items = self._flush()
        if self.info is not None:
            self._past_tags.add(self.info.boot_tag)
        self._boot = Boot(info, Reorder(self._patience(info), self.tally))
        waited, self._unexplained = self._unexplained, deque()
        for packet, arrival_s in waited:
            items += self._take_packet(packet, arrival_s)
        return items

    def _patience(self, info: Info) -> Patience:
        can_resend = InfoFlags.CAN_RESEND in info.flags and info.ring_samples > 0
        if can_resend and self._patient:
            return Patience(LONG_WAIT_S * info.rate_hz, LONG_WAIT_S * info.rate_hz, renewed=True)
        return Patience(WAIT_S * info.rate_hz, (SHORT_WAIT_S if can_resend else WAIT_S) * info.rate_hz)

    def _take_packet(self, packet: Packet, arrival_s: float) -> list[Item]:
        boot = self._boot
        if boot is not None and packet.boot_tag == boot.info.boot_tag:
            if packet.axes != boot.info.axes:
                self.rejected += 1
                return []
            return self._items(boot, boot.reorder.push(packet, arrival_s))
        if packet.boot_tag in self._past_tags:
            self.tally.late += len(packet)
        else:
            self._keep_unexplained(packet, arrival_s)
        return []

    def _keep_unexplained(self, packet: Packet, arrival_s: float) -> None:
        self._unexplained.append((packet, arrival_s))
        if len(self._unexplained) > _UNEXPLAINED_MAX:  # a sensor that never explains itself must not fill the memory
            self._unexplained.popleft()
            self.rejected += 1

    def _flush(self, *, parting: bool = False) -> list[Item]:
        return self._items(self._boot, self._boot.reorder.flush(parting=parting)) if self._boot else []

    def _items(self, boot: Boot, placed: Iterable[Placed | Hole]) -> list[Item]:
        items: list[Item] = []
        for one in placed:
            if isinstance(one, Hole):
                items.append(self._lost(one))
            else:
                restart = boot.offset_s is None and self.end is not None
                block = self._block(boot, one)
                items += [self._restart(block), block] if restart else [block]
        return items

    def _lost(self, hole: Hole) -> Lost:
        assert self._boot is not None
        boot_id = self._boot.info.boot_id
        return Lost(sensor_id=self.sensor_id, boot_id=boot_id, first_index=hole.first, end_index=hole.end)

    def _restart(self, block: Block) -> Restart:
        first_index, t_s = block.first_index, float(block.t_s[0])
        return Restart(sensor_id=self.sensor_id, boot_id=block.boot_id, first_index=first_index, t_s=t_s)

    def _block(self, boot: Boot, placed: Placed) -> Block:
        counts = placed.packet.counts[placed.skip :]
        t_s = self._times(boot, placed)
        self.end = End(float(t_s[-1]), placed.arrival_s)
        at_rail = bool(np.any((counts == -32768) | (counts == 32767)))
        return Block(
            sensor_id=self.sensor_id,
            boot_id=boot.info.boot_id,
            first_index=placed.first + placed.skip,
            t_s=t_s,
            force_m_s2=self._calibration.force_m_s2(counts, boot.info),
            rate_rad_s=self._calibration.rate_rad_s(counts, boot.info),
            saturated=at_rail or PacketFlags.SATURATED in placed.packet.flags,
            arrival_s=placed.arrival_s,
        )

    def _times(self, boot: Boot, placed: Placed) -> FloatArray:
        start_s, n = boot.device_s(placed), len(placed.packet)
        if boot.offset_s is None:
            boot.offset_s = self._offset_s(start_s, n, 1 / boot.info.rate_hz, placed.arrival_s)
        t_s = start_s + boot.offset_s + np.arange(placed.skip, n) / boot.info.rate_hz
        if self.end is not None and t_s[0] <= self.end.t_s:
            # A device whose clock says less time than its samples need: squeeze, keeping the packet's end where it is.
            t_s = np.maximum(t_s, self.end.t_s + _LEAST_STEP_S * np.arange(1, n - placed.skip + 1))
        return t_s

    def _offset_s(self, start_s: float, n: int, period_s: float, arrival_s: float) -> float:
        """Offset that puts the last sample of a boot's first packet as far after the last one before as it arrived."""
        if self.end is None:
            return 0.0
        since_s = max(arrival_s - self.end.arrival_s, n * period_s)
        return self.end.t_s + since_s - (start_s + (n - 1) * period_s)
