"""A sensor on the trainee's body (belt, vest, chest or back strap): it travels with the body and leans with it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sensor.virtual.course import Act, Deed, Grip
from sensor.virtual.mounted import DEGREE, Mounted, Scene, as_motion, hang_swing, knocks, tracks, tremor
from sensor.virtual.plan import Rng
from sensor.virtual.tracks import FINE_HZ, Track, resonate, wander

Channels = tuple[Track, Track, Track, Track, Track, Track]


MOST_TURN_RAD = 50 * DEGREE
"""A trunk hardly turns farther than this in one pull (invented)."""


@dataclass(frozen=True, slots=True)
class Build:
    """One body at one bar.

    Attributes
    ----------
    incline_rad
        Of the path against the vertical.
    pitch_per_m, roll_per_m
        How the trunk turns with the travel, rad/m.
    bend
        How much more it turns near the top than near the bottom.
    drop_m, lean_rad
        How much lower (or higher) the body hangs than it stands, and how far it leans back.
    jumps
        Whether it jumps up to the bar.
    swing_hz, swing_damping, swing_rad
        Of the hang as a pendulum.
    soft_hz, soft_damping
        Of the sensor on its strap and the flesh below.
    stands
        Whether the set is one of standing up from a seat: no bar, and the trunk bows forward on both ways.
    """

    incline_rad: float
    pitch_per_m: float
    roll_per_m: float
    bend: float
    drop_m: float
    lean_rad: float
    jumps: bool
    swing_hz: float
    swing_damping: float
    swing_rad: float
    soft_hz: float
    soft_damping: float
    stands: bool


def draw_build(rng: Rng) -> Build:
    """Draw a body; every range is invented, and meant to be wider than life."""
    stands = bool(rng.random() < 0.07)
    low = stands or rng.random() < 0.55
    inclined = rng.random() < 0.4
    turns = rng.choice([-1, 1]) * rng.uniform(10, 120) if low and rng.random() < 0.6 else rng.normal() * 30
    return Build(
        incline_rad=rng.uniform(0, 60) * DEGREE if inclined and not stands else abs(rng.normal()) * 6 * DEGREE,
        pitch_per_m=turns * DEGREE,
        roll_per_m=rng.normal() * 10 * DEGREE,
        bend=rng.normal() * 0.3,
        drop_m=-rng.uniform(0.05, 0.65) if low else rng.uniform(-0.1, 0.6),
        lean_rad=rng.normal() * (35 if low else 12) * DEGREE,
        jumps=not low and rng.random() < 0.6,
        swing_hz=1 / rng.uniform(1.3, 3.0),
        swing_damping=rng.uniform(0.01, 0.15),
        swing_rad=abs(rng.normal()) * (1.5 if low else 4) * DEGREE,
        soft_hz=rng.uniform(4, 12),
        soft_damping=rng.uniform(0.1, 0.5),
        stands=stands,
    )


def on_body(scene: Scene, build: Build, rng: Rng) -> Mounted:
    """Return how the sensor on a body moves through a session."""
    channels = tracks(scene)
    forward, sideways, height = channels[:3]
    for grip in scene.course.grips:
        _mount(channels, grip, build, rng)
    for act in scene.course.acts:
        _ACTS.get(act.deed, _nothing)(channels, act, rng)
    _pull(channels, scene, build, rng)
    _posture(channels, scene, rng)
    if rng.random() < 0.7:
        for track in (forward, sideways, height):
            track.x = resonate(track.x, build.soft_hz, build.soft_damping)
    shake = knocks(scene, rng, 25.0) + tremor(scene, rng, 0.005, 0.02 if build.stands else 0.3, 40)
    return Mounted(as_motion(channels), shake)


def _pull(channels: Channels, scene: Scene, build: Build, rng: Rng) -> None:
    """Travel along the path, turn with it, and swing."""
    forward, sideways, height, roll, pitch, _ = channels
    way = scene.travel.x
    height.x += np.cos(build.incline_rad) * way
    forward.x += (np.sin(build.incline_rad) + rng.normal() * 0.12) * way
    sideways.x += rng.normal() * 0.03 * way
    changing = 1 + rng.uniform(0, 0.4) * scene.wander(rng, 0.15)
    turned = np.clip(build.pitch_per_m * scene.reach_m, -MOST_TURN_RAD, MOST_TURN_RAD) * way / scene.reach_m
    pitch.x += turned * (1 + build.bend * way / scene.reach_m) * changing
    roll.x += build.roll_per_m * way * changing
    if build.stands:
        bow = rng.uniform(10, 50) * DEGREE
        for move in scene.course.moves:
            end_s = move.start_s + move.duration_s
            pitch.bump(move.start_s, end_s, bow * rng.uniform(0.7, 1.3), move.duration_s * rng.uniform(0.3, 0.5))
        return
    swing = hang_swing(scene, build.swing_hz, build.swing_damping, build.swing_rad, rng)
    across = hang_swing(scene, build.swing_hz * rng.uniform(0.9, 1.1), build.swing_damping, build.swing_rad / 2, rng)
    pitch.x += swing * rng.uniform(0.3, 1.2)
    roll.x += across * rng.uniform(0.3, 1.2)
    forward.x += swing * rng.uniform(0.4, 1.3)
    sideways.x += across * rng.uniform(0.4, 1.3)


def _posture(channels: Channels, scene: Scene, rng: Rng) -> None:
    """Let trunk and heels drift in the hang, sway while standing, and breathe."""
    forward, sideways, height, roll, pitch, yaw = channels
    free = 1 - scene.contact
    pitch.x += rng.uniform(0, 4) * DEGREE * scene.contact * scene.wander(rng, rng.uniform(0.03, 0.3))
    roll.x += rng.uniform(0, 2) * DEGREE * scene.contact * scene.wander(rng, rng.uniform(0.03, 0.3))
    pitch.x += rng.uniform(0.1, 1.5) * DEGREE * scene.wander(rng, 0.4)
    roll.x += rng.uniform(0.1, 1.0) * DEGREE * scene.wander(rng, 0.4)
    yaw.x += rng.uniform(0.5, 6) * DEGREE * scene.wander(rng, 0.3)
    forward.x += 0.008 * free * scene.wander(rng, 0.4) + rng.uniform(0, 0.006) * scene.wander(rng, 0.6)
    sideways.x += 0.008 * free * scene.wander(rng, 0.4) + rng.uniform(0, 0.008) * scene.wander(rng, 0.6)
    breath_hz = rng.uniform(0.15, 0.5)
    phase = 2 * np.pi * breath_hz * np.arange(scene.samples) / FINE_HZ + scene.wander(rng, 0.05)
    height.x += rng.uniform(0, 0.003) * np.sin(phase)
    pitch.x += rng.uniform(0, 0.8) * DEGREE * np.sin(phase + 1)


def _mount(channels: Channels, grip: Grip, build: Build, rng: Rng) -> None:
    """Get to the bar and away from it: step under it, jump up to it; step off, drop off."""
    forward, _, height, roll, pitch, _ = channels
    drop, lean = build.drop_m * rng.uniform(0.85, 1.15), build.lean_rad * rng.uniform(0.85, 1.15)
    mount_s, off_s = grip.hang_s - grip.mount_s, grip.free_s - grip.off_s
    begin_s = grip.mount_s
    if build.jumps and rng.random() < 0.8:
        crouch = rng.uniform(0.05, 0.3)
        height.step(grip.mount_s - rng.uniform(0.3, 0.7), 0.5, -crouch)
        drop += crouch
        mount_s = min(mount_s, rng.uniform(0.35, 0.7))
        begin_s = grip.hang_s - mount_s - rng.uniform(0, 0.1)
        crouch_left = crouch
    else:
        crouch_left = 0.0
    over = rng.uniform(0, 0.15) * drop
    height.step(begin_s, mount_s * rng.uniform(0.7, 1), drop + over)
    height.step(grip.hang_s - 0.3 * mount_s, rng.uniform(0.25, 0.6), -over)
    height.ring(grip.hang_s - 0.1, rng.uniform(1.5, 5), rng.uniform(0.05, 0.4), rng.uniform(0, 0.02))
    turn = min(mount_s, rng.uniform(0.5, 2.5))
    pitch.step(grip.hang_s - turn, turn, lean)
    knee = rng.uniform(0, 0.25)  # landing bends the knees, then they straighten
    height.step(grip.off_s, off_s, -drop + crouch_left - knee)
    height.step(grip.free_s + rng.uniform(0, 0.2), rng.uniform(0.4, 1.2), knee)
    height.ring(grip.free_s, rng.uniform(2, 6), rng.uniform(0.1, 0.5), rng.uniform(0, 0.02))
    pitch.step(grip.off_s, max(off_s, 0.4), -lean)
    roll.ring(grip.free_s, rng.uniform(1, 3), 0.3, rng.normal() * 2 * DEGREE)
    forward.step(grip.off_s, max(off_s, 0.5), rng.normal() * 0.2)


def _walk(channels: Channels, act: Act, rng: Rng) -> None:
    """Step up and down with each foot, sway with each pair, turn on the way."""
    forward, sideways, height, roll, pitch, yaw = channels
    n = int((act.end_s - act.start_s) * FINE_HZ) + 2
    steps = 2 * np.pi * rng.uniform(1.3, 2.3) * np.arange(n) / FINE_HZ + 0.5 * wander(rng, n, 0.3)
    strength = 1 + 0.2 * wander(rng, n, 0.4)
    size = rng.uniform(0.005, 0.028)
    bounce = np.sin(steps) + rng.uniform(0, 0.25) * np.sin(2 * steps + 1) + rng.uniform(0, 0.12) * np.sin(3 * steps + 2)
    bounce += rng.uniform(0, 0.03) * np.sin(5 * steps) + rng.uniform(0, 0.012) * np.sin(8 * steps)
    height.during(act.start_s, act.end_s, size * strength * bounce)
    forward.during(act.start_s, act.end_s, 0.7 * size * strength * np.sin(steps + 1.2))
    sideways.during(act.start_s, act.end_s, rng.uniform(0.01, 0.03) * strength * np.sin(steps / 2))
    roll.during(act.start_s, act.end_s, rng.uniform(1, 5) * DEGREE * strength * np.sin(steps / 2 + 0.5))
    pitch.during(act.start_s, act.end_s, rng.uniform(0.5, 3) * DEGREE * strength * np.sin(steps + 0.3))
    yaw.during(act.start_s, act.end_s, rng.uniform(2, 8) * DEGREE * np.sin(steps / 2 + 2))
    for _ in range(int(rng.integers(0, 4))):
        yaw.step(rng.uniform(act.start_s, act.end_s), rng.uniform(0.6, 2.5), rng.normal() * 1.5)


def _sit(channels: Channels, act: Act, rng: Rng) -> None:
    _down_and_up(channels, act, rng, rng.uniform(0.2, 0.55), rng.uniform(0.6, 1.8), rng.uniform(10, 45) * DEGREE)


def _sit_to_stand(channels: Channels, act: Act, rng: Rng) -> None:
    """Sit down and get up again once or twice, with hardly a rest."""
    times = int(rng.integers(1, 3))
    each_s = (act.end_s - act.start_s) / times
    rise, lean = rng.uniform(0.25, 0.5), rng.uniform(10, 40) * DEGREE
    for k in range(times):
        part = Act(act.deed, act.start_s + k * each_s, act.start_s + (k + 1) * each_s)
        _down_and_up(channels, part, rng, rise, each_s * rng.uniform(0.25, 0.45), lean)


def _dip(channels: Channels, act: Act, rng: Rng) -> None:
    """Bend the knees, rise on the toes, reach up: one or two isolated ups and downs."""
    rise = rng.choice([-1.0, 1.0]) * rng.uniform(0.04, 0.4)
    _down_and_up(channels, act, rng, rise, (act.end_s - act.start_s) * rng.uniform(0.3, 0.5), rng.uniform(0, 0.3))


def _pick_up(channels: Channels, act: Act, rng: Rng) -> None:
    ramp_s = (act.end_s - act.start_s) * rng.uniform(0.25, 0.5)
    channels[4].bump(act.start_s, act.end_s, rng.choice([-1, 1]) * rng.uniform(15, 80) * DEGREE, ramp_s)
    _down_and_up(channels, act, rng, rng.uniform(0.02, 0.4), ramp_s, 0.0)


def _down_and_up(channels: Channels, act: Act, rng: Rng, drop_m: float, ramp_s: float, lean_rad: float) -> None:
    """Go down and up again; the trunk leans forward on both ways and has its own lean while down."""
    forward, _, height, _, pitch, _ = channels
    height.bump(act.start_s, act.end_s, -drop_m, ramp_s)
    ramp_s = min(ramp_s, (act.end_s - act.start_s) / 2)
    for begin_s in (act.start_s, act.end_s - ramp_s):
        pitch.bump(begin_s, begin_s + ramp_s, lean_rad, ramp_s / 2)
    pitch.bump(act.start_s, act.end_s, rng.normal() * 8 * DEGREE, ramp_s)
    forward.bump(act.start_s, act.end_s, rng.normal() * 0.15, ramp_s)


def _fidget(channels: Channels, act: Act, rng: Rng) -> None:
    n = int((act.end_s - act.start_s) * FINE_HZ) + 2
    size = rng.uniform(0.1, 1.0)
    for track, extent in zip(channels, (0.015, 0.015, 0.008, 4 * DEGREE, 4 * DEGREE, 10 * DEGREE), strict=True):
        track.during(act.start_s, act.end_s, size * extent * wander(rng, n, rng.uniform(0.4, 2.0)))


def _chalk(channels: Channels, act: Act, rng: Rng) -> None:
    """Rub or clap the hands: small quick shakes of the trunk."""
    n = int((act.end_s - act.start_s) * FINE_HZ) + 2
    size, hz = rng.uniform(0.1, 1.0), rng.uniform(1.5, 3.5)
    for track, extent in zip(channels, (0.003, 0.003, 0.002, 1 * DEGREE, 1 * DEGREE, 2 * DEGREE), strict=True):
        track.during(act.start_s, act.end_s, size * extent * wander(rng, n, hz), 0.2)


def _move_over(channels: Channels, act: Act, rng: Rng) -> None:
    """Take another stance and keep it."""
    for track, extent in zip(channels, (0.3, 0.3, 0.0, 4 * DEGREE, 8 * DEGREE, 1.0), strict=True):
        track.step(act.start_s, act.end_s - act.start_s, extent * rng.normal())


def _nothing(channels: Channels, act: Act, rng: Rng) -> None:
    pass


_ACTS = {
    Deed.WALK: _walk,
    Deed.SIT: _sit,
    Deed.SIT_TO_STAND: _sit_to_stand,
    Deed.DIP: _dip,
    Deed.PICK_UP: _pick_up,
    Deed.FIDGET: _fidget,
    Deed.ADJUST: _fidget,
    Deed.LEAN: _dip,
    Deed.CHALK: _chalk,
    Deed.MOVE_OVER: _move_over,
}
