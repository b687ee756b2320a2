"""The input type of the motion core. The glue converts to it; nothing else may."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Samples:
    """A stretch of motion, in SI units, on the sensor's own clock.

    Holes in time (lost packets) need no flag: they are intervals of `t_s` longer than usual.

    Attributes
    ----------
    t_s : (n,) array
        Sample times, seconds, strictly rising; may be uneven.
    force_m_s2 : (n, 3) array
        Specific force, m/s²: what an accelerometer reads, so one g upward when at rest.
    rate_rad_s : (n, 3) array or None
        Angular rate, rad/s; None without a gyro.

    Raises
    ------
    ValueError
        When shapes disagree or times do not rise.
    """

    t_s: FloatArray
    force_m_s2: FloatArray
    rate_rad_s: FloatArray | None = None

    def __post_init__(self) -> None:
        n = len(self.t_s)
        if self.force_m_s2.shape != (n, 3):
            raise ValueError(f"force_m_s2 must have shape ({n}, 3), not {self.force_m_s2.shape}")
        if self.rate_rad_s is not None and self.rate_rad_s.shape != (n, 3):
            raise ValueError(f"rate_rad_s must have shape ({n}, 3), not {self.rate_rad_s.shape}")
        if n > 1 and not np.all(np.diff(self.t_s) > 0):
            raise ValueError("t_s must rise strictly")

    def __len__(self) -> int:
        return len(self.t_s)
