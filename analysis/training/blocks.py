"""The steps of each kind of prescription. All figures are common practice, no source."""

from __future__ import annotations

from dataclasses import dataclass

from analysis.training.prescription import Tempo

ORDINARY = Tempo(down_s=1, bottom_s=0, up_s=1, top_s=0)
"""About a second up and a second down."""

HALF_PAUSE_S = 1.0
"""Stop at mid-height of a one-and-a-half rep."""


@dataclass(frozen=True, slots=True)
class Step:
    """What one week asks for: sets × reps, tempo, rest in seconds; or sets of one hold of `hold_s`.

    Attributes
    ----------
    half_pause_s
        Of a one-and-a-half rep; None for other kinds.
    load_kg
        Added (positive) or assistance (negative).
    """

    sets: int
    reps: int
    tempo: Tempo
    rest_s: float
    hold_s: float | None = None
    half_pause_s: float | None = None
    load_kg: float = 0.0


def rests(from_s: int, to_s: int, by_s: int = 5) -> range:
    """Return the rests of a taper, the longest first."""
    return range(from_s, to_s - 1, -by_s)


def rest_taper(
    sets: int, reps: int, tempo: Tempo = ORDINARY, *, from_s: int = 90, to_s: int = 60, by_s: int = 5
) -> tuple[Step, ...]:
    """Return the steps of the rest taper: 90, 85, … 60 s, one a week."""
    return tuple(Step(sets, reps, tempo, float(rest)) for rest in rests(from_s, to_s, by_s))


def paused(sets: int, reps: int, *, from_s: int = 90, to_s: int = 60) -> tuple[Step, ...]:
    """Return 2, 3, 4 s at the top: at each length the rest goes down, then one second more with the first rest."""
    tempos = (Tempo(down_s=1, bottom_s=0, up_s=1, top_s=top) for top in (2, 3, 4))
    return tuple(step for tempo in tempos for step in rest_taper(sets, reps, tempo, from_s=from_s, to_s=to_s))


def one_and_a_half(sets: int, reps: int, *, from_s: int = 90, to_s: int = 60) -> tuple[Step, ...]:
    """Return reps with a second rise from mid-height, with the rest taper."""
    return tuple(Step(sets, reps, ORDINARY, float(rest), half_pause_s=HALF_PAUSE_S) for rest in rests(from_s, to_s))


def slow_negative(sets: int, reps: int, *, from_s: int = 90, to_s: int = 60) -> tuple[Step, ...]:
    """Return 2, 3, 4 s down and 1 s up with the first rest, then the taper at 4 s."""
    tempos = [Tempo(down_s=down, bottom_s=0, up_s=1, top_s=0) for down in (2, 3, 4)]
    slower = [Step(sets, reps, tempo, float(from_s)) for tempo in tempos[:-1]]
    return (*slower, *rest_taper(sets, reps, tempos[-1], from_s=from_s, to_s=to_s))


def hold_steps(
    *, sets: int = 3, from_s: int = 10, to_s: int = 30, by_s: int = 5, rest_s: float = 90.0
) -> tuple[Step, ...]:
    """Return 3 × 10 s to 3 × 30 s of holding, 90 s rest."""
    return tuple(Step(sets, 1, ORDINARY, rest_s, float(hold)) for hold in range(from_s, to_s + 1, by_s))


def box_steps(rest_s: float = 90.0) -> tuple[Step, ...]:
    """Return holds and lowerings from a box: 3 × 3–5, held 5–10 s, then lowered in 3–5 s.

    The first lowering keeps within the eccentric cap of the early weeks.
    """
    held = [Step(3, 3, Tempo(down_s=1, bottom_s=0, up_s=None, top_s=top), rest_s) for top in (5, 7, 10)]
    lowered = ((3, 3), (4, 3), (5, 3), (5, 4), (5, 5))
    down = [Step(3, reps, Tempo(down_s=s, bottom_s=0, up_s=None, top_s=0), rest_s) for reps, s in lowered]
    return (*held, *down)


def pull_up_steps(rest_s: float = 120.0) -> tuple[Step, ...]:
    """Return 3 × 3 to 3 × 8.

    From three, because fewer alike strokes cannot be told from a stray movement by the sensor.
    """
    return tuple(Step(3, reps, ORDINARY, rest_s) for reps in range(3, 9))
