"""What every mount shares: the moving rigid body that the sensor is clipped to, and how hands load what they hold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sensor.virtual.body import BodyMotion
from sensor.virtual.course import Act, Course, Deed, Grip, contact, travel
from sensor.virtual.jets import FloatArray, Jet
from sensor.virtual.plan import Rng
from sensor.virtual.tracks import FINE_HZ, Track, band_noise, resonate, wander
from sensor.virtual.trainee import STANDARD_GRAVITY_M_S2

DEGREE = np.pi / 180


@dataclass(frozen=True, slots=True, eq=False)
class Mounted:
    """The motion of what the sensor sits on, and the shaking on top.

    Attributes
    ----------
    motion
        Position and attitude on the fine grid.
    shake_m_s2 : (n, 3) array
        Tremor and rattling, as acceleration in the axes of the body.
    twist
        Turning of the sensor about the third axis of the body, rad: that of a strap about itself.
    """

    motion: BodyMotion
    shake_m_s2: FloatArray
    twist: Jet | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """A course, and what follows from it for every mount.

    Attributes
    ----------
    travel
        Along the path, metres.
    contact : (n,) array
        Share of the full load that the hands have taken.
    reach_m
        The longest way of the hands.
    """

    course: Course
    travel: Jet
    contact: FloatArray
    reach_m: float

    @property
    def samples(self) -> int:
        """Length on the fine grid."""
        return len(self.contact)

    def acts(self, *deeds: Deed) -> list[Act]:
        """Return what is done of these kinds."""
        return [act for act in self.course.acts if act.deed in deeds]

    def wander(self, rng: Rng, hz: float) -> FloatArray:
        """Return a random course over the whole session (see `tracks.wander`)."""
        return wander(rng, self.samples, hz)


def set_scene(course: Course) -> Scene:
    """Work out what follows from a course."""
    way = travel(course)
    return Scene(course, way, contact(course), max((abs(m.rise_m) for m in course.moves), default=0.4))


def tracks(scene: Scene) -> tuple[Track, Track, Track, Track, Track, Track]:
    """Return empty forward, sideways, height, roll, pitch and yaw."""
    return tuple(Track(scene.samples) for _ in range(6))  # type: ignore[return-value]


def as_motion(parts: tuple[Track, ...]) -> BodyMotion:
    """Return the motion that six tracks describe."""
    return BodyMotion(*(part.jet() for part in parts))


def pendulum_hz(length_m: float) -> float:
    """Return the frequency of a small swing, √(g / l) / 2π."""
    return float(np.sqrt(STANDARD_GRAVITY_M_S2 / length_m) / (2 * np.pi))


def hang_swing(scene: Scene, hz: float, damping: float, size_rad: float, rng: Rng) -> FloatArray:
    """Return the angle of a hanging body: a damped pendulum, started by the mount and driven by the strokes.

    The drive is a share of the acceleration of the strokes over g, a share that wanders from rep to rep.
    """
    swing = Track(scene.samples)
    for grip in scene.course.grips:
        swing.ring(grip.hang_s - 0.2, hz, damping, size_rad * rng.uniform(-1, 1))
    drive = scene.travel.a / STANDARD_GRAVITY_M_S2 * size_rad * rng.uniform(0, 1.5) * scene.wander(rng, 0.2)
    return (swing.x + resonate(drive * scene.contact, hz, damping)) * scene.contact


def steady_load(scene: Scene, share: tuple[float, float], vertical: float) -> FloatArray:
    """Return the load on the hands while they hold, in body weights: share × (1 + a / g).

    Parameters
    ----------
    share
        At the bottom and at the top of the path: 1 and 1 with the feet off the ground; less, and not alike, with the
        feet supported, where the load is no longer a measure of the acceleration.
    vertical
        Cosine of the inclination of the path.
    """
    height = np.clip(scene.travel.x / scene.reach_m, -0.2, 1.2)
    carried = share[0] + (share[1] - share[0]) * height
    load: FloatArray = carried * (1 + vertical * scene.travel.a / STANDARD_GRAVITY_M_S2)
    return load


def hand_load(scene: Scene, rng: Rng, share: tuple[float, float], vertical: float) -> FloatArray:
    """Return the load on the hands over a session: `steady_load` while they hold, with what shakes it, and touches."""
    n = scene.samples
    load = steady_load(scene, share, vertical)
    load += rng.uniform(0, 0.03) * scene.wander(rng, 0.4) + rng.uniform(0, 0.02) * scene.wander(rng, 1.2)
    if share != (1.0, 1.0):
        load += rng.uniform(0, 0.1) * scene.wander(rng, rng.uniform(0.05, 0.3))  # the legs push now more, now less
    load += 10 ** rng.uniform(-3.3, -1.6) * band_noise(rng, n, rng.uniform(2, 6), rng.uniform(9, 16))
    taken = Track(n)
    for grip in scene.course.grips:
        taken.ring(grip.hang_s - 0.15, rng.uniform(1.5, 4), rng.uniform(0.1, 0.4), rng.uniform(0, 0.35))
    touched = Track(n)
    for act in scene.acts(Deed.LEAN, Deed.ADJUST):
        _touch(touched, act, n, rng)
    for act in scene.acts(Deed.DIP):
        touched.bump(act.start_s, act.end_s, rng.uniform(0.1, 0.9), rng.uniform(0.4, 0.5) * (act.end_s - act.start_s))
    return (load + taken.x) * scene.contact + touched.x


def _touch(touched: Track, act: Act, samples: int, rng: Rng) -> None:
    """Lean on the bar, or push and pull on it."""
    if rng.random() < 0.3:
        return
    if act.deed is Deed.LEAN:
        touched.bump(act.start_s, act.end_s, rng.uniform(0.02, 0.5), rng.uniform(0.2, 0.8))
    length = int((act.end_s - act.start_s) * FINE_HZ) + 2
    touched.during(act.start_s, act.end_s, rng.uniform(0.01, 0.2) * wander(rng, length, rng.uniform(0.4, 2.0)))


def knocks(scene: Scene, rng: Rng, largest_m_s2: float, strikes: Sequence[float] = ()) -> FloatArray:
    """Return the (n, 3) accelerations of knocks, grabbing, leaving and `strikes` (moments, s): short and damped."""
    shake = np.zeros((scene.samples, 3))
    moments = [act.start_s for act in scene.acts(Deed.KNOCK)]
    moments += [t_s for grip in scene.course.grips for t_s in _impacts(grip, rng)]
    for t_s in (*moments, *strikes):
        i = int(t_s * FINE_HZ)
        part = shake[i : i + 150]
        since = np.arange(len(part)) / FINE_HZ
        hz, size = rng.uniform(8, 60), largest_m_s2 * 10 ** rng.uniform(-1.5, 0)
        wave = np.exp(-since * rng.uniform(8, 60)) * np.sin(2 * np.pi * hz * since)
        part += size * wave[:, None] * rng.normal(size=3) / np.sqrt(3)
    return shake


def _impacts(grip: Grip, rng: Rng) -> list[float]:
    moments = (grip.mount_s, grip.hang_s - rng.uniform(0, 0.4), grip.off_s, grip.free_s)
    return [float(t_s) for t_s in moments if rng.random() < 0.5]


def tremor(scene: Scene, rng: Rng, least_m_s2: float, largest_m_s2: float, top_hz: float) -> FloatArray:
    """Return the (n, 3) accelerations of the hands' tremor (6–14 Hz) and of what rattles with it (up to `top_hz`)."""
    size = float(np.exp(rng.uniform(np.log(least_m_s2), np.log(largest_m_s2))))
    swell = 1 + 0.4 * scene.wander(rng, 0.3)
    shake = size * band_noise(rng, scene.samples, rng.uniform(5, 8), rng.uniform(10, 14))[:, None] * _direction(rng)
    if rng.random() < 0.7:
        rattle = band_noise(rng, scene.samples, rng.uniform(8, 20), rng.uniform(25, top_hz))
        shake += size * rng.uniform(0, 1.5) * rattle[:, None] * _direction(rng)
    result: FloatArray = shake * (scene.contact * swell)[:, None]
    return result


def _direction(rng: Rng) -> FloatArray:
    direction: FloatArray = (v := rng.normal(size=3)) / np.linalg.norm(v)
    return direction
