"""Closed-form motion for the tests: minimum-jerk strokes (Flash & Hogan 1985, J Neurosci 5:1688) put end to end."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from analysis.motion.parameters import STANDARD_GRAVITY_M_S2
from analysis.motion.samples import Samples

Array = NDArray[np.float64]
Step = tuple[float, float]
"""(height gained in m, seconds): a stroke, or a pause where the height is 0."""

REP: tuple[Step, ...] = ((0.45, 1.0), (0.0, 0.5), (-0.45, 1.5), (0.0, 0.8))
HALVED: tuple[Step, ...] = (
    (0.45, 1.0), (0.0, 0.6), (-0.22, 1.0), (0.0, 0.8), (0.22, 0.8), (0.0, 0.4), (-0.45, 1.5), (0.0, 0.8),
)  # fmt: skip


def minimum_jerk(t: Array, travel: float, duration_s: float) -> tuple[Array, Array, Array]:
    """Height, speed and acceleration of one stroke that starts at t = 0."""
    s = np.clip(t / duration_s, 0.0, 1.0)
    inside = (t >= 0) & (t <= duration_s)
    height = travel * (10 * s**3 - 15 * s**4 + 6 * s**5)
    speed = travel / duration_s * (30 * s**2 - 60 * s**3 + 30 * s**4) * inside
    return height, speed, travel / duration_s**2 * (60 * s - 180 * s**2 + 120 * s**3) * inside


def scene(
    steps: Sequence[Step], rate_hz: float = 100.0, *, lean_deg: float = 12.0, gyro: bool = False, seed: int = 1,
    noise_m_s2: float = 0.02, bias_m_s2: float = 0.1, tremor_m_s2: float = 0.0, base_deg: float = 20.0,
) -> tuple[Samples, list[float]]:  # fmt: skip
    """Samples of a trunk that follows `steps`, and the start time of each step.

    It leans by `base_deg` against the vertical, and by `lean_deg` more per .45 m of height.
    """
    starts = np.concatenate([[0.0], np.cumsum([s for _, s in steps])])
    t = np.arange(0.0, starts[-1], 1.0 / rate_hz)
    height, acceleration = np.zeros_like(t), np.zeros_like(t)
    for (travel, duration_s), start in zip(steps, starts[:-1], strict=True):
        if travel:
            h, _, a = minimum_jerk(t - start, travel, duration_s)
            height += h
            acceleration += a
    lean = np.radians(base_deg + lean_deg * height / 0.45)
    size = STANDARD_GRAVITY_M_S2 + acceleration
    random = np.random.default_rng(seed)
    force = np.column_stack([size * np.sin(lean), np.zeros_like(t), size * np.cos(lean)])
    force += bias_m_s2 * np.array([0.6, -0.5, 0.6]) + noise_m_s2 * random.standard_normal(force.shape)
    force += tremor_m_s2 * np.sin(2 * np.pi * 9.0 * t)[:, None]
    rate = np.column_stack([np.zeros_like(t), -np.gradient(lean, t), np.zeros_like(t)]) if gyro else None
    return Samples(t, force, rate), starts.tolist()


def walking(seconds: float, rate_hz: float = 100.0, step_hz: float = 1.9, seed: int = 2) -> Samples:
    """Someone walking: 4 cm of vertical travel at each step, as a belt feels it (common knowledge of gait)."""
    t = np.arange(0.0, seconds, 1.0 / rate_hz)
    bob = 0.02 * (2 * np.pi * step_hz) ** 2 * np.sin(2 * np.pi * step_hz * t)
    sway = 0.8 * np.sin(np.pi * step_hz * t)
    random = np.random.default_rng(seed)
    force = np.column_stack([sway, 0.3 * np.cos(np.pi * step_hz * t), STANDARD_GRAVITY_M_S2 + bob])
    return Samples(t, force + 0.05 * random.standard_normal(force.shape))


def pendulum(
    seconds: float, rate_hz: float = 100.0, *, length_m: float, at: float = 1.0, degrees: float = 15.0,
    decay_s: float = 1e9, still_s: float = 4.0, gyro: bool = False, seed: int = 3,
) -> Samples:  # fmt: skip
    """A free pendulum, let go after `still_s`: its sensor sits at the share `at` of its length, z along the rod.

    Specific force of a mass point that swings by θ: g cos θ + r θ'² along the rod, g sin θ + r θ'' across it.
    """
    t = np.arange(0.0, still_s + seconds, 1.0 / rate_hz)
    angle, rate = np.full_like(t, np.radians(degrees)), np.zeros_like(t)
    step = 1.0 / rate_hz / 4
    x, v = float(angle[0]), 0.0
    for i in range(int(still_s * rate_hz), len(t)):
        angle[i], rate[i] = x, v
        for _ in range(4):
            v -= (STANDARD_GRAVITY_M_S2 / length_m * np.sin(x) + 2 / decay_s * v) * step
            x += v * step
    random = np.random.default_rng(seed)
    along = STANDARD_GRAVITY_M_S2 * np.cos(angle) + at * length_m * rate**2
    across = STANDARD_GRAVITY_M_S2 * np.sin(angle) + at * length_m * np.gradient(rate, t)
    force = np.column_stack([across, np.zeros_like(t), along]) + 0.02 * random.standard_normal((len(t), 3))
    turn = np.column_stack([np.zeros_like(t), -rate, np.zeros_like(t)]) + 0.001 * random.standard_normal(force.shape)
    return Samples(t, force, turn if gyro else None)


def after(*parts: Samples) -> Samples:
    """Scenes one after the other."""
    t, end = [], 0.0
    for part in parts:
        t.append(part.t_s - part.t_s[0] + end)
        end = float(t[-1][-1] + part.t_s[1] - part.t_s[0])
    return Samples(np.concatenate(t), np.vstack([p.force_m_s2 for p in parts]))


def cut(samples: Samples, at: Sequence[int]) -> list[Samples]:
    """The same stream in pieces."""
    edges = [0, *sorted(at), len(samples)]
    rate = samples.rate_rad_s
    return [
        Samples(samples.t_s[a:b], samples.force_m_s2[a:b], None if rate is None else rate[a:b])
        for a, b in pairwise(edges)
    ]
