"""Filters that see both directions: small, vectorised, without state."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from scipy.ndimage import uniform_filter1d
from scipy.signal import butter, sosfilt, sosfilt_zi

from analysis.motion.samples import FloatArray

TWO_PASS_CORRECTION = (2.0**0.5 - 1.0) ** 0.25
"""Cut-off factor of a second-order Butterworth filter run twice, 0.8022 (Winter, Biomechanics of Human Movement)."""


def low_pass(x: FloatArray, cutoff_hz: float, rate_hz: float) -> FloatArray:
    """Second-order Butterworth run forwards and backwards, −3 dB of both passes together at `cutoff_hz`.

    Parameters
    ----------
    x : (n, …) array
        Filtered along the first axis; returned unchanged where the cut-off lies beyond what the rate can carry.
    """
    corrected = cutoff_hz / TWO_PASS_CORRECTION
    if corrected >= 0.48 * rate_hz or len(x) < 16:
        return x
    pad = min(len(x) - 1, int(3 * rate_hz / cutoff_hz))
    sections, settled = _design(corrected, rate_hz)
    shape = (1, 2) + (1,) * (x.ndim - 1)
    wide = np.concatenate([2 * x[:1] - x[pad:0:-1], x, 2 * x[-1:] - x[-2 : -pad - 2 : -1]])
    forward, _ = sosfilt(sections, wide, axis=0, zi=settled.reshape(shape) * wide[:1][None])
    backward, _ = sosfilt(sections, forward[::-1], axis=0, zi=settled.reshape(shape) * forward[-1:][None])
    return np.asarray(backward[::-1][pad : pad + len(x)])


@lru_cache(maxsize=64)
def _design(cutoff_hz: float, rate_hz: float) -> tuple[FloatArray, FloatArray]:
    """Second-order sections and the state in which they have settled to one."""
    sections = butter(2, cutoff_hz, fs=rate_hz, output="sos")
    return sections, sosfilt_zi(sections)


def box_mean(x: FloatArray, width: int) -> FloatArray:
    """Centred moving mean over `width` samples (made odd) along the first axis; the ends are held."""
    return np.asarray(uniform_filter1d(x, 2 * (width // 2) + 1, axis=0, mode="nearest"))


def smooth(x: FloatArray, sigma_s: float, rate_hz: float) -> FloatArray:
    """Bell-shaped mean of standard deviation `sigma_s`: three box means (close to a Gaussian, at constant cost)."""
    width = max(1, round((12 * (sigma_s * rate_hz) ** 2 / 3 + 1) ** 0.5))
    for _ in range(3):
        x = box_mean(x, width)
    return x
