"""The boot id in progress: what its packets mean, their order, and the sensor's time without wrap; sans-I/O."""

from __future__ import annotations

from dataclasses import dataclass

from sensor.protocol import Info, unwrap
from sensor.reorder import Placed, Reorder


@dataclass(slots=True)
class Boot:
    """The boot id in progress.

    `base_us` and `base_index` are the last packet's, to extend the next one's time from; `modulus_us` is the shortest
    wrap seen; `offset_s` takes this boot's device time to the stream's, None before the first packet.
    """

    info: Info
    reorder: Reorder
    base_us: int = 0
    base_index: int = 0
    modulus_us: int = 1 << 32
    offset_s: float | None = None

    def device_s(self, placed: Placed) -> float:
        """Device time of the packet's first sample, unbounded."""
        packet = placed.packet
        if self.offset_s is None:
            self.base_us, self.base_index = packet.device_us, placed.first
        self.modulus_us = min(self.modulus_us, packet.wrap_us)
        expected_us = self.base_us + round((placed.first - self.base_index) * 1e6 / self.info.rate_hz)
        self.base_us, self.base_index = unwrap(packet.device_us, self.modulus_us, expected_us), placed.first
        return self.base_us / 1e6
