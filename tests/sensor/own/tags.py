"""A described sensor for tests, whose counts say which sample they are."""

from __future__ import annotations

import struct
from dataclasses import dataclass

import numpy as np

from sensor.source import Arrival, Channel

SENSOR = "tag"
N = 5
RATE_HZ = 100.0
PERIOD_S = N / RATE_HZ


@dataclass
class Tag:
    """Makes the notification of any `number`; `sequence` and `time` are struct codes, empty where it sends none."""

    sequence: str = ""
    time: str = ""
    counts: str = "notifications"

    @property
    def text(self) -> str:
        kinds = {"B": "u8", "H": "u16", "I": "u32"}
        header, tables = [], ""
        if self.sequence:
            header.append(f"{kinds[self.sequence]} sequence")
            tables += f'[sequence]\ncounts = "{self.counts}"\n'
        if self.time:
            header.append(f"{kinds[self.time]} time")
            tables += "[time]\ntick_us = 1000\n"
        return (
            'format = "rungwise.own-sensor/1"\nname = "tag"\n[find]\nname = "tag"\n[motion]\ncharacteristic = "ff01"\n'
            f"header = {header}\nsample = ['i16 ax', 'i16 ay', 'i16 az']\nsamples = {N}\nrate_hz = {RATE_HZ}\n"
            f"{tables}[force]\nunit = 'mg'\nscale = 1\n"
        )

    def connects(self, at_s: float) -> Arrival:
        return Arrival(SENSOR, at_s, Channel.INFO, self.text.encode())

    def sends(self, number: int, at_s: float | None = None, *, since: int = 0) -> Arrival:
        """`since`: the number with which its own counters began anew."""
        own = number - since
        head = b""
        if self.sequence:
            step = own * (N if self.counts == "samples" else 1)
            head += struct.pack("<" + self.sequence, step % 256 ** struct.calcsize(self.sequence))
        if self.time:
            head += struct.pack("<" + self.time, round(1000 * own * PERIOD_S) % 256 ** struct.calcsize(self.time))
        values = [((number * N + k) * 31) % 60000 - 30000 for k in range(N) for _ in range(3)]
        taken_s = (number + 1) * PERIOD_S
        payload = head + struct.pack(f"<{3 * N}h", *values)
        return Arrival(SENSOR, taken_s if at_s is None else at_s, Channel.DATA, payload)


def true_counts(numbers: list[int]) -> np.ndarray:
    """What all samples of these notifications count, first axis."""
    index = np.array([number * N + k for number in numbers for k in range(N)])
    return (index * 31) % 60000 - 30000
