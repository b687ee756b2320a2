"""From the notifications of a described sensor to information and packets, as the wire format has them; sans-I/O.

A described sensor has no boot id, maybe no sequence number and no time of its own. What it does have decides:

| sends | index | time of a sample |
|---|---|---|
| sequence and time | sequence | its time |
| sequence | sequence | index / rate |
| time | time × rate | its time |
| neither | counting (`sensor.own.counting`) | index / rate |

Whether it goes on where it was after a connection is told by whether that fits the arrivals; otherwise a new boot id
begins.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from sensor.clock import Timekeeping
from sensor.own.counting import MOMENT_SD_S, Counted, Counting
from sensor.own.description import Description
from sensor.own.layout import SEQUENCE, TIME, Reading
from sensor.protocol import Info, Packet, PacketFlags, unwrap
from sensor.reorder import INDEX_MODULUS

_BEGIN = 1 << 20
"""Index at which a boot id begins, so that what came before its first packet still has one."""
_GOES_ON_S = 0.5
"""By how much time by the sensor and by arrival may differ over a connection, for it to have gone on."""
_JUMPS_S = 10.0
"""By how much within a connection, where the sensor must have begun anew otherwise; bursts are shorter."""


class Heard(NamedTuple):
    """Information or a packet, and when the notification came that it was read from."""

    what: Info | Packet
    at_s: float


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a notification stands: sequence and ticks without wrap, index and time of its first sample."""

    sequence: int
    ticks: int
    index: int
    us: int
    n: int
    at_s: float


class OwnDecoder:
    """Reads one sensor as described.

    Parameters
    ----------
    description
        Of the sensor.
    boot_id
        The first to give.
    """

    def __init__(self, description: Description, boot_id: int = 1) -> None:
        self.description = description
        self.boot_id = boot_id
        sequence, time = description.layout.cell(SEQUENCE), description.layout.cell(TIME)
        self._sequence_modulus = sequence.modulus if sequence else 0
        self._time_modulus = time.modulus if time else 0
        self._counts = sequence is None and time is None
        self._counting = self._new_counting()
        self._last: _Place | None = None
        self._connected_anew = False

    @property
    def keeping(self) -> Timekeeping:
        """What is thought of the sensor's clock."""
        return Timekeeping(self.description.rate_error, MOMENT_SD_S if self._counts else 0.0)

    def connected(self, at_s: float) -> Iterator[Heard]:
        """Take note of a connection; give the information, and what nothing is waited for any more."""
        yield from self.finish()
        self._counting = self._new_counting()
        if self._last is None:
            yield self._information(at_s)
        else:
            self._connected_anew = True

    def read(self, payload: bytes, at_s: float) -> Iterator[Heard]:
        """Read one notification; of a sensor that is counted it may be given later.

        Raises
        ------
        ProtocolError
            When it is none of the layout, at once.
        """
        reading = self.description.layout.decode(payload)
        if not self._counts:
            return self._give(reading, at_s)
        return self._give_all(self._counting.push(reading, at_s))

    def finish(self) -> Iterator[Heard]:
        """Give what is held back."""
        return self._give_all(self._counting.finish())

    def _new_counting(self) -> Counting:
        return Counting(self.description.rate_hz, self.description.rate_error)

    def _information(self, at_s: float) -> Heard:
        return Heard(self.description.info(self.boot_id), at_s)

    def _give_all(self, counted: Iterator[Counted]) -> Iterator[Heard]:
        for one in counted:
            if self._connected_anew:
                yield from self._begin_anew(one.at_s)
            index = _BEGIN + one.first
            self._last = _Place(0, 0, index, self._nominal_us(index), len(one.reading), one.at_s)
            yield self._packet(one.reading, self._last)

    def _give(self, reading: Reading, at_s: float) -> Iterator[Heard]:
        place = self._begin(reading, at_s) if self._last is None else self._follow(self._last, reading, at_s)
        if self._last is not None and not self._goes_on(self._last, place):
            yield from self._begin_anew(at_s)
            place = self._begin(reading, at_s)
        self._connected_anew = False
        if self._last is None or place.index >= self._last.index:
            self._last = place
        yield self._packet(reading, place)

    def _begin_anew(self, at_s: float) -> Iterator[Heard]:
        self.boot_id, self._last, self._connected_anew = self.boot_id + 1, None, False
        yield self._information(at_s)

    def _begin(self, reading: Reading, at_s: float) -> _Place:
        sequence, ticks = _BEGIN + (reading.sequence or 0), _BEGIN + (reading.ticks or 0)
        index = sequence * self.description.per_sequence if self._sequence_modulus else _BEGIN
        return self._place(sequence, ticks, index, len(reading), at_s)

    def _follow(self, last: _Place, reading: Reading, at_s: float) -> _Place:
        """Return where a notification stands, nearest to what the time since the last one lets expect."""
        about, since_s = self.description, at_s - last.at_s
        sequence, ticks, index = 0, 0, 0
        if self._time_modulus:
            near = last.ticks + round(since_s * 1e6 / about.tick_us)
            ticks = unwrap(_BEGIN + (reading.ticks or 0), self._time_modulus, near)
            since_s = (ticks - last.ticks) * about.tick_us / 1e6
        if self._sequence_modulus:
            near = last.sequence + round(since_s * about.rate_hz / about.per_sequence)
            sequence = unwrap(_BEGIN + (reading.sequence or 0), self._sequence_modulus, near)
            index = last.index + (sequence - last.sequence) * about.per_sequence
        else:
            index = last.index + last.n + self._lost(last, len(reading), since_s)
        return self._place(sequence, ticks, index, len(reading), at_s)

    def _lost(self, last: _Place, n: int, since_s: float) -> int:
        """Return how many samples the time says are missing; those of one that came again count below 0."""
        late = since_s * self.description.rate_hz - last.n
        if abs(late) < last.n / 2:  # the rate is not known so well that less could be told
            return 0
        return round(late / n) * n if n == last.n else round(late)

    def _place(self, sequence: int, ticks: int, index: int, n: int, at_s: float) -> _Place:
        about = self.description
        us = self._nominal_us(index)
        if self._time_modulus:
            before_us = (n - 1) * 1e6 / about.rate_hz if about.time_of_last else 0.0
            us = round(ticks * about.tick_us - before_us)
        return _Place(sequence, ticks, index, us, n, at_s)

    def _nominal_us(self, index: int) -> int:
        return round(index * 1e6 / self.description.rate_hz)

    def _goes_on(self, last: _Place, place: _Place) -> bool:
        """Return whether the sensor's own time fits the arrivals."""
        since_s, by_sensor_s = place.at_s - last.at_s, (place.us - last.us) / 1e6
        allowed_s = _GOES_ON_S if self._connected_anew else _JUMPS_S
        back = self._connected_anew and place.index < last.index + last.n
        return not back and abs(by_sensor_s - since_s) <= allowed_s + self.keeping.plausible * abs(since_s)

    def _packet(self, reading: Reading, place: _Place) -> Heard:
        about = self.description
        force, at_rail = about.force.counts(reading.values[:, :3])
        counts = [force]
        if about.turn:
            turn, turn_at_rail = about.turn.counts(reading.values[:, 3:])
            counts, at_rail = [force, turn], at_rail or turn_at_rail
        packet = Packet(
            boot_tag=self.boot_id & 0xFF,
            first_index=place.index % INDEX_MODULUS,
            device_us=max(0, place.us),
            counts=np.hstack(counts),
            flags=PacketFlags.SATURATED if at_rail else PacketFlags.NONE,
        )
        return Heard(packet, place.at_s)
