"""Filters that see both directions: small, vectorised, without state.

They are written in NumPy alone: SciPy's `signal` and `ndimage` take longer to import than a session takes to analyse.
The tests hold them against SciPy's.
"""

from __future__ import annotations

from functools import lru_cache
from math import pi, sqrt, tan

import numpy as np

from analysis.motion.samples import FloatArray

TWO_PASS_CORRECTION = (2.0**0.5 - 1.0) ** 0.25
"""Cut-off factor of a second-order Butterworth filter run twice, 0.8022 (Winter, Biomechanics of Human Movement)."""
_MUCH = 120_000
"""Products a column from which a kernel is quicker applied by way of its spectrum."""
_FORGOTTEN = 1e-9
"""Share of its impulse response at which a filter has forgotten."""


def low_pass(x: FloatArray, cutoff_hz: float, rate_hz: float) -> FloatArray:
    """Second-order Butterworth run forwards and backwards, −3 dB of both passes together at `cutoff_hz`.

    Both passes together are one symmetric kernel; the ends are continued by turning the signal about its end points.

    Parameters
    ----------
    x : (n,) or (n, k) array
        Filtered along the first axis; returned unchanged where the cut-off lies beyond what the rate can carry.
    """
    corrected = cutoff_hz / TWO_PASS_CORRECTION
    if corrected >= 0.48 * rate_hz or len(x) < 16:
        return x
    kernel = _kernel(corrected, rate_hz)
    reach = len(kernel) // 2
    pad = min(len(x) - 1, int(3 * rate_hz / cutoff_hz), reach)
    held = reach - pad
    wide = np.empty((len(x) + 2 * reach, *x.shape[1:]), order="F")
    wide[reach:-reach] = x
    wide[held:reach] = 2 * x[0] - x[pad:0:-1]
    wide[len(x) + reach : len(x) + reach + pad] = 2 * x[-1] - x[-2 : -pad - 2 : -1]
    if held:
        wide[:held], wide[-held:] = wide[held], wide[-held - 1]
    if len(kernel) * len(x) > _MUCH:
        return _by_spectrum(wide, kernel)
    if x.ndim == 1:
        return np.correlate(wide, kernel)
    out = np.empty(x.shape)
    for i in range(x.shape[1]):
        out[:, i] = np.correlate(wide[:, i], kernel)
    return out


def _by_spectrum(wide: FloatArray, kernel: FloatArray) -> FloatArray:
    """Correlate along the first axis with a long symmetric kernel, where both overlap wholly."""
    n = len(wide)
    size = 1 << (n - 1).bit_length()
    shape = (-1,) + (1,) * (wide.ndim - 1)
    spectrum = np.fft.rfft(wide, size, axis=0) * np.fft.rfft(kernel, size).reshape(shape)
    return np.ascontiguousarray(np.fft.irfft(spectrum, size, axis=0)[len(kernel) - 1 : n])


@lru_cache(maxsize=64)
def _kernel(cutoff_hz: float, rate_hz: float) -> FloatArray:
    """Impulse response of both passes: the one pass's correlated with itself.

    The one pass is the bilinear transform of 1 / (s² + √2 s + 1), its cut-off prewarped (Oppenheim & Schafer,
    Discrete-Time Signal Processing, ch. 7).
    """
    k = tan(pi * cutoff_hz / rate_hz)
    scale = 1.0 / (1.0 + sqrt(2.0) * k + k * k)
    b0 = k * k * scale
    a1, a2 = 2.0 * (k * k - 1.0) * scale, (1.0 - sqrt(2.0) * k + k * k) * scale
    response: list[float] = []
    last = before = 0.0
    force = [b0, 2.0 * b0, b0]
    while len(response) < 8 or abs(last) + abs(before) > _FORGOTTEN * b0:
        force_now = force[len(response)] if len(response) < 3 else 0.0
        last, before = force_now - a1 * last - a2 * before, last
        response.append(last)
    kernel = np.correlate(response, response, mode="full")
    return np.asarray(kernel / kernel.sum())


def box_mean(x: FloatArray, width: int) -> FloatArray:
    """Centred moving mean over `width` samples (made odd) along the first axis; the ends are held."""
    half = width // 2
    return _box_sums(x, half, 1) / (2 * half + 1) if half and len(x) else x


def smooth(x: FloatArray, sigma_s: float, rate_hz: float) -> FloatArray:
    """Bell-shaped mean of standard deviation `sigma_s`: three box means (close to a Gaussian, at constant cost)."""
    half = round((12 * (sigma_s * rate_hz) ** 2 / 3 + 1) ** 0.5) // 2
    if not half or not len(x):
        return x
    x = _box_sums(x, half, 3)
    x /= (2 * half + 1) ** 3
    return x


def _box_sums(x: FloatArray, half: int, times: int) -> FloatArray:
    """Sum over `half` samples to either side, as the difference of two running sums; so many `times`."""
    n = len(x)
    total = np.empty((n + 2 * half + 1, *x.shape[1:]))
    total[0] = 0.0
    before, inside, after = total[1 : half + 1], total[half + 1 : half + 1 + n], total[half + 1 + n :]
    upper, lower = total[2 * half + 1 :], total[:n]
    for _ in range(times):
        before[...], inside[...], after[...] = x[0], x, x[-1]
        np.add.accumulate(total, 0, None, total)
        x = upper - lower
    return x


def length(x: FloatArray) -> FloatArray:
    """Length of vectors along the last axis (NumPy's own norm costs several times as much for short arrays)."""
    return np.asarray(np.sqrt(along(x, x)))


def along(x: FloatArray, y: FloatArray) -> FloatArray:
    """Product of vectors along the last axis."""
    return np.asarray(np.einsum("...i,...i->...", x, y))


def unit(x: FloatArray) -> FloatArray:
    """Vectors of length 1 along the last axis; nothing stays nothing."""
    return np.asarray(x / np.maximum(length(x), 1e-6)[..., None])


def middle(x: FloatArray) -> FloatArray:
    """Median along the first axis of finite numbers (NumPy's own costs several times as much for short arrays)."""
    half = len(x) // 2
    if len(x) % 2:
        return np.asarray(np.partition(x, half, axis=0)[half])
    parted = np.partition(x, (half - 1, half), axis=0)
    return np.asarray(0.5 * (parted[half - 1] + parted[half]))


def median_of_five(x: FloatArray) -> FloatArray:
    """Return the moving median over five samples, shape (n,); the ends are mirrored, the end sample repeated.

    The least of five and the greatest cannot be their median: of two pairs, the lesser of the lesser and the greater
    of the greater go, and the middle of the remaining three is it (Knuth, The Art of Computer Programming, 5.3.3).
    """
    wide = np.concatenate([x[1::-1], x, x[:-3:-1]])
    a, b, c, d, e = (wide[i : i + len(x)] for i in range(5))
    low, high = np.maximum(np.minimum(a, b), np.minimum(c, d)), np.minimum(np.maximum(a, b), np.maximum(c, d))
    return np.asarray(np.maximum(np.minimum(low, high), np.minimum(np.maximum(low, high), e)))


def quick_power(x: FloatArray, slow_s: float, passes: int, over_s: float, rate_hz: float) -> FloatArray:
    """Mean square over `over_s` of what is left when a bell mean of `slow_s` is taken off `passes` times, shape (n,).

    Parameters
    ----------
    x : (n,) or (n, 3) array
        The squares of components are added.
    """
    for _ in range(passes):
        x = x - smooth(x, slow_s, rate_hz)
    square = x * x
    return np.maximum(box_mean(square if x.ndim == 1 else square.sum(axis=1), round(over_s * rate_hz)), 0.0)
