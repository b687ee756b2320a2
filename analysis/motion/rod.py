"""A sensor on something that swings about a point: its own acceleration is in the tilt that its force shows.

On a straight strap of length r the force across it is g sin θ + r θ'' (textbook pendulum): u = θ + c θ'' with c = r/g.
A free pendulum of that length shows no tilt at all. What belongs to θ is u / (1 − c ω²) at every frequency; near
c ω² = 1 nothing is left of it, and there it is not blown up. A gyro, which shows θ by itself, tells c.
"""

from __future__ import annotations

import numpy as np

from analysis.motion.filters import smooth
from analysis.motion.samples import BoolArray, FloatArray

_LOST = 0.6
"""Share of a movement that must be left in the force to be wholly believed; larger blows up less."""
_PAD_S = 4.0
_QUICK_S = 1.5
"""Slower differences are drift."""


def without_own_acceleration(force_m_s2: FloatArray, c_s2: float, rate_hz: float) -> FloatArray:
    """Return the force as it would be without the sensor's own acceleration, (n, 3).

    Parameters
    ----------
    c_s2
        Distance from the turning point below it over g; negative where it lies above.
    """
    if not c_s2 or len(force_m_s2) < 4:
        return force_m_s2
    x = force_m_s2
    n, pad = len(x), min(len(x) - 1, round(_PAD_S * rate_hz))
    wide = np.concatenate([2 * x[:1] - x[pad:0:-1], x, 2 * x[-1:] - x[-2 : -pad - 2 : -1]])
    omega = 2 * np.pi * np.fft.rfftfreq(len(wide), 1.0 / rate_hz)
    left = 1.0 - c_s2 * omega * omega
    gain = left / np.maximum(left * left, _LOST**2)
    return np.asarray(np.fft.irfft(np.fft.rfft(wide, axis=0) * gain[:, None], len(wide), axis=0)[pad : pad + n])


def rod_of(force_m_s2: FloatArray, direction: FloatArray, held: BoolArray, rate_hz: float) -> float:
    """Return c (s²) from what the force shows beside the true direction, over the grid points `held`.

    Parameters
    ----------
    force_m_s2, direction : (n, 3) array
        Specific force, and the unit vector against gravity from a gyro, both low-passed alike.
    """
    shown = force_m_s2 / np.maximum(np.linalg.norm(force_m_s2, axis=1), 1e-6)[:, None] - direction
    bent = np.gradient(np.gradient(direction, axis=0), axis=0) * rate_hz**2
    quick = shown - smooth(shown, _QUICK_S, rate_hz)
    total = float((bent[held] ** 2).sum())
    return float((quick[held] * bent[held]).sum()) / total if total > 0.0 else 0.0
