"""Sets as people do them, drawn wide: styles, tempo, tiring, failed attempts. Every range is invented."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from sensor.virtual.course import Label, Move, Shape
from sensor.virtual.plan import Rng

STYLES = {
    "ordinary": 0.2,
    "paused": 0.12,
    "slow": 0.13,
    "one-and-a-half": 0.13,
    "shrug": 0.13,
    "fast": 0.08,
    "grinding": 0.08,
    "dead hang": 0.05,
    "mixed": 0.08,
}
SLOW_S = 2.0
MINIMUM_JERK_PEAK = 5.7735  # peak acceleration over rise / duration², 10 / √3 (Flash & Hogan 1985)
LONGEST_OVERLAP_S = 0.12
SLOWEST_M_S = 0.025  # mean speed; the edge of a phase lies at 0.012 m/s
CALM = Shape()


@dataclass(frozen=True, slots=True)
class Planned:
    """One rep by the places of its moves in the list of moves; `kind` is full, one_and_half or partial."""

    shrug: int | None
    up: int
    down: int
    kind: str


@dataclass(slots=True)
class Written:
    """The moves of a set as they are being written, and where the hands are by then."""

    at_s: float
    fastest_m_s2: float = 4.0
    height_m: float = 0.0
    moves: list[Move] = field(default_factory=list)
    reps: list[Planned] = field(default_factory=list)

    def move(self, duration_s: float, rise_m: float, shape: Shape, label: Label, after: Label) -> int:
        """Add a move and return its place; it is no faster than hands can be, and fast enough to count as moving."""
        duration_s = min(duration_s, abs(rise_m) / SLOWEST_M_S)
        duration_s = max(duration_s, float(np.sqrt(MINIMUM_JERK_PEAK * abs(rise_m) / self.fastest_m_s2)))
        self.moves.append(Move(self.at_s, duration_s, rise_m, shape, label, after))
        self.at_s += duration_s
        self.height_m += rise_m
        return len(self.moves) - 1

    def wait(self, seconds: float) -> None:
        """Hold; a negative time lets the next move begin before this one has ended, so that the turn is round."""
        if self.moves:
            seconds = max(seconds, -0.25 * self.moves[-1].duration_s, -LONGEST_OVERLAP_S)
        self.at_s += seconds

    def settle(self) -> None:
        """Let the last move end before anything small begins."""
        if self.moves:
            self.at_s = max(self.at_s, self.moves[-1].start_s + self.moves[-1].duration_s)


@dataclass(frozen=True, slots=True)
class Habit:
    """How one person does one set; seconds of a fresh rep, metres."""

    style: str
    travel_m: float
    up_s: float
    down_s: float
    top_s: float
    bottom_s: float
    jitter: float
    tiring: float
    alike: int | None
    half_share: float
    half_s: float
    shrug_m: float
    shrug_s: float
    overlap: float
    fastest_m_s2: float


def log_uniform(rng: Rng, low: float, high: float) -> float:
    return float(np.exp(rng.uniform(np.log(low), np.log(high))))


def draw_style(rng: Rng) -> str:
    return str(rng.choice(list(STYLES), p=list(STYLES.values())))


def draw_habit(rng: Rng, style: str, travel_m: float) -> Habit:
    tops = (0.0, log_uniform(rng, 0.05, 0.8), log_uniform(rng, 0.4, 3))
    bottoms = (0.0, log_uniform(rng, 0.05, 1.0), log_uniform(rng, 0.3, 4))
    habit = Habit(
        style=style,
        travel_m=travel_m,
        up_s=log_uniform(rng, 0.5, 2.5),
        down_s=log_uniform(rng, 0.5, 3.0),
        top_s=float(rng.choice(tops, p=[0.5, 0.35, 0.15])),
        bottom_s=float(rng.choice(bottoms, p=[0.35, 0.45, 0.2])),
        jitter=rng.uniform(0.02, 0.2),
        tiring=rng.uniform(0, 0.05),
        alike=int(rng.integers(1 << 30)) if rng.random() < 0.7 else None,
        half_share=rng.uniform(0.3, 0.7),
        half_s=rng.uniform(0, 2.5),
        shrug_m=rng.uniform(0.02, 0.065),
        shrug_s=float(rng.choice([0.0, rng.uniform(0, 0.4), rng.uniform(0.2, 1.0)])),
        overlap=rng.uniform(0, 0.25),
        fastest_m_s2=log_uniform(rng, 1.5, 7),  # below g, since hands can pull but not push
    )
    return _styled(rng, habit)


def _styled(rng: Rng, habit: Habit) -> Habit:
    match habit.style:
        case "fast":
            quick = rng.uniform(0.4, 0.75, 2)
            return replace(
                habit, up_s=quick[0], down_s=quick[1], top_s=0, bottom_s=float(rng.choice([0, 0.1])), fastest_m_s2=7
            )
        case "paused":
            top_s = rng.uniform(0.5, 5) if rng.random() < 0.8 else habit.top_s
            return replace(habit, top_s=top_s, bottom_s=rng.uniform(0.3, 4) if rng.random() < 0.5 else habit.bottom_s)
        case "slow":
            jumped = rng.random() < 0.4
            up_s = rng.uniform(0.35, 0.8) if jumped else habit.up_s
            return replace(habit, up_s=up_s, down_s=log_uniform(rng, 2.5, 10))
        case "dead hang":
            return replace(habit, bottom_s=rng.uniform(0.8, 4))
    return habit


def write_set(rng: Rng, habit: Habit, reps: int, start_s: float) -> Written:
    """Write a set that begins at `start_s`; with some luck the last attempt fails."""
    written = Written(start_s, habit.fastest_m_s2)
    for k in range(reps):
        shapes = np.random.default_rng(habit.alike) if habit.alike is not None else rng
        tired = 1 + habit.tiring * k * min(1.0, 10 / reps)
        _write_rep(rng, shapes, written, habit, tired, last=k >= reps - 2)
        if k < reps - 1:
            written.wait(_pause(rng, habit.bottom_s, habit, 0.05, 4) * tired)
    if rng.random() < 0.25:
        written.wait(rng.uniform(0.1, 3))
        write_attempt(rng, written, habit)
    return written


def _write_rep(rng: Rng, shapes: Rng, written: Written, habit: Habit, tired: float, *, last: bool) -> None:
    style = habit.style
    if style == "mixed":
        style = str(rng.choice(["ordinary", "paused", "slow", "one-and-a-half", "shrug"]))
    shorter = 1 - rng.uniform(0, 0.4) * (tired - 1)
    top_m = habit.travel_m * max(0.6, shorter) * _about(rng, 1, 0.04)
    shrug = None
    if style == "shrug" or (style == "ordinary" and rng.random() < 0.03):
        written.settle()
        rise_m = min(habit.shrug_m * _about(rng, 1, 0.15), 0.25 * top_m)
        shrug = written.move(shapes.uniform(0.2, 0.7), rise_m, CALM, Label.SHRUG, Label.SHRUG)
        written.wait(habit.shrug_s * _about(rng, 1, 0.3))
    sticks = (habit.style == "grinding" and rng.random() < 0.7) or (last and rng.random() < 0.25)
    up_s = habit.up_s * _about(rng, 1, habit.jitter) * tired * (1.4 if sticks else 1)
    up = written.move(up_s, top_m - written.height_m, draw_shape(shapes, up_s, sticks=sticks), Label.UP, Label.TOP)
    longest_s = rng.uniform(0.5, 3) if style == "paused" and habit.style == "mixed" else habit.top_s
    written.wait(_pause(rng, longest_s, habit, 0.04, 2))
    if style == "one-and-a-half":
        _write_half(rng, shapes, written, habit, top_m)
    down_s = habit.down_s * _about(rng, 1, habit.jitter)
    if style == "slow" and habit.style == "mixed":
        down_s = rng.uniform(2.5, 6)
    bottom_m = rng.normal() * 0.015 * habit.travel_m
    down = written.move(down_s, bottom_m - written.height_m, draw_shape(shapes, down_s), Label.DOWN, Label.HANG)
    written.reps.append(Planned(shrug, up, down, "one_and_half" if style == "one-and-a-half" else "full"))


def _write_half(rng: Rng, shapes: Rng, written: Written, habit: Habit, top_m: float) -> None:
    """Half-way down, a pause, and up again."""
    way_m = habit.half_share * top_m * _about(rng, 1, 0.1)
    written.settle()
    for share_s, rise_m, label, after, pause_s in (
        (habit.down_s, -way_m, Label.DOWN, Label.HALF, habit.half_s * _about(rng, 1, 0.2)),
        (habit.up_s, way_m * _about(rng, 1, 0.05), Label.UP, Label.TOP, rng.uniform(0, 0.3)),
    ):
        duration_s = min(6.0, max(0.3, share_s * habit.half_share * rng.uniform(0.8, 1.1)))
        written.move(duration_s, rise_m, draw_shape(shapes, duration_s), label, after)
        written.wait(pause_s)


def write_attempt(rng: Rng, written: Written, habit: Habit) -> None:
    """Pull part of the way, stay a moment, sink back.

    A tired rep goes at least 0.73 of the way (`_write_rep`), so what goes 0.6 of it at most can be told from one.
    """
    reached_m = log_uniform(rng, 0.15, 0.6) * habit.travel_m
    up_s, down_s = habit.up_s * rng.uniform(0.8, 2.0), rng.uniform(0.4, 2.0)
    shape = draw_shape(rng, up_s, sticks=bool(rng.random() < 0.5))
    up = written.move(up_s, reached_m, shape, Label.TRY, Label.TRY)
    written.wait(rng.uniform(0, 1))
    down = written.move(down_s, -reached_m, draw_shape(rng, down_s), Label.TRY, Label.HANG)
    written.reps.append(Planned(None, up, down, "partial"))


def draw_shape(rng: Rng, duration_s: float, *, sticks: bool = False) -> Shape:
    """Draw the run of the speed: minimum jerk, leaning to one side, or even for long; dips and waves on it."""
    slow = duration_s > SLOW_S
    shape = CALM
    kind = rng.random()
    if kind < (0.55 if slow else 0.12):
        shape = replace(shape, plateau=rng.uniform(0.4, 0.88), start_share=rng.uniform(0.2, 0.8))
    elif kind < 0.75:
        before, after = rng.uniform(1.5, 3.2, 2)
        shape = replace(shape, before=before, after=after)
    if rng.random() < (0.5 if slow else 0.25):
        deepest = 0.5 if slow else 0.25
        waves = ((rng.uniform(0.8, 3) * duration_s, rng.uniform(0, deepest), rng.uniform(0, 6.3)) for _ in range(2))
        shape = replace(shape, wobbles=tuple(waves))
    if sticks:
        dips = ((rng.uniform(0.3, 0.75), rng.uniform(0.06, 0.15), rng.uniform(0.5, 0.9)),)
        shape = replace(shape, dips=dips)
    return shape


def _pause(rng: Rng, usual_s: float, habit: Habit, share_long: float, longest_s: float) -> float:
    """Return a pause about as long as usual, sometimes far longer, or a round turn where none is meant."""
    pause_s = usual_s * _about(rng, 1, 0.3) if usual_s else 0.0
    if not usual_s:
        pause_s = rng.uniform(0, 0.12) if rng.random() < 0.4 else -habit.overlap * min(habit.up_s, habit.down_s)
    if rng.random() < share_long:
        pause_s = abs(pause_s) + rng.uniform(0, longest_s)
    return float(pause_s)


def _about(rng: Rng, mean: float, sigma: float) -> float:
    return mean * float(np.exp(sigma * np.clip(rng.normal(), -2.2, 2.2)))
