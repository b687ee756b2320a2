"""Channels of a long motion, sampled finely and built up piece by piece; and the linear systems they pass through."""

from __future__ import annotations

import numpy as np
from scipy.interpolate import CubicSpline
from scipy.signal import bilinear, butter, lfilter, lfilter_zi, sosfilt

from sensor.virtual.jets import FloatArray, Jet
from sensor.virtual.plan import Rng

FINE_HZ = 250.0
"""Rate of the fine grid: five times the fastest vibration that is modelled as motion (tremor and flex, below 25 Hz)."""
ONSET_PERIODS = 0.5
"""A damped oscillation grows over half of its period, because no excitation is a true impulse."""


def minimum_jerk_step(tau: FloatArray) -> FloatArray:
    """Return 10 τ³ − 15 τ⁴ + 6 τ⁵ of the shares τ, 0 before 0 and 1 after 1 (Flash & Hogan 1985)."""
    tau = np.clip(tau, 0, 1)
    step: FloatArray = tau**3 * (10 - 15 * tau + 6 * tau**2)
    return step


class Track:
    """One channel of motion on the fine grid, written in place.

    Attributes
    ----------
    x : (n,) array
        The channel so far; metres, radians or m/s², as the user of the track decides.
    """

    __slots__ = ("x",)

    def __init__(self, samples: int) -> None:
        self.x: FloatArray = np.zeros(samples)

    def step(self, start_s: float, duration_s: float, rise: float) -> None:
        """Add a minimum-jerk step (Flash & Hogan 1985) that stays."""
        i, j = self._slice(start_s, start_s + duration_s)
        self.x[i:j] += rise * minimum_jerk_step((np.arange(i, j) / FINE_HZ - start_s) / duration_s)
        self.x[j:] += rise

    def bump(self, start_s: float, end_s: float, rise: float, ramp_s: float) -> None:
        """Add a stretch of `rise` with smooth ramps of `ramp_s` inside it."""
        ramp_s = min(ramp_s, (end_s - start_s) / 2)
        self.step(start_s, ramp_s, rise)
        self.step(end_s - ramp_s, ramp_s, -rise)

    def ring(self, start_s: float, hz: float, damping: float, size: float) -> None:
        """Add a damped oscillation, followed until a hundredth of its size is left."""
        lasting_s = np.log(100) / (2 * np.pi * hz * max(damping, 1e-3))
        i, j = self._slice(start_s, start_s + lasting_s)
        since = np.arange(i, j) / FINE_HZ - start_s
        onset = minimum_jerk_step(since * hz / ONSET_PERIODS) * minimum_jerk_step(5 * (1 - since / lasting_s))
        decay = np.exp(-2 * np.pi * hz * damping * since)
        self.x[i:j] += size * onset * decay * np.sin(2 * np.pi * hz * np.sqrt(1 - damping**2) * since)

    def during(self, start_s: float, end_s: float, values: FloatArray, ramp_s: float = 0.5) -> None:
        """Add `values` (at least as many as the stretch has samples), faded in and out."""
        i, j = self._slice(start_s, end_s)
        edge = np.minimum(np.arange(1, j - i + 1), np.arange(j - i, 0, -1)) / (FINE_HZ * ramp_s)
        self.x[i:j] += values[: j - i] * minimum_jerk_step(edge)

    def jet(self) -> Jet:
        """Return the channel with its derivatives."""
        return sampled(self.x)

    def _slice(self, start_s: float, end_s: float) -> tuple[int, int]:
        i, j = (int(np.clip(np.ceil(at_s * FINE_HZ), 0, len(self.x))) for at_s in (start_s, end_s))
        return i, max(i, j)


def sampled(x: FloatArray) -> Jet:
    """Return a channel on the fine grid with its derivatives by central differences."""
    acceleration = np.zeros_like(x)
    acceleration[1:-1] = (x[2:] - 2 * x[1:-1] + x[:-2]) * FINE_HZ**2
    return Jet(x, np.gradient(x) * FINE_HZ, acceleration)


def wander(rng: Rng, samples: int, hz: float) -> FloatArray:
    """Return a smooth random course of unit size: a cubic spline through random heights, two a period of `hz`."""
    knots = int(np.ceil(samples / FINE_HZ * 2 * hz)) + 4
    course = CubicSpline(np.arange(knots), rng.normal(size=knots))
    return np.asarray(course(np.arange(samples) / FINE_HZ * 2 * hz + 1), dtype=np.float64)


def band_noise(rng: Rng, samples: int, low_hz: float, high_hz: float) -> FloatArray:
    """Return noise of unit root mean square between two frequencies."""
    sos = butter(2, [low_hz, high_hz], btype="band", fs=FINE_HZ, output="sos")
    noise = np.asarray(sosfilt(sos, rng.normal(size=samples + 250))[250:], dtype=np.float64)
    scaled: FloatArray = noise / (noise.std() + 1e-12)
    return scaled


def resonate(x: FloatArray, hz: float, damping: float) -> FloatArray:
    """Pass `x` through a mass on a spring and damper (gain 1 at rest, 1 / 2ζ at resonance), at rest in the beginning.

    The bilinear rule with the frequency pre-warped keeps the resonance where it is.
    """
    omega = 2 * FINE_HZ * np.tan(np.pi * hz / FINE_HZ)
    b, a = bilinear([omega**2], [1, 2 * damping * omega, omega**2], FINE_HZ)
    y, _ = lfilter(b, a, x, zi=lfilter_zi(b, a) * x[0])
    return np.asarray(y, dtype=np.float64)


def lag(x: FloatArray, seconds: float) -> FloatArray:
    """Pass `x` through a first-order lag."""
    keep = float(np.exp(-1 / (FINE_HZ * seconds)))
    y, _ = lfilter([1 - keep], [1, -keep], x, zi=[keep * x[0]])
    return np.asarray(y, dtype=np.float64)
