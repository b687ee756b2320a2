"""Height, speed and bias from vertical acceleration, as one banded least-squares problem.

The unknowns are height h, speed v and acceleration bias b at every grid point. Rows of the problem: the motion model
between neighbours, a slowly walking bias, and pseudo-measurements of speed and height, each with its own standard
deviation. Its solution is what a Rauch–Tung–Striebel smoother gives for the same Gaussian model (Rauch, Tung & Striebel
1965, AIAA J. 3:1445), in one call of LAPACK's banded Cholesky solver.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.motion.banded import dpbsv
from analysis.motion.samples import FloatArray

_TIE_M = 2e-4
"""Standard deviation of h' = v per step: how far the discrete model may be off (keeps the problem well conditioned)."""


@dataclass(frozen=True, slots=True, eq=False)
class Pseudo:
    """Pseudo-measurements of one quantity: value and standard deviation at every grid point (infinite: none)."""

    value: FloatArray
    sd: FloatArray


@dataclass(frozen=True, slots=True, eq=False)
class Smoothed:
    """Height (m), speed (m/s) and acceleration bias (m/s²), each of shape (n,)."""

    height_m: FloatArray
    speed_m_s: FloatArray
    bias_m_s2: FloatArray


@dataclass(frozen=True, slots=True, eq=False)
class Problem:
    """Normal equations of a smoothing problem: they are solved as they are, or with more heights known.

    Attributes
    ----------
    band : (n, 3, 6) array
        `band[k, i, d]` belongs to the unknown i (h, v, b) of point k and the one d places after it.
    right : (n, 3) array
    """

    band: FloatArray
    right: FloatArray

    def solved(self, *heights: Pseudo) -> Smoothed:
        """Solve for height, speed and bias, with `heights` measured besides."""
        band, right = self.band.copy(), self.right.copy()
        for height in heights:
            _measure(band, right, 0, height)
        # The rows of `band` are the columns of LAPACK's lower band form.
        _, x, info = dpbsv(band.reshape(-1, 6).T, right.reshape(-1), lower=1, overwrite_ab=1, overwrite_b=1)
        if info:
            raise np.linalg.LinAlgError(f"the motion problem is not positive definite (LAPACK's dpbsv: {info})")
        state = np.asarray(x).reshape(-1, 3)
        return Smoothed(*np.ascontiguousarray(state.T))


def posed(
    acceleration_m_s2: FloatArray,
    step_s: float,
    force_sd_m_s2: FloatArray,
    bias_walk_m_s2: FloatArray,
    speed: Pseudo,
    heights: tuple[Pseudo, ...],
) -> Problem:
    """Pose the problem of height, speed and bias.

    Parameters
    ----------
    acceleration_m_s2 : (n,) array
        Upward acceleration, gravity removed, biased.
    step_s
        Grid step.
    force_sd_m_s2 : (n,) array
        How far the acceleration may be off, per sample; inflate it across holes.
    bias_walk_m_s2 : (n,) array
        Walk of the bias, m/s² per √s.
    speed, heights
        Pseudo-measurements.
    """
    band, right = _motion(acceleration_m_s2, step_s, force_sd_m_s2, bias_walk_m_s2)
    _measure(band, right, 1, speed)
    for height in heights:
        _measure(band, right, 0, height)
    band[:, 2, 0] += 1.0 / 1.0**2 / len(acceleration_m_s2)
    return Problem(band, right)


def _measure(band: FloatArray, right: FloatArray, unknown: int, pseudo: Pseudo) -> None:
    weight = 1.0 / (pseudo.sd * pseudo.sd)
    band[:, unknown, 0] += weight
    right[:, unknown] += weight * pseudo.value


def _motion(a: FloatArray, step_s: float, force_sd: FloatArray, walk: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the normal equations of the motion model alone, as of `Problem`.

    Rows between k and k+1, with mean acceleration A of the two:
    h' − h − step (v + v')/2 = 0;  v' − v + step (b + b')/2 = step A;  b' − b = 0.
    """
    n = len(a)
    half = step_s / 2
    tie = _TIE_M**-2
    mean = 0.5 * (a[1:] + a[:-1]) * step_s
    sd = 0.5 * (force_sd[1:] + force_sd[:-1]) * step_s
    force, bias = 1.0 / (sd * sd), 1.0 / (walk[1:] * walk[1:] * step_s)
    band, right = np.zeros((n, 3, 6)), np.zeros((n, 3))
    here, following = band[:-1], band[1:]
    here += tie * np.array(
        [[1.0, half, 0.0, -1.0, half, 0.0], [half * half, 0.0, -half, half * half, 0.0, 0.0], [0.0] * 6]
    )
    following[:, 0, 0] += tie
    following[:, 0, 1] -= tie * half
    following[:, 1, 0] += tie * half * half
    tilted, bent = half * force, half * half * force
    here[:, 1, 0] += force
    here[:, 1, 1] -= tilted
    here[:, 1, 3] -= force
    here[:, 1, 4] -= tilted
    here[:, 2, 0] += bent + bias
    here[:, 2, 2] += tilted
    here[:, 2, 3] += bent - bias
    following[:, 1, 0] += force
    following[:, 1, 1] += tilted
    following[:, 2, 0] += bent + bias
    push = force * mean
    right[:-1, 1] -= push
    right[:-1, 2] += half * push
    right[1:, 1] += push
    right[1:, 2] += half * push
    return band, right
