"""Filters that see both directions: small, vectorised, without state."""

from __future__ import annotations

import numpy as np
from scipy.signal import butter, sosfiltfilt

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
    sos = butter(2, corrected, fs=rate_hz, output="sos")
    return np.asarray(sosfiltfilt(sos, x, axis=0, padlen=min(len(x) - 1, int(3 * rate_hz / cutoff_hz))))


def box_mean(x: FloatArray, width: int) -> FloatArray:
    """Centred moving mean over `width` samples (made odd), shortened at both ends; along the first axis."""
    half = max(0, min(width // 2, len(x) - 1))
    total = np.concatenate([np.zeros((1, *x.shape[1:])), np.cumsum(x, axis=0)])
    index = np.arange(len(x))
    stop = np.minimum(index + half + 1, len(x))
    start = np.maximum(index - half, 0)
    count = (stop - start).reshape(-1, *([1] * (x.ndim - 1)))
    return np.asarray((total[stop] - total[start]) / count)


def smooth(x: FloatArray, sigma_s: float, rate_hz: float) -> FloatArray:
    """Bell-shaped mean of standard deviation `sigma_s`: three box means (close to a Gaussian, at constant cost)."""
    width = max(1, round((12 * (sigma_s * rate_hz) ** 2 / 3 + 1) ** 0.5))
    for _ in range(3):
        x = box_mean(x, width)
    return x
