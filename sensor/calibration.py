"""Counts to SI units, corrected for this very sensor; applied at one place, in `sensor.assembly`."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sensor.protocol import Info

FloatArray = NDArray[np.float64]
Triple = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Correction:
    """Bias and gain of three axes: `true = (read − bias) × gain`, axis by axis.

    The model of bias and scale factor of IEEE Std 1293, without its cross-axis and higher terms.

    Attributes
    ----------
    bias
        What each axis reads at zero input, in the unit of the reading.
    gain
        True change for a change read of one, each axis.
    """

    bias: Triple = (0.0, 0.0, 0.0)
    gain: Triple = (1.0, 1.0, 1.0)

    def undo(self, true: FloatArray) -> FloatArray:
        """Return what was read, shape (n, 3): the inverse of `apply`."""
        return true if self == _NONE else true / self.gain + self.bias

    def apply(self, read: FloatArray) -> FloatArray:
        """Correct readings of shape (n, 3)."""
        return read if self == _NONE else (read - self.bias) * self.gain


_NONE = Correction()


@dataclass(frozen=True, slots=True)
class Calibration:
    """What is known of one sensor beyond its announced scales; by default nothing.

    Attributes
    ----------
    force
        Correction of the accelerometer, bias in m/s².
    turn
        Correction of the gyro, bias in rad/s.
    """

    force: Correction = _NONE
    turn: Correction = _NONE

    def force_m_s2(self, counts: NDArray[np.int16], info: Info) -> FloatArray:
        """Specific force, m/s², shape (n, 3), of counts of shape (n, 3 or 6)."""
        return self.force.apply(counts[:, :3].astype(np.float64) * info.force_m_s2_per_count)

    def rate_rad_s(self, counts: NDArray[np.int16], info: Info) -> FloatArray | None:
        """Angular rate, rad/s, shape (n, 3), of counts of shape (n, 3 or 6); None without a gyro."""
        return self.turn.apply(counts[:, 3:].astype(np.float64) * info.turn_rad_s_per_count) if info.axes == 6 else None
