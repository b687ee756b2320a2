"""How a body hanging from a bar accelerates, told by the bar itself: the step of taking hold is its own weight.

A bar bends, and tilts, in proportion to the force on it (Hooke; beam tables). Hanging still, the force is m g; pulling
with the feet off the ground it is m (g + a). So with the signal s of an empty bar and of the still hang,
a / g = (s − s_hang) / (s_hang − s_empty), whatever the stiffness, the place of the sensor and the unit of s. With the
feet supported the share on the hands changes as well, and the same ratio is hand load only.
"""

from __future__ import annotations

import numpy as np

from analysis.motion.samples import FloatArray

_LEAST = 4.0
"""The step must be so many times the scatter of either level to be a measure."""


def acceleration_over_g(signal: FloatArray, empty: slice, hang: slice) -> FloatArray | None:
    """Return a(t) / g of a body that hangs with its feet off the ground, upwards positive; None without a clear step.

    Parameters
    ----------
    signal : (n,) array
        Tilt, slope or deflection of the bar, in any unit and of either sign.
    empty, hang
        Grid points at which nobody holds the bar, and at which somebody hangs still.
    """
    before, still = signal[empty], signal[hang]
    if len(before) < 2 or len(still) < 2:
        return None
    level = float(np.median(still))
    step = level - float(np.median(before))
    scatter = max(_spread(before), _spread(still))
    return None if abs(step) <= _LEAST * scatter else np.asarray((signal - level) / step)


def _spread(x: FloatArray) -> float:
    """Median distance from the median, as the standard deviation of a normal law (× 1.4826)."""
    return 1.4826 * float(np.median(np.abs(x - np.median(x))))
