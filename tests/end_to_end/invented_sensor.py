"""An invented sensor of another maker: its description, with or without sequence and time, and what it notifies."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from sensor.source import Arrival, Channel, LinkState
from sensor.virtual.trainee import Performance

ADDRESS = "C4:11:90:00:00:07"
SERVICE, DATA, START = (f"4a7c000{n}-52e1-4b19-9a51-0c83c1d9e001" for n in (1, 2, 3))
G = 9.80665  # m/s², exact: 3rd CGPM (1901)
SAMPLES = 4
RATE_HZ = 100.0
G_PER_COUNT, DEG_S_PER_COUNT = 0.000488, 0.07
_TEXT = f"""\
format = "rungwise.own-sensor/1"
name = "Fellbrook Tag"

[find]
service = "{SERVICE}"

[motion]
characteristic = "{DATA}"
byte_order = "big"
header = ["is 55"{{cells}}]
sample = ["i16 ax", "i16 -ay", "i16 az", "i16 gx", "i16 -gy", "i16 gz"]
samples = {SAMPLES}
rate_hz = {RATE_HZ}

[force]
unit = "mg"
scale = {1000 * G_PER_COUNT}

[turn]
unit = "deg/s"
scale = {DEG_S_PER_COUNT}
{{tables}}
[[start]]
characteristic = "{START}"
hex = "01 64"
"""


def description(*, sequence: bool, time: bool) -> str:
    """The text of the description."""
    cells = ', "u8 sequence"' * sequence + ', "u16 time"' * time
    tables = '\n[sequence]\ncounts = "notifications"\n' * sequence + "\n[time]\ntick_us = 1000\n" * time
    return _TEXT.format(cells=cells, tables=tables)


@dataclass(frozen=True)
class Invented:
    """What it measures, and how its oscillator errs: `clock_ratio` is host seconds per second of its own."""

    performance: Performance
    sequence: bool = True
    time: bool = True
    clock_ratio: float = 1.0

    @property
    def text(self) -> str:
        return description(sequence=self.sequence, time=self.time)

    def notifications(self) -> Iterator[tuple[float, bytes]]:
        """Yield when the last sample of each is taken, host seconds, and its bytes."""
        done = self.performance
        counts = np.hstack([done.force_m_s2 / G / G_PER_COUNT, np.degrees(done.rate_rad_s) / DEG_S_PER_COUNT])
        counts = np.clip(np.rint(counts), -32768, 32767).astype(int)
        counts[:, [1, 4]] *= -1
        for number in range(len(counts) // SAMPLES):
            first = number * SAMPLES
            head = b"\x55" + (bytes([number % 256]) if self.sequence else b"")
            if self.time:
                head += struct.pack(">H", round(1000 * done.t_s[first]) % 65536)
            body = counts[first : first + SAMPLES].ravel().tolist()
            yield done.t_s[first + SAMPLES - 1] * self.clock_ratio, head + struct.pack(f">{6 * SAMPLES}h", *body)

    def arrivals(self, *, seed: int = 1, late_s: float = 0.1) -> Iterator[Arrival]:
        """Yield what a host receives: each up to `late_s` late, evenly spread, none before another."""
        rng = np.random.default_rng(seed)
        yield _link(0.0, LinkState.CONNECTED)
        yield Arrival(ADDRESS, 0.0, Channel.INFO, self.text.encode())
        at_s = 0.0
        for taken_s, payload in self.notifications():
            at_s = max(at_s, taken_s + rng.uniform(0.001, late_s))
            yield Arrival(ADDRESS, at_s, Channel.DATA, payload)
        yield _link(at_s, LinkState.ENDED)


def _link(at_s: float, state: LinkState) -> Arrival:
    return Arrival(ADDRESS, at_s, Channel.LINK, state.value.encode())
