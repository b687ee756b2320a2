"""A sensor on a bar that travels with the hands: cable pull-down (up is done by going down), cable row, barbell."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sensor.virtual.course import Act, Deed, Grip, Label
from sensor.virtual.mounted import DEGREE, Mounted, Scene, as_motion, knocks, tracks, tremor
from sensor.virtual.plan import Rng
from sensor.virtual.tracks import FINE_HZ, Track, lag, wander

Channels = tuple[Track, Track, Track, Track, Track, Track]


@dataclass(frozen=True, slots=True)
class Machine:
    """A bar and how it is held.

    Attributes
    ----------
    incline_rad
        Of the path of the concentric against up: 180° for a pull-down, 90° for a level row.
    cable
        Whether it hangs on a cable, and so swings when let go.
    turn_rad, bend
        How far it turns in the hands over a whole stroke, and how much more near the top.
    grab_m
        How far it is moved between where it is parked and where the set begins (forward, sideways, height).
    swing_hz, swing_damping
        Of the bar on its cable.
    """

    incline_rad: float
    cable: bool
    turn_rad: float
    bend: float
    grab_m: tuple[float, float, float]
    swing_hz: float
    swing_damping: float


def draw_machine(rng: Rng) -> Machine:
    """Draw a bar; every range is invented, and meant to be wider than life."""
    kind = rng.choice(["pull-down", "row", "barbell"], p=[0.4, 0.3, 0.3])
    incline = {
        "pull-down": 180 + rng.normal() * 9,
        "row": rng.uniform(45, 120),
        "barbell": rng.normal() * 14,
    }[kind]
    height = {"pull-down": rng.normal() * 0.15, "row": rng.normal() * 0.15, "barbell": rng.uniform(-0.1, 0.6)}[kind]
    return Machine(
        incline_rad=incline * DEGREE,
        cable=kind != "barbell",
        turn_rad=rng.normal() * 14 * DEGREE if rng.random() < 0.85 else 0.0,
        bend=rng.normal() * 0.5,
        grab_m=(rng.normal() * 0.2, rng.normal() * 0.05, float(height)),
        swing_hz=1 / rng.uniform(0.9, 2.6),
        swing_damping=rng.uniform(0.02, 0.2),
    )


def on_moving_bar(scene: Scene, machine: Machine, rng: Rng) -> Mounted:
    """Return how the sensor on a moving bar moves through a session."""
    channels = tracks(scene)
    for grip in scene.course.grips:
        _take(channels, grip, machine, rng)
        _let_go(channels, grip, machine, rng)
    for act in scene.course.acts:
        _parked(channels, act, machine, rng)
    _pull(channels, scene, machine, rng)
    _hands(channels, scene, rng)
    shake = tremor(scene, rng, 0.01, 1.5, 100) + knocks(scene, rng, 30.0, _clanks(scene, rng))
    return Mounted(as_motion(channels), shake)


def _pull(channels: Channels, scene: Scene, machine: Machine, rng: Rng) -> None:
    """Travel along a path that is nearly straight, and turn in the hands, somewhat behind the travel."""
    forward, sideways, height, roll, pitch, yaw = channels
    way, share = scene.travel.x, scene.travel.x / scene.reach_m
    bow = rng.normal() * 0.08 * scene.reach_m * np.sin(np.pi * np.clip(share, -0.2, 1.2))
    height.x += np.cos(machine.incline_rad) * way - np.sin(machine.incline_rad) * bow
    forward.x += np.sin(machine.incline_rad) * way + np.cos(machine.incline_rad) * bow
    sideways.x += rng.normal() * 0.03 * way
    changing = 1 + rng.uniform(0, 0.4) * scene.wander(rng, 0.15)
    turned = share * (1 + machine.bend * share) * changing
    if rng.random() < 0.4:
        turned = lag(lag(turned, rng.uniform(0.03, 0.15)), 0.03)
    roll.x += machine.turn_rad * turned
    pitch.x += rng.normal() * 3 * DEGREE * share * changing
    yaw.x += rng.normal() * 4 * DEGREE * share


def _hands(channels: Channels, scene: Scene, rng: Rng) -> None:
    """Wander with the hands between the reps and sway on the cable."""
    forward, sideways, height, roll, pitch, yaw = channels
    for track, extent in ((roll, 3), (pitch, 2), (yaw, 3)):
        track.x += rng.uniform(0, extent) * DEGREE * scene.contact * scene.wander(rng, rng.uniform(0.05, 0.5))
        track.x += rng.uniform(0, 1.2) * DEGREE * scene.contact * scene.wander(rng, rng.uniform(0.8, 2.5))
    for track, extent_m in ((forward, 0.012), (sideways, 0.012), (height, 0.003)):
        track.x += rng.uniform(0, extent_m) * scene.contact * scene.wander(rng, rng.uniform(0.2, 0.9))


def _take(channels: Channels, grip: Grip, machine: Machine, rng: Rng) -> None:
    """Bring the bar from where it is parked to where the set begins; it waits there with some other turn."""
    forward, sideways, height, roll, pitch, yaw = channels
    taking_s = grip.hang_s - grip.mount_s
    for track, extent in zip((forward, sideways, height), machine.grab_m, strict=True):
        parts = rng.dirichlet([2.0, 2.0])
        rise = extent * rng.uniform(0.8, 1.2)
        track.step(grip.mount_s, taking_s * rng.uniform(0.5, 0.7), rise * parts[0])
        track.step(grip.mount_s + 0.4 * taking_s, taking_s * 0.6, rise * parts[1])
        track.step(grip.off_s, max(0.3, grip.free_s - grip.off_s), -rise)
    for track, extent in ((roll, 15), (pitch, 4), (yaw, 8)):
        turn = rng.normal() * extent * DEGREE
        track.step(grip.mount_s, taking_s, turn)
        track.step(grip.off_s, max(0.25, grip.free_s - grip.off_s), -turn * rng.uniform(0.6, 1.1))
    height.ring(grip.hang_s - 0.1, rng.uniform(2, 8), rng.uniform(0.05, 0.3), rng.uniform(0, 0.006))


def _let_go(channels: Channels, grip: Grip, machine: Machine, rng: Rng) -> None:
    """Swing on the cable, or roll to rest on the floor."""
    if machine.cable:
        _swing(channels, grip.free_s - 0.1, 10 ** rng.uniform(-1.5, 1.1) * DEGREE, machine, rng)
        return
    channels[3].ring(grip.free_s, rng.uniform(0.5, 2), rng.uniform(0.1, 0.5), rng.uniform(0, 10) * DEGREE)


def _swing(channels: Channels, start_s: float, size_rad: float, machine: Machine, rng: Rng) -> None:
    forward, sideways, _, roll, pitch, yaw = channels
    arm_m = rng.uniform(0.2, 1.0)
    across = rng.normal() * 0.5
    roll.ring(start_s, machine.swing_hz, machine.swing_damping, size_rad)
    forward.ring(start_s, machine.swing_hz, machine.swing_damping, size_rad * arm_m)
    pitch.ring(start_s, machine.swing_hz * 0.95, machine.swing_damping, size_rad * across)
    sideways.ring(start_s, machine.swing_hz * 0.95, machine.swing_damping, size_rad * across * arm_m)
    yaw.ring(start_s, rng.uniform(0.2, 0.9), 0.05, size_rad * rng.uniform(0, 5))


def _clanks(scene: Scene, rng: Rng) -> list[float]:
    """Return when the weights touch down: at the end of each lowering, where they do so at all."""
    if rng.random() < 0.7:
        return []
    return [m.start_s + m.duration_s * rng.uniform(0.93, 1) for m in scene.course.moves if m.after is Label.HANG]


def _parked(channels: Channels, act: Act, machine: Machine, rng: Rng) -> None:
    """Touch, swing, move and dip the bar while nobody trains with it."""
    if act.deed in (Deed.ADJUST, Deed.LEAN, Deed.CHALK) and rng.random() < 0.6:
        n = int((act.end_s - act.start_s) * FINE_HZ) + 2
        size = 10 ** rng.uniform(-1.5, 0)
        for track, extent in zip(channels, (0.06, 0.05, 0.04, 0.2, 0.1, 0.2), strict=True):
            track.during(act.start_s, act.end_s, size * extent * wander(rng, n, rng.uniform(0.4, 2)))
    elif act.deed is Deed.SWING and machine.cable:
        _swing(channels, act.start_s, rng.uniform(1, 10) * DEGREE, machine, rng)
    elif act.deed is Deed.MOVE_OVER:
        for track, extent in zip(channels, (0.5, 0.3, 0.2, 0.5, 0.05, 0.3), strict=True):
            track.step(act.start_s, act.end_s - act.start_s, extent * rng.normal())
    elif act.deed in (Deed.DIP, Deed.PICK_UP):
        rise, ramp_s = rng.normal() * 0.35, (act.end_s - act.start_s) * rng.uniform(0.3, 0.5)
        channels[2].bump(act.start_s, act.end_s, rise, ramp_s)
        channels[0].bump(act.start_s, act.end_s, rng.normal() * 0.1, ramp_s)
        channels[3].bump(act.start_s, act.end_s, rng.normal() * 0.2, ramp_s)
