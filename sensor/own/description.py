"""The description of a sensor: what to look for, what its notifications hold, what its counts mean.

The format is that of `firmware_notes/own_sensor.md`. It goes into a recording as the sensor's information, as it was
written, so that the raw notifications beside it can be read for ever.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sensor.info import Info
from sensor.own.layout import FloatArray, Layout

COUNTS = 32768
"""Counts of 16 bits, to either side."""


@dataclass(frozen=True, slots=True)
class Scaling:
    """What the counts of three axes mean.

    Attributes
    ----------
    zero
        The count that stands for nothing.
    per_count
        Standard gravities, or degrees a second, in one count.
    step
        What one count of 16 bits is to mean, in these units: `per_count`, unless the range would not fit.
    edge
        What is read from there on stands at the end of the range, in these units.
    signs
        Of each axis; −1 where it points the other way.
    """

    zero: float
    per_count: float
    step: float
    edge: float
    signs: tuple[int, ...] = (1, 1, 1)

    def counts(self, values: FloatArray) -> tuple[NDArray[np.int16], bool]:
        """Return counts of `step` for values of shape (n, 3), and whether one stands at the end of the range."""
        scaled = (values - self.zero) * (self.per_count * np.array(self.signs))
        rounded = np.clip(np.rint(scaled / self.step), -COUNTS, COUNTS - 1)
        return rounded.astype(np.int16), bool((np.abs(scaled) >= self.edge).any())


@dataclass(frozen=True, slots=True)
class Write:
    """Bytes to write to a characteristic."""

    characteristic: str
    octets: bytes
    response: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Description:
    """A sensor, described.

    Attributes
    ----------
    text
        The description as it was written.
    service, advertised, address
        What to look for: a service's UUID, a name, an address; None: any.
    characteristic, battery
        Which notifies motion; which reads percent of battery.
    start
        What to write once notifications come, in this order.
    rate_hz
        Samples per second, as far as they are told.
    rate_error
        Largest error of the clock that tells time: the sensor's time where it sends one, else its rate. A share.
    turn
        None without a gyro.
    per_sequence
        Samples that one step of the sequence number stands for.
    tick_us
        Step of the sensor's time.
    time_of_last
        Whether that is the time of a notification's last sample, not of its first.
    """

    text: str
    name: str
    service: str | None
    advertised: str | None
    address: str | None
    characteristic: str
    battery: str
    start: tuple[Write, ...]
    layout: Layout
    rate_hz: float
    rate_error: float
    force: Scaling
    turn: Scaling | None
    per_sequence: int = 1
    tick_us: float = 1.0
    time_of_last: bool = False

    def __bytes__(self) -> bytes:
        return self.text.encode()

    def info(self, boot_id: int) -> Info:
        """Return what packets made of its notifications mean."""
        return Info(
            boot_id=boot_id,
            rate_hz=self.rate_hz,
            force_g_per_count=self.force.step,
            turn_deg_s_per_count=self.turn.step if self.turn else 0.0,
            axes=self.layout.axes,
        )


def is_description(information: bytes) -> bool:
    """Return whether a sensor's information is a description: text, where the wire format has a version below 32."""
    return information[:1] > b"\x1f" or information[:1] in (b"\t", b"\n", b"\r")
