"""Random sessions of the virtual trainee on every mount, with what was really done: the source to train on.

`draw_session` gives the same session for the same mount and seed. Nothing in it comes from a recording: physics is in
`sensor.virtual`, ranges are invented and wider than life, so that what is learnt from them is the physics.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import astuple, dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sensor.virtual.course import Act, Course, Deed, Grip, Label, Move, edges, labels
from sensor.virtual.jets import FloatArray
from sensor.virtual.mounted import Mounted, Scene, set_scene
from sensor.virtual.on_body import draw_build, on_body
from sensor.virtual.on_fixed_bar import draw_bar, on_fixed_bar
from sensor.virtual.on_moving_bar import draw_machine, on_moving_bar
from sensor.virtual.on_strap import draw_strap, on_strap
from sensor.virtual.plan import Rng
from sensor.virtual.tracks import FINE_HZ
from sensor.virtual.wear import draw_device, read
from tests.bench.trainee_sets import (
    CALM,
    Planned,
    Written,
    draw_habit,
    draw_style,
    log_uniform,
    write_attempt,
    write_set,
)

CORPUS_VERSION = 1
MOUNTS: dict[str, Callable[[Scene, Rng], Mounted]] = {
    "body": lambda scene, rng: on_body(scene, draw_build(rng), rng),
    "moving-bar": lambda scene, rng: on_moving_bar(scene, draw_machine(rng), rng),
    "fixed-bar": lambda scene, rng: on_fixed_bar(scene, draw_bar(rng), rng),
    "suspension": lambda scene, rng: on_strap(scene, draw_strap(rng), rng),
}


class Rep(NamedTuple):
    """Boundaries of one rep on the sensor's clock; `shrug_s` where a shoulder-blade rise came first.

    A `partial` is a failed attempt, with `top_s` and `down_s` where it turned.
    """

    start_s: float
    shrug_s: float | None
    top_s: float
    down_s: float
    end_s: float
    kind: str


class Bout(NamedTuple):
    """Hands on the bar: `reps` are the places in the session's reps; one or two of them make no set."""

    mount_s: float
    hang_s: float
    off_s: float
    free_s: float
    reps: range
    is_set: bool


@dataclass(frozen=True, slots=True, eq=False)
class Session:
    """What a sensor read, sample by sample, and what was done (times on the sensor's clock)."""

    mount: str
    t_s: FloatArray
    force_m_s2: FloatArray
    rate_rad_s: FloatArray
    label: NDArray[np.int8]
    reps: tuple[Rep, ...]
    bouts: tuple[Bout, ...]


def draw_session(mount: str, seed: int, minutes: float = 8.0) -> Session:
    """Draw a session of about so many minutes on a mount (body, moving-bar, fixed-bar, suspension)."""
    rng = np.random.default_rng([CORPUS_VERSION, list(MOUNTS).index(mount), seed])
    course, planned, is_set = draw_course(rng, minutes * 60)
    scene = set_scene(course)
    device = draw_device(rng)
    moving = edges(course, scene.travel.v)
    label = labels(course, moving)
    reading = read(MOUNTS[mount](scene, rng), device, rng)
    at = np.minimum((reading.t_s / device.clock_ratio * FINE_HZ).astype(int), len(label) - 1)
    clocked = [(begin * device.clock_ratio, end * device.clock_ratio) for begin, end in moving]
    reps: list[Rep] = []
    bouts: list[Bout] = []
    for grip, plans, counted in zip(course.grips, planned, is_set, strict=True):
        first = len(reps)
        reps += [_rep(plan, clocked) for plan in plans]
        mount_s, hang_s, off_s, free_s = (t * device.clock_ratio for t in astuple(grip)[:4])
        bouts.append(Bout(mount_s, hang_s, off_s, free_s, range(first, len(reps)), counted))
    return Session(mount, reading.t_s, reading.force_m_s2, reading.rate_rad_s, label[at], tuple(reps), tuple(bouts))


def _rep(plan: Planned, moving: list[tuple[float, float]]) -> Rep:
    shrug_s = None if plan.shrug is None else moving[plan.shrug][0]
    (start_s, top_s), (down_s, end_s) = moving[plan.up], moving[plan.down]
    return Rep(start_s, shrug_s, top_s, down_s, end_s, plan.kind)


class _Draft:
    """A course as it is being drawn."""

    def __init__(self) -> None:
        self.at_s = 0.0
        self.moves: list[Move] = []
        self.grips: list[Grip] = []
        self.acts: list[Act] = []
        self.planned: list[list[Planned]] = []
        self.is_set: list[bool] = []

    def grip(self, rng: Rng, write: Callable[[float], Written], *, is_set: bool) -> None:
        """Take hold, do what `write` writes from a moment on, and let go."""
        mount_s = self.at_s
        hang_s = mount_s + (rng.uniform(0.3, 1.6) if rng.random() < 0.7 else log_uniform(rng, 1, 8))
        written = write(hang_s + _pause(rng, 5.0))
        first = len(self.moves)
        self.moves += written.moves
        self.planned.append([_shifted(plan, first) for plan in written.reps])
        self.is_set.append(is_set)
        off_s = written.at_s + _pause(rng, 4.0)
        free_s = off_s + rng.uniform(0.25, 1.5)
        self.grips.append(Grip(mount_s, hang_s, off_s, free_s, written.height_m))
        self.at_s = free_s

    def away(self, rng: Rng, seconds: float) -> None:
        """Do this and that for about so long."""
        end_s = self.at_s + seconds
        while self.at_s < end_s - 0.5:
            deed = Deed(str(rng.choice(list(_AWAY), p=[odds for odds, _, _ in _AWAY.values()])))
            _, shortest_s, longest_s = _AWAY[deed]
            lasting_s = min(log_uniform(rng, shortest_s, longest_s), end_s - self.at_s)
            self.acts.append(Act(deed, self.at_s, self.at_s + lasting_s))
            self.at_s += lasting_s + (rng.uniform(0, 1) if rng.random() < 0.3 else 0)


_AWAY: dict[Deed, tuple[float, float, float]] = {  # odds, shortest and longest, seconds
    Deed.STILL: (0.24, 2, 40),
    Deed.WALK: (0.2, 3, 40),
    Deed.SIT: (0.1, 8, 60),
    Deed.SIT_TO_STAND: (0.03, 3, 7),
    Deed.FIDGET: (0.12, 2, 25),
    Deed.CHALK: (0.07, 1, 6),
    Deed.PICK_UP: (0.04, 1.5, 5),
    Deed.LEAN: (0.04, 1, 10),
    Deed.ADJUST: (0.05, 1.5, 12),
    Deed.KNOCK: (0.03, 0.5, 2),
    Deed.MOVE_OVER: (0.03, 0.5, 3),
    Deed.DIP: (0.02, 1, 4),
    Deed.SWING: (0.03, 2, 10),
}


def draw_course(rng: Rng, seconds: float) -> tuple[Course, list[list[Planned]], list[bool]]:
    """Draw what is done in a session: some warming up, sets with rests, or no exercise at all."""
    draft = _Draft()
    draft.away(rng, rng.uniform(4, 30))
    travel_m, style = rng.uniform(0.2, 0.75), draw_style(rng)
    exercises = rng.random() > 0.15
    sets = 0
    while draft.at_s < seconds - 25:
        kind = rng.random()
        if not exercises or kind < 0.12:
            _isolated(rng, draft, travel_m)
        elif sets < 6:
            sets += 1
            style = draw_style(rng) if rng.random() < 0.35 else style
            habit = draw_habit(rng, style, travel_m * rng.uniform(0.9, 1.1))
            reps = min(_count(rng, style), 3 + int(120 / (habit.up_s + habit.down_s + habit.top_s + habit.bottom_s)))
            draft.grip(rng, lambda start_s: write_set(rng, habit, reps, start_s), is_set=True)  # noqa: B023
        draft.away(rng, log_uniform(rng, 15, 150) if exercises else log_uniform(rng, 40, 200))
    course = Course(tuple(draft.moves), tuple(draft.grips), tuple(draft.acts), draft.at_s + 1)
    return course, draft.planned, draft.is_set


def _isolated(rng: Rng, draft: _Draft, travel_m: float) -> None:
    """Hang without reps, hold the chin over the bar, or do one or two ups and downs: no set."""
    habit = draw_habit(rng, draw_style(rng), travel_m)

    def write(start_s: float) -> Written:
        match rng.choice(["hang", "hold", "one or two", "attempt"], p=[0.4, 0.15, 0.3, 0.15]):
            case "hang":
                return Written(start_s + log_uniform(rng, 2, 40))
            case "hold":
                return _hold(rng, start_s, travel_m)
            case "attempt":
                written = Written(start_s)
                write_attempt(rng, written, habit)
                return written
        return write_set(rng, habit, int(rng.integers(1, 3)), start_s)

    draft.grip(rng, write, is_set=False)


def _hold(rng: Rng, start_s: float, travel_m: float) -> Written:
    """Go up, stay there, and come down slowly or at once."""
    written = Written(start_s)
    up = written.move(rng.uniform(0.5, 1.5), travel_m, CALM, Label.UP, Label.TOP)
    written.wait(log_uniform(rng, 3, 40))
    down_s = log_uniform(rng, 0.5, 6)
    down = written.move(down_s, -travel_m, CALM, Label.DOWN, Label.HANG)
    written.reps.append(Planned(None, up, down, "full"))
    return written


def _count(rng: Rng, style: str) -> int:
    return round(log_uniform(rng, 3, 12 if style == "slow" else 30))


def _pause(rng: Rng, longest_s: float) -> float:
    return float(rng.choice([0.0, log_uniform(rng, 0.05, 1), log_uniform(rng, 0.3, longest_s)], p=[0.25, 0.35, 0.4]))


def _shifted(plan: Planned, by: int) -> Planned:
    return Planned(None if plan.shrug is None else plan.shrug + by, plan.up + by, plan.down + by, plan.kind)
