"""A sensor on a strap, ring or rope: it shows where the hands pull the strap to, and hardly how hard."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sensor.virtual.body import BodyMotion
from sensor.virtual.course import Act, Deed, Grip
from sensor.virtual.jets import Jet, constant
from sensor.virtual.mounted import (
    DEGREE,
    Mounted,
    Scene,
    hand_load,
    hang_swing,
    knocks,
    pendulum_hz,
    tremor,
)
from sensor.virtual.plan import Rng
from sensor.virtual.tracks import FINE_HZ, Track, resonate, sampled, wander


@dataclass(frozen=True, slots=True)
class Strap:
    """A strap, where the sensor sits on it, and how it is used.

    Attributes
    ----------
    clip_m
        From the anchor to the sensor, of `length_m` in all.
    free_hz, free_damping
        Of the strap swinging by itself.
    lean_rad, across_rad
        How far it is pulled out of the plumb line in the hang, in the two directions.
    follow_rad, bend
        How much farther over a whole stroke, and how much more near the top.
    stretch_m
        Under one body weight at rest; it makes the strap a spring of √(g / stretch) rad/s.
    stretch_damping
        Of that spring with the body on it.
    turn_rad
        How far it twists about itself over a stroke.
    share, vertical
        See `hand_load`.
    swing_hz, swing_damping, swing_rad
        Of the loaded hang.
    """

    length_m: float
    clip_m: float
    free_hz: float
    free_damping: float
    lean_rad: float
    across_rad: float
    follow_rad: float
    bend: float
    stretch_m: float
    stretch_damping: float
    turn_rad: float
    share: tuple[float, float]
    vertical: float
    swing_hz: float
    swing_damping: float
    swing_rad: float


def draw_strap(rng: Rng) -> Strap:
    """Draw a strap; every range is invented, and meant to be wider than life."""
    length = rng.uniform(0.7, 2.6)
    hung = rng.random() < 0.5
    bottom = rng.uniform(0.25, 0.95)
    return Strap(
        length_m=length,
        clip_m=length * rng.uniform(0.15, 1.0),
        free_hz=1 / rng.uniform(1.2, 1.8) if rng.random() < 0.5 else pendulum_hz(length * rng.uniform(0.6, 1.0)),
        free_damping=rng.uniform(0.01, 0.12),
        lean_rad=rng.normal() * (4 if hung else 20) * DEGREE,
        across_rad=rng.normal() * 3 * DEGREE,
        follow_rad=rng.choice([-1, 1]) * 10 ** rng.uniform(-0.7, 1.18) * DEGREE,
        bend=rng.normal() * 0.5,
        stretch_m=10 ** rng.uniform(-3, -1.5),
        stretch_damping=rng.uniform(0.1, 0.5),
        turn_rad=rng.normal() * 12 * DEGREE if rng.random() < 0.5 else 0.0,
        share=(1.0, 1.0) if hung else (bottom, float(np.clip(bottom + rng.normal() * 0.25, 0.2, 1.0))),
        vertical=1.0 if hung else np.cos(rng.uniform(0, 60) * DEGREE),
        swing_hz=1 / rng.uniform(1.3, 3.2),
        swing_damping=rng.uniform(0.01, 0.15),
        swing_rad=abs(rng.normal()) * 3 * DEGREE,
    )


def on_strap(scene: Scene, strap: Strap, rng: Rng) -> Mounted:
    """Return how the sensor on a strap moves through a session."""
    along, across, twist = (Track(scene.samples) for _ in range(3))
    _pull(along, across, twist, scene, strap, rng)
    for grip in scene.course.grips:
        _take_and_let_go(along, across, twist, grip, strap, rng)
    _draught(along, across, twist, scene, rng)
    for act in scene.course.acts:
        _idle(along, across, twist, act, strap, rng)
    stretch = strap.stretch_m * strap.clip_m / strap.length_m
    spring_hz = min(25.0, pendulum_hz(strap.stretch_m))  # √(k / m) / 2π, where m g = k × stretch
    sunk = resonate(hand_load(scene, rng, strap.share, strap.vertical), spring_hz, strap.stretch_damping)
    radius = sampled(strap.clip_m + stretch * sunk)
    shake = tremor(scene, rng, 0.005, 1.2, 100) + knocks(scene, rng, 25.0)
    return Mounted(strap_motion(radius, along.jet(), across.jet()), shake, twist.jet())


def strap_motion(radius: Jet, along: Jet, across: Jet) -> BodyMotion:
    """Return the motion of a clip on a straight strap below its anchor.

    Parameters
    ----------
    radius
        From the anchor to the clip, m.
    along, across
        Angle out of the plumb line forward, and then sideways, rad.
    """
    right = constant(along.x, np.pi / 2)
    plumb = (across + right).sin()
    return BodyMotion(
        forward=radius * along.sin() * plumb,
        sideways=radius * across.sin(),
        height=radius * (along + right).sin() * plumb * -1.0,
        roll=across,
        pitch=along * -1.0,
        yaw=constant(along.x),
    )


def _pull(along: Track, across: Track, twist: Track, scene: Scene, strap: Strap, rng: Rng) -> None:
    """Follow the hands, which go forward or back with the stroke, and swing with the body."""
    share = scene.travel.x / scene.reach_m
    changing = 1 + rng.uniform(0, 0.4) * scene.wander(rng, 0.15)
    along.x += strap.follow_rad * share * (1 + strap.bend * share) * changing
    across.x += rng.normal() * 2 * DEGREE * share * changing
    twist.x += strap.turn_rad * share * changing
    swing = hang_swing(scene, strap.swing_hz, strap.swing_damping, strap.swing_rad, rng)
    along.x += rng.uniform(0.2, 1.0) * swing
    across.x += rng.normal() * 0.4 * hang_swing(scene, strap.swing_hz, strap.swing_damping, strap.swing_rad, rng)
    give = rng.uniform(0, 0.25) * (abs(strap.follow_rad) + 0.3 * DEGREE)
    along.x += scene.contact * give * scene.wander(rng, rng.uniform(0.05, 0.5))
    across.x += scene.contact * 10 ** rng.uniform(-1.5, 0) * DEGREE * scene.wander(rng, rng.uniform(0.05, 0.5))
    twist.x += scene.contact * rng.uniform(0, 3) * DEGREE * scene.wander(rng, rng.uniform(0.1, 1.5))


def _draught(along: Track, across: Track, twist: Track, scene: Scene, rng: Rng) -> None:
    """Drift while nobody holds the strap: air moves it and people brush past it."""
    free = 1 - scene.contact
    for track, extent in ((along, 4.0), (across, 4.0), (twist, 25.0)):
        size = 10 ** rng.uniform(-2, 0) * extent * DEGREE
        track.x += size * free * scene.wander(rng, rng.uniform(0.02, 0.3))


def _take_and_let_go(along: Track, across: Track, twist: Track, grip: Grip, strap: Strap, rng: Rng) -> None:
    """Pull the strap out of its plumb line and let it swing by itself afterwards."""
    taking_s = min(grip.hang_s - grip.mount_s, rng.uniform(0.4, 2.5))
    leaving_s = max(0.25, grip.free_s - grip.off_s)
    for track, lean in (
        (along, strap.lean_rad * rng.uniform(0.85, 1.15)),
        (across, strap.across_rad + rng.normal() * DEGREE),
        (twist, rng.normal() * 0.3),
    ):
        track.step(grip.hang_s - taking_s, taking_s, lean)
        track.step(grip.off_s, leaving_s, -lean)
    along.ring(grip.mount_s, rng.uniform(1, 3), rng.uniform(0.1, 0.4), rng.normal() * 2 * DEGREE)
    size = rng.choice([-1, 1]) * 10 ** rng.uniform(-1, 1.18) * DEGREE
    _swing_free(along, across, twist, grip.free_s - 0.15, size, strap, rng)


def _swing_free(
    along: Track, across: Track, twist: Track, start_s: float, size_rad: float, strap: Strap, rng: Rng
) -> None:
    """Swing by itself; a light strap flutters on top."""
    along.ring(start_s, strap.free_hz, strap.free_damping, size_rad)
    across.ring(start_s, strap.free_hz * rng.uniform(0.93, 1.07), strap.free_damping, size_rad * rng.normal() * 0.6)
    twist.ring(start_s, rng.uniform(0.3, 1.2), 0.05, 10 ** rng.uniform(-2.5, -0.15))
    along.ring(start_s, rng.uniform(3, 9), rng.uniform(0.03, 0.15), size_rad * rng.uniform(0, 0.08))
    across.ring(start_s, rng.uniform(3, 9), rng.uniform(0.03, 0.15), size_rad * rng.uniform(0, 0.08))


def _idle(along: Track, across: Track, twist: Track, act: Act, strap: Strap, rng: Rng) -> None:
    """Adjust, push, knock and swing a strap that nobody hangs on."""
    if act.deed in (Deed.SWING, Deed.KNOCK):
        _swing_free(along, across, twist, act.start_s, rng.uniform(0.3, 14) * DEGREE, strap, rng)
    elif act.deed in (Deed.ADJUST, Deed.LEAN, Deed.CHALK) and rng.random() < 0.6:
        n = int((act.end_s - act.start_s) * FINE_HZ) + 2
        size = 10 ** rng.uniform(-0.7, 1.2) * DEGREE
        for track, extent in ((along, 1.0), (across, 1.0), (twist, 2.0)):
            track.during(act.start_s, act.end_s, extent * size * wander(rng, n, rng.uniform(0.3, 1.5)))
    elif act.deed in (Deed.DIP, Deed.PICK_UP) and rng.random() < 0.5:
        lean = rng.normal() * 12 * DEGREE
        along.bump(act.start_s, act.end_s, lean, (act.end_s - act.start_s) * rng.uniform(0.3, 0.5))
    elif act.deed is Deed.MOVE_OVER and rng.random() < 0.3:
        twist.step(act.start_s, act.end_s - act.start_s, rng.normal())
