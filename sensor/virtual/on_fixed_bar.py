"""A sensor on a bar that stays: it bends under the load and rolls a little with the wrists. No travel reaches it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sensor.virtual.course import Deed
from sensor.virtual.jets import FloatArray
from sensor.virtual.mounted import (
    DEGREE,
    Mounted,
    Scene,
    as_motion,
    hand_load,
    hang_swing,
    knocks,
    pendulum_hz,
    tracks,
    tremor,
)
from sensor.virtual.plan import Rng
from sensor.virtual.tracks import FINE_HZ, band_noise, lag, resonate, wander


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar, where the sensor sits on it, and how it is used.

    Attributes
    ----------
    slope_rad, sag_m
        Tilt and lowering at the sensor under one body weight at rest.
    flex_hz, flex_damping
        Of the bar as a spring.
    roll_rad, roll_follow, roll_lag_s
        How far it rolls with the wrists over a stroke, the share that follows at once, and how late the rest is.
    share
        Of the body weight on the hands, at the bottom and at the top.
    vertical
        Cosine of the inclination of the body's path.
    swing_hz, swing_damping, swing_rad
        Of the hang as a pendulum.
    """

    slope_rad: float
    sag_m: float
    flex_hz: float
    flex_damping: float
    roll_rad: float
    roll_follow: float
    roll_lag_s: float
    share: tuple[float, float]
    vertical: float
    swing_hz: float
    swing_damping: float
    swing_rad: float


def beam_slope(load_n: float, span_m: float, stiffness_n_m2: float, at_m: float = 0.0) -> float:
    """Return the slope of a simply supported bar loaded in the middle, rad, at `at_m` from a support.

    Parameters
    ----------
    stiffness_n_m2
        E I; a round bar has I = π d⁴ / 64.

    Notes
    -----
    P (L² − 4x²) / 16 E I up to the middle, from the usual beam tables: P L² / 16 E I at the support, none at midspan.
    """
    if not 0 <= at_m <= span_m / 2:
        raise ValueError("the place must lie between a support and the middle of the bar")
    return load_n * (span_m**2 - 4 * at_m**2) / (16 * stiffness_n_m2)


def beam_sag(load_n: float, span_m: float, stiffness_n_m2: float, at_m: float) -> float:
    """Return how far the same bar is bent down, m: P x (3L² − 4x²) / 48 E I, in the middle P L³ / 48 E I."""
    if not 0 <= at_m <= span_m / 2:
        raise ValueError("the place must lie between a support and the middle of the bar")
    return load_n * at_m * (3 * span_m**2 - 4 * at_m**2) / (48 * stiffness_n_m2)


def draw_bar(rng: Rng) -> Bar:
    """Draw a bar; every range is invented, and meant to be wider than life."""
    span_m, place = rng.uniform(0.6, 2.2), rng.uniform(0.03, 0.46)
    middle_m = 10 ** rng.uniform(-3.6, -1.8)
    soft = middle_m / beam_sag(1.0, span_m, 1.0, span_m / 2)  # body weight over stiffness that gives this sag
    clamped = 10 ** rng.uniform(-0.7, 0)  # ends that are held turn less
    moving_share = rng.uniform(1.5, 15)  # body weight over what swings with the bar: arms hold the body loosely
    hung = rng.random() < 0.5
    bottom = rng.uniform(0.3, 0.95)
    return Bar(
        slope_rad=clamped * beam_slope(soft, span_m, 1.0, place * span_m),
        sag_m=beam_sag(soft, span_m, 1.0, place * span_m),
        flex_hz=min(60.0, pendulum_hz(middle_m) * np.sqrt(moving_share)),  # √(k / m) / 2π, where m g = k × sag
        flex_damping=float(np.exp(rng.uniform(np.log(0.01), np.log(0.08)))),
        roll_rad=rng.choice([-1, 1]) * 10 ** rng.uniform(-1.3, 0.9) * DEGREE if rng.random() < 0.85 else 0.0,
        roll_follow=rng.uniform(0, 1),
        roll_lag_s=rng.uniform(0.05, 0.8),
        share=(1.0, 1.0) if hung else (bottom, float(np.clip(bottom + rng.normal() * 0.25, 0.2, 1.0))),
        vertical=1.0 if hung else np.cos(rng.uniform(0, 60) * DEGREE),
        swing_hz=1 / rng.uniform(1.3, 3.0),
        swing_damping=rng.uniform(0.01, 0.15),
        swing_rad=abs(rng.normal()) * (4 if hung else 1) * DEGREE,
    )


def on_fixed_bar(scene: Scene, bar: Bar, rng: Rng) -> Mounted:
    """Return how the sensor on a fixed bar moves through a session."""
    channels = tracks(scene)
    forward, _, height, roll, pitch, _ = channels
    swing = hang_swing(scene, bar.swing_hz, bar.swing_damping, bar.swing_rad, rng)
    load = hand_load(scene, rng, bar.share, bar.vertical)
    load += scene.contact * _pendulum_load(swing, bar.swing_hz)
    bent = resonate(load, bar.flex_hz, bar.flex_damping)
    pitch.x += bar.slope_rad * bent
    height.x -= bar.sag_m * bent
    forward.x += bar.sag_m * rng.uniform(0, 0.5) * swing
    roll.x += _wrists(scene, bar, rng) + rng.uniform(0, 0.8) * (abs(bar.roll_rad) + bar.slope_rad) * swing * 4
    for grip in scene.course.grips:
        turn = rng.normal() * 1.2 * DEGREE * rng.uniform(0, 1)
        roll.step(grip.mount_s, grip.hang_s - grip.mount_s, turn)
        roll.step(grip.off_s, max(0.15, grip.free_s - grip.off_s), -turn * rng.uniform(0.5, 1.1))
    for act in scene.acts(Deed.ADJUST, Deed.CHALK, Deed.LEAN):
        n = int((act.end_s - act.start_s) * FINE_HZ) + 2
        if rng.random() < 0.4:
            handled = 10 ** rng.uniform(-1.5, 0.5) * DEGREE
            roll.during(act.start_s, act.end_s, handled * wander(rng, n, rng.uniform(0.3, 4)))
            pitch.during(act.start_s, act.end_s, 0.2 * handled * wander(rng, n, rng.uniform(0.3, 2)))
    for act in scene.acts(Deed.MOVE_OVER):
        if rng.random() < 0.4:
            roll.step(act.start_s, act.end_s - act.start_s, rng.normal() * 8 * DEGREE)
    shake = tremor(scene, rng, 0.003, 1.0, 100) + knocks(scene, rng, 20.0) + _room(scene, rng)
    return Mounted(as_motion(channels), shake)


def _pendulum_load(swing_rad: FloatArray, hz: float) -> FloatArray:
    """Return what a swing adds to the load, body weights: cos θ − 1 + θ'² / ω², since ω² = g / l."""
    rate = np.gradient(swing_rad) * FINE_HZ
    return np.asarray(np.cos(swing_rad) - 1 + (rate / (2 * np.pi * hz)) ** 2, dtype=np.float64)


def _wrists(scene: Scene, bar: Bar, rng: Rng) -> FloatArray:
    """Return the roll with the wrists: partly at once with the stroke, partly behind it, and creeping."""
    share = scene.travel.x / scene.reach_m
    changing = 1 + rng.uniform(0, 0.5) * scene.wander(rng, 0.15)
    late = lag(lag(share, bar.roll_lag_s / 2), bar.roll_lag_s / 2)
    rolled = bar.roll_rad * changing * (bar.roll_follow * share + (1 - bar.roll_follow) * late)
    bend = 1 + rng.normal() * 0.4 * share
    creep = scene.contact * rng.uniform(0, 0.25) * (abs(bar.roll_rad) + 0.03 * DEGREE)
    result: FloatArray = rolled * bend + creep * scene.wander(rng, rng.uniform(0.05, 0.4))
    return result


def _room(scene: Scene, rng: Rng) -> FloatArray:
    """Return what the building and other people put into the bar, (n, 3) m/s²."""
    hum = band_noise(rng, scene.samples, rng.uniform(4, 10), rng.uniform(20, 60))
    share: FloatArray = rng.uniform(0, 0.01) * hum[:, None] * rng.normal(size=3)
    return share
