"""How the belt moves and turns while the plan is carried out: a sum of layers, each smooth and each small."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, fields
from functools import reduce
from operator import add

import numpy as np

from sensor.virtual.jets import FloatArray, Jet, constant, line, minimum_jerk, wave, window
from sensor.virtual.plan import Bout, Plan, Rng, Span

BOUNCE_M = ((1.0, 0.0140), (1.5, 0.0015), (2.0, 0.0018), (3.0, 0.0006), (5.0, 0.00012), (8.0, 0.00003))
"""Harmonics of the step and their height, m: read off the spectrum of one person walking with a belt sensor (example
data of the Mobilise-D project), so that the size of the acceleration has the same share in each band."""


@dataclass(frozen=True, slots=True, eq=False)
class BodyMotion:
    """Position (m) and attitude (rad) of the belt against the room; roll, then pitch, then yaw turn body into room."""

    forward: Jet
    sideways: Jet
    height: Jet
    roll: Jet
    pitch: Jet
    yaw: Jet

    def __add__(self, other: BodyMotion) -> BodyMotion:
        return BodyMotion(*(getattr(self, f.name) + getattr(other, f.name) for f in fields(self)))

    def under(self, envelope: Jet) -> BodyMotion:
        """Return this motion, faded in and out."""
        return BodyMotion(*(getattr(self, f.name) * envelope for f in fields(self)))


@dataclass(frozen=True, slots=True)
class Wobble:
    """A sum of a few slow waves for each of the six channels: (amplitude, frequency_hz, phase_rad) each."""

    channels: tuple[tuple[tuple[float, float, float], ...], ...]

    def motion(self, t_s: FloatArray) -> BodyMotion:
        """Return the wobble at the moments `t_s`."""
        return BodyMotion(*(_sum(t_s, (wave(t_s, f, p) * a for a, f, p in waves)) for waves in self.channels))


@dataclass(frozen=True, slots=True)
class Person:
    """One body and its habits, drawn by :func:`draw_person`.

    Attributes
    ----------
    travel_m
        Rise of a fresh rep.
    drop_m
        How much lower the belt hangs than it stands.
    lean_rad
        Trunk angle in the hang, against standing.
    lean_per_m, forward_per_m
        How trunk angle (rad) and forward position (m) follow the height of a rep.
    step_hz
        Steps a second.
    breath, balance, hang_sway, fidget, chalk, tremor
        What the belt does on top, each in its time.
    """

    travel_m: float
    drop_m: float
    lean_rad: float
    lean_per_m: float
    forward_per_m: float
    step_hz: float
    breath: Wobble
    balance: Wobble
    hang_sway: Wobble
    fidget: Wobble
    chalk: Wobble
    tremor: Wobble


def draw_person(rng: Rng) -> Person:
    """Draw a body; sizes are invented, of the order seen in a recreational trainee at a low bar."""
    degree = np.pi / 180
    return Person(
        travel_m=rng.uniform(0.36, 0.47),
        drop_m=rng.uniform(0.45, 0.58),
        lean_rad=-rng.uniform(12, 22) * degree,
        lean_per_m=rng.uniform(10, 20) * degree,
        forward_per_m=rng.uniform(0.06, 0.14),
        step_hz=rng.uniform(1.7, 2.0),
        breath=_draw_wobble(rng, (0, 0, 0.0015, 0, 0.4 * degree, 0), 0.22, 0.32, 1),
        balance=_draw_wobble(rng, (0.004, 0.004, 0, 0.4 * degree, 0.4 * degree, 0.6 * degree), 0.1, 0.5, 3),
        hang_sway=_draw_wobble(rng, (0.005, 0.008, 0.001, 1 * degree, 0.5 * degree, 1 * degree), 0.3, 0.7, 2),
        fidget=_draw_wobble(rng, (0.006, 0.006, 0.003, 2 * degree, 1.5 * degree, 3 * degree), 0.3, 1.4, 4),
        chalk=_draw_wobble(rng, (0.002, 0.002, 0.001, 0.6 * degree, 0.6 * degree, 1 * degree), 2.0, 3.5, 3),
        tremor=_draw_wobble(rng, (1.2e-5, 1.2e-5, 1.5e-5, 0, 0, 0), 7.0, 11.0, 4),
    )


def body_motion(plan: Plan, person: Person, t_s: FloatArray, strain: float = 1.0) -> BodyMotion:
    """Return the motion of the belt at the moments `t_s`; `strain` is that of the script."""
    on_the_bar = _sum(t_s, (_hands_on(bout, t_s) for bout in plan.bouts))
    off_the_bar = constant(t_s, 1.0) + on_the_bar * -1.0
    layers = [
        *(_bout(bout, person, t_s) for bout in plan.bouts),
        *(_walk(span, person, t_s) for span in plan.walks),
        person.breath.motion(t_s),
        person.balance.motion(t_s).under(off_the_bar),
        person.fidget.motion(t_s).under(off_the_bar),
        person.chalk.motion(t_s).under(_sum(t_s, (window(t_s, c.start_s, c.end_s, 0.4) for c in plan.chalking))),
        person.hang_sway.motion(t_s).under(on_the_bar),
        person.tremor.motion(t_s).under(on_the_bar * strain),
    ]
    return reduce(add, layers)


def _hands_on(bout: Bout, t_s: FloatArray) -> Jet:
    return window(t_s, bout.taking_hold.start_s, bout.letting_go.end_s, 1.5)


def _bout(bout: Bout, person: Person, t_s: FloatArray) -> BodyMotion:
    """Down under the bar, the reps, up again; the trunk leans back for all of it."""
    pulled = _sum(t_s, (s.jet(t_s) for reps in bout.sets for rep in reps for s in (rep.up, rep.down)))
    left_over_m = float(sum(s.rise_m for reps in bout.sets for rep in reps for s in (rep.up, rep.down)))
    hold, off = bout.taking_hold, bout.letting_go
    hold_s, off_s = hold.end_s - hold.start_s, off.end_s - off.start_s
    down = minimum_jerk(t_s, hold.start_s, 0.6 * hold_s, -0.8 * person.drop_m)
    settle = minimum_jerk(t_s, hold.start_s + 0.5 * hold_s, 0.5 * hold_s, -0.2 * person.drop_m)
    rise = minimum_jerk(t_s, off.start_s, off_s, person.drop_m - left_over_m)
    lean = minimum_jerk(t_s, hold.start_s, hold_s, person.lean_rad) + minimum_jerk(
        t_s, off.start_s, off_s, -person.lean_rad - person.lean_per_m * left_over_m
    )
    back = minimum_jerk(t_s, off.start_s, off_s, -person.forward_per_m * left_over_m)
    zero = constant(t_s)
    return BodyMotion(
        forward=pulled * person.forward_per_m + back,
        sideways=zero,
        height=down + settle + _grab(hold.end_s, t_s) + pulled + rise,
        roll=zero,
        pitch=lean + pulled * person.lean_per_m,
        yaw=zero,
    )


def _grab(at_s: float, t_s: FloatArray) -> Jet:
    """Return the small damped bounce as the arms take the load: 5 mm at 2.2 Hz, gone after a second (invented)."""
    since = np.maximum(t_s - at_s, 0.0)
    decay = line(since, -4.0).exp()
    return minimum_jerk(t_s, at_s, 0.3, 0.005) * decay * line(t_s - at_s, 2 * np.pi * 2.2).sin()


def _walk(span: Span, person: Person, t_s: FloatArray) -> BodyMotion:
    """Walk a few steps, turn half-way; the belt bounces once a step and sways once in two steps."""
    steps = line(t_s - span.start_s, 2 * np.pi * person.step_hz) + wave(t_s, 0.17, span.start_s) * 0.4
    foot_down = -np.pi / 2  # all harmonics push up together as a foot comes down
    bounce = _sum(t_s, ((steps * k + constant(t_s, foot_down)).sin() * size_m for k, size_m in BOUNCE_M))
    strides = steps * 0.5
    middle_s = (span.start_s + span.end_s) / 2
    gait = BodyMotion(
        forward=(steps + constant(t_s, 1.2)).sin() * 0.010,
        sideways=strides.sin() * 0.020,
        height=bounce,
        roll=(strides + constant(t_s, 0.5)).sin() * 0.05,
        pitch=(steps + constant(t_s, 0.3)).sin() * 0.025,
        yaw=(strides + constant(t_s, 2.0)).sin() * 0.08,
    ).under(window(t_s, span.start_s, span.end_s, 0.8))
    zero = constant(t_s)
    return gait + BodyMotion(zero, zero, zero, zero, zero, minimum_jerk(t_s, middle_s - 0.8, 1.6, np.pi))


def _draw_wobble(rng: Rng, amplitudes: tuple[float, ...], low_hz: float, high_hz: float, waves: int) -> Wobble:
    def draw(amplitude: float) -> tuple[float, float, float]:
        return amplitude / np.sqrt(waves), rng.uniform(low_hz, high_hz), rng.uniform(0, 2 * np.pi)

    return Wobble(tuple(tuple(draw(a) for _ in range(waves)) if a else () for a in amplitudes))


def _sum(t_s: FloatArray, jets: Iterable[Jet]) -> Jet:
    return reduce(add, jets, constant(t_s))
