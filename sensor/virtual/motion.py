"""What the virtual sensor can play: the trainee's script, or a recorded table; as motion in SI units, then as counts.

A recording keeps its own times: each packet carries the time of its first sample as the file has it, and a hole in
the file becomes indices that were never sent, as if the packets had been lost.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from sensor.limits import FORCE_RANGES_G, REFERENCE_TURN_RANGES_DEG_S
from sensor.protocol import STANDARD_GRAVITY_M_S2
from sensor.table import Table, read_motion
from sensor.virtual.jets import FloatArray
from sensor.virtual.script import Script, demo_script
from sensor.virtual.table_top import lie
from sensor.virtual.trainee import perform

FULL_SCALE = 32768


@dataclass(frozen=True, slots=True)
class TraineeFeed:
    """Play the virtual trainee.

    Attributes
    ----------
    script
        What she is asked to do.
    seed
        Which trainee, and how she varies.
    rate_hz
        Sampling rate of the sensor.
    """

    script: Script = field(default_factory=demo_script)
    seed: int = 1
    rate_hz: float = 100.0


@dataclass(frozen=True, slots=True)
class FileFeed:
    """Play a recorded table of motion (`sensor.table`), at its own rate."""

    path: Path


@dataclass(frozen=True, slots=True)
class TableTopFeed:
    """Play a sensor that lies on a table (`sensor.virtual.table_top`).

    Attributes
    ----------
    side_s
        How long it lies on a side before it is turned onto the next, s.
    lasts_s
        All of it, s: longer than anybody looks.
    seed
        Which sensor: how it errs.
    rate_hz
        Sampling rate of the sensor.
    """

    side_s: float
    lasts_s: float = 900.0
    seed: int = 1
    rate_hz: float = 100.0


FeedSpec = TraineeFeed | FileFeed | TableTopFeed


@dataclass(frozen=True, slots=True)
class Scale:
    """Measuring ranges in force; counts are range / 32768. `turn_deg_s` is 0 without a gyro."""

    force_g: int
    turn_deg_s: int


@dataclass(frozen=True, slots=True, eq=False)
class Counts:
    """A motion as the sensor's registers hold it.

    Attributes
    ----------
    rate_hz
        Samples per second of the device's own clock, to 0.001 Hz.
    scale
        The ranges that the counts are shares of.
    index : (n,) int64 array
        Sampling instants since the first sample; jumps over holes.
    device_us : (n,) int64 array
        Time of each sample on the device's clock, µs.
    values : (n, 3) or (n, 6) int16 array
        Accelerometer, then gyro.
    saturated : (n,) bool array
        Whether a value would have passed the range.
    """

    rate_hz: float
    scale: Scale
    index: NDArray[np.int64]
    device_us: NDArray[np.int64]
    values: NDArray[np.int16]
    saturated: NDArray[np.bool_]

    def __len__(self) -> int:
        return len(self.index)


def load_motion(feed: FeedSpec) -> Table:
    """Generate or read what `feed` names, in SI units.

    Raises
    ------
    TableError
        When the file is no table of motion.
    """
    match feed:
        case TraineeFeed(script, seed, rate_hz):
            session = perform(script, seed, rate_hz)
            return Table(session.t_s, session.force_m_s2, session.rate_rad_s)
        case TableTopFeed(side_s, lasts_s, seed, rate_hz):
            return Table(*lie(seed, rate_hz, side_s, lasts_s))
        case FileFeed(path):
            return read_motion(path)


def smallest_scale(motion: Table) -> Scale:
    """Return the smallest standard ranges that hold the whole motion; the largest ones where none does."""
    force_g = _smallest(FORCE_RANGES_G, motion.force_m_s2 / STANDARD_GRAVITY_M_S2)
    if motion.rate_rad_s is None:
        return Scale(force_g, 0)
    return Scale(force_g, _smallest(REFERENCE_TURN_RANGES_DEG_S, np.degrees(motion.rate_rad_s)))


def to_counts(motion: Table, scale: Scale) -> Counts:
    """Quantise a motion to 16 bits and number its samples on an even grid."""
    columns = motion.force_m_s2 / STANDARD_GRAVITY_M_S2 * (FULL_SCALE / scale.force_g)
    if motion.rate_rad_s is not None:
        turn = np.degrees(motion.rate_rad_s) * (FULL_SCALE / scale.turn_deg_s)
        columns = np.hstack([columns, turn])
    rounded = np.rint(columns)
    values = np.clip(rounded, -FULL_SCALE, FULL_SCALE - 1)
    rate_hz = round(motion.rate_hz, 3)  # as the information characteristic keeps it
    return Counts(
        rate_hz=rate_hz,
        scale=scale,
        index=_number(motion.t_s, rate_hz),
        device_us=np.rint(motion.t_s * 1e6).astype(np.int64),
        values=values.astype(np.int16),
        saturated=np.any(values != rounded, axis=1),
    )


def _smallest(ranges: tuple[int, ...], values: FloatArray) -> int:
    """Smallest range whose largest count still holds the largest value."""
    top = float(np.abs(values).max()) * FULL_SCALE / (FULL_SCALE - 1)
    return next((full for full in ranges if top <= full), ranges[-1])


def _number(t_s: FloatArray, rate_hz: float) -> NDArray[np.int64]:
    """Give samples the numbers 0, 1, 2 …, passing over what is missing in a hole (hole × rate, rounded)."""
    steps = np.maximum(1, np.rint(np.diff(t_s) * rate_hz)).astype(np.int64)
    return np.concatenate([np.zeros(1, np.int64), np.cumsum(steps)])
