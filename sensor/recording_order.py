"""The order of a recording's motion by boot id and sample index, whatever order it arrived in.

A described sensor sends nothing again, and its notifications come in their order: they stay as they came.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from typing import NamedTuple

from sensor.own.description import is_description
from sensor.protocol import Info, ProtocolError, decode, unwrap
from sensor.reorder import INDEX_MODULUS
from sensor.source import Arrival, Channel


class _Key(NamedTuple):
    sensor_id: str
    boot: int
    sample: int
    number: int


@dataclass(slots=True)
class _Boot:
    """One boot id of one sensor: its place among the boots, and where its index was last."""

    ordinal: int
    boot_id: int | None = None
    index: int | None = None


class InOrder:
    """Takes arrivals with their numbers as they arrived, gives the order of the motion."""

    def __init__(self) -> None:
        self._boots: dict[tuple[str, int], _Boot] = {}
        self._seen = 0
        self._keys: list[_Key] = []
        self._described: dict[str, _Boot] = {}

    def add(self, number: int, arrival: Arrival) -> None:
        """Take in one arrival; what is neither information nor a packet is left out."""
        try:
            match arrival.channel:
                case Channel.INFO if is_description(arrival.payload):
                    if arrival.sensor_id not in self._described:
                        self._described[arrival.sensor_id] = self._another()
                    self._add_described(number, arrival.sensor_id)
                case Channel.DATA if arrival.sensor_id in self._described:
                    self._add_described(number, arrival.sensor_id)
                case Channel.INFO:
                    self._add_info(number, arrival.sensor_id, Info.from_bytes(arrival.payload))
                case Channel.DATA:
                    packet = decode(arrival.payload)
                    self._add_packet(number, arrival.sensor_id, packet.boot_tag, packet.first_index)
        except ProtocolError:
            return

    def runs(self) -> Iterator[tuple[int, int]]:
        """Yield first and last number of each run of arrivals that came in order, nothing between, in order."""
        numbers = [key.number for key in sorted(self._keys)]
        for _, run in groupby(enumerate(numbers), lambda place: place[1] - place[0]):
            whole = [number for _, number in run]
            yield whole[0], whole[-1]

    def _add_described(self, number: int, sensor_id: str) -> None:
        self._keys.append(_Key(sensor_id, self._described[sensor_id].ordinal, number, number))

    def _add_info(self, number: int, sensor_id: str, info: Info) -> None:
        boot = self._boot(sensor_id, info.boot_tag)
        if boot.boot_id not in (None, info.boot_id):  # another boot id that happens to have the same tag
            boot = self._new_boot(sensor_id, info.boot_tag)
        boot.boot_id = info.boot_id
        self._keys.append(_Key(sensor_id, boot.ordinal, -INDEX_MODULUS, number))

    def _add_packet(self, number: int, sensor_id: str, tag: int, first_index: int) -> None:
        boot = self._boot(sensor_id, tag)
        near = first_index if boot.index is None else boot.index
        boot.index = unwrap(first_index, INDEX_MODULUS, near)
        self._keys.append(_Key(sensor_id, boot.ordinal, boot.index, number))

    def _boot(self, sensor_id: str, tag: int) -> _Boot:
        return self._boots.get((sensor_id, tag)) or self._new_boot(sensor_id, tag)

    def _new_boot(self, sensor_id: str, tag: int) -> _Boot:
        boot = self._boots[sensor_id, tag] = self._another()
        return boot

    def _another(self) -> _Boot:
        self._seen += 1
        return _Boot(self._seen)
