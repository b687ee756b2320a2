"""What the virtual trainee is asked to do: sets of reps with rests between."""

from __future__ import annotations

from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class Beat:
    """Intended seconds of the four phases of one rep, in the order of a pull-up."""

    up_s: float
    top_s: float
    down_s: float
    bottom_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Script:
    """A session as intended; the trainee's own variation is added by the seed.

    Attributes
    ----------
    trainee
        Name of the (invented) person.
    sets
        The reps of each set.
    rest_s
        From the last rep's end to the next set's first rep.
    strain
        How much hands and body tremble on the bar, as a multiple of what they do with the feet on the floor.
    """

    trainee: str
    sets: tuple[tuple[Beat, ...], ...]
    rest_s: float
    strain: float = 1.0

    def __post_init__(self) -> None:
        if not self.sets or not all(self.sets):
            raise ValueError("a script needs at least one set, and each set at least one rep")


def regular_script(*, trainee: str, sets: int, reps: int, beat: Beat, rest_s: float) -> Script:
    """Return a script of alike sets."""
    return Script(trainee=trainee, sets=((beat,) * reps,) * sets, rest_s=rest_s)


DEMO_BEAT = Beat(up_s=1.0, top_s=1.0, down_s=2.0, bottom_s=0.0)
HURRIED_DOWN_S = 0.9


def demo_script() -> Script:
    """Return the session of the demonstration: 3 sets of 5, the last two lowerings hurried.

    Mara Lindt is invented: a mountain-rescue recruit who prepares for her entry test.
    """
    script = regular_script(trainee="Mara Lindt", sets=3, reps=5, beat=DEMO_BEAT, rest_s=20.0)
    hurried = replace(DEMO_BEAT, down_s=HURRIED_DOWN_S)
    return replace(script, sets=(*script.sets[:2], (DEMO_BEAT,) * 3 + (hurried,) * 2))


HELD_S = 14.0
"""How long a hold of the demonstration lasts."""
_FREE_HANGING = 3.0


def hold_script() -> Script:
    """Return a session of holds: three times up, held at the top with the feet free, and down."""
    beat = Beat(up_s=1.0, top_s=HELD_S, down_s=2.0, bottom_s=0.0)
    script = regular_script(trainee="Mara Lindt", sets=3, reps=1, beat=beat, rest_s=20.0)
    return replace(script, strain=_FREE_HANGING)
