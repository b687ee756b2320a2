"""Smooth functions of time that carry their own derivatives, so that position, speed and acceleration always agree."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Jet:
    """A function of time at n moments, with its first and second derivative (sum, product and chain rule built in).

    Attributes
    ----------
    x, v, a : (n,) array
        Value, first derivative (1/s) and second derivative (1/s²).
    """

    x: FloatArray
    v: FloatArray
    a: FloatArray

    def __add__(self, other: Jet) -> Jet:
        return Jet(self.x + other.x, self.v + other.v, self.a + other.a)

    def __mul__(self, other: Jet | float) -> Jet:
        if not isinstance(other, Jet):
            return Jet(self.x * other, self.v * other, self.a * other)
        return Jet(
            self.x * other.x,
            self.v * other.x + self.x * other.v,
            self.a * other.x + 2 * self.v * other.v + self.x * other.a,
        )

    __rmul__ = __mul__

    def sin(self) -> Jet:
        """Return the sine of this angle (radians)."""
        sine, cosine = np.sin(self.x), np.cos(self.x)
        return Jet(sine, cosine * self.v, cosine * self.a - sine * self.v**2)

    def exp(self) -> Jet:
        """Return e to the power of this."""
        power = np.exp(self.x)
        return Jet(power, power * self.v, power * (self.a + self.v**2))


def constant(t_s: FloatArray, value: float = 0.0) -> Jet:
    """Return a constant at the moments `t_s`."""
    zero = np.zeros_like(t_s)
    return Jet(np.full_like(t_s, value), zero, zero)


def line(t_s: FloatArray, slope: float, offset: float = 0.0) -> Jet:
    """Return `slope` × t + `offset`."""
    return Jet(slope * t_s + offset, np.full_like(t_s, slope), np.zeros_like(t_s))


def wave(t_s: FloatArray, frequency_hz: float, phase_rad: float) -> Jet:
    """Return sin(2π f t + phase)."""
    return line(t_s, 2 * np.pi * frequency_hz, phase_rad).sin()


def minimum_jerk(t_s: FloatArray, start_s: float, duration_s: float, rise: float = 1.0) -> Jet:
    """Return the minimum-jerk step from 0 to `rise` between `start_s` and `start_s` + `duration_s`.

    Source: Flash & Hogan 1985, J Neurosci 5:1688: 10 τ³ − 15 τ⁴ + 6 τ⁵. Speed and acceleration are zero at both ends.
    """
    tau = np.clip((t_s - start_s) / duration_s, 0.0, 1.0)
    return Jet(
        rise * tau**3 * (10 - 15 * tau + 6 * tau**2),
        rise / duration_s * 30 * tau**2 * (1 - tau) ** 2,
        rise / duration_s**2 * 60 * tau * (1 - tau) * (1 - 2 * tau),
    )


def window(t_s: FloatArray, start_s: float, end_s: float, ramp_s: float) -> Jet:
    """Return 0 outside and 1 inside [start_s, end_s], with smooth ramps of `ramp_s` inside that stretch."""
    ramp_s = min(ramp_s, (end_s - start_s) / 2)
    return minimum_jerk(t_s, start_s, ramp_s) + minimum_jerk(t_s, end_s - ramp_s, ramp_s, -1.0)
