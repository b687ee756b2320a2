"""Whose set it was: the prescribed exercise's, or its superset partner's.

Three things tell, and none of them alone is enough:

- **order**: pulling first, then the partner, in turn (`Prescription.partner`);
- **posture**: the direction of gravity in the sensor's frame, against the sets of the exercise so far;
- **first stroke**: a pull begins at its bottom, a press-up, a dip or a squat at its top.

Two that agree make it the partner's, as long as the third does not speak against it. Anything less stays a set of the
exercise, and says so: a set that is lost is worse than one that has to be left out by key.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import acos, degrees
from typing import Protocol

OTHER_POSTURE_DEG = 35.0
"""From here on a posture is another one: the lean of pulls differs by less from set to set, hands on the floor by far
more (no source)."""


class SetKind(StrEnum):
    """Whose set it is."""

    EXERCISE = "exercise"
    PARTNER = "partner"
    WARM_UP = "warm-up"
    """One of the exercise that comes before those that count: kept, not judged."""


class Seen(Protocol):
    """What tells whose it was: a bout of motion, or a set that begins with it (`analysis.motion.results.Bout`)."""

    @property
    def start_s(self) -> float:
        """Start of the first rep."""
        ...

    @property
    def end_s(self) -> float:
        """End of the last one."""
        ...

    @property
    def begins_down(self) -> bool | None:
        """Whether its first stroke went down."""
        ...

    @property
    def direction(self) -> tuple[float, float, float] | None:
        """Its posture."""
        ...


@dataclass(frozen=True, slots=True)
class Told:
    """Whose set a bout is, and whether it might be the partner's all the same."""

    kind: SetKind
    unsure: bool = False


OWN = Told(SetKind.EXERCISE)


def kinds(bouts: Sequence[Seen], said: Sequence[SetKind | None], longest_gap_s: float = 0.0) -> tuple[Told, ...]:
    """Tell of each bout of a superset whose set it is; what comes later changes nothing of it.

    Parameters
    ----------
    bouts
        With reps, in order of time.
    said
        What a person said of each; None where nobody did.
    longest_gap_s
        Sooner after a set of the exercise it is not the partner's turn: a cluster set may go on.
    """
    told: list[Told] = []
    own: list[Seen] = []
    for number, (bout, word) in enumerate(zip(bouts, said, strict=True)):
        soon = number > 0 and bout.start_s - bouts[number - 1].end_s <= longest_gap_s
        due = bool(told) and told[-1].kind is SetKind.EXERCISE and not soon
        told.append(_tell(bout, own, due=due) if word is None else Told(word))
        if told[-1].kind is SetKind.EXERCISE and not told[-1].unsure:
            own.append(bout)
    return tuple(told)


def _tell(bout: Seen, own: Sequence[Seen], *, due: bool) -> Told:
    down = None if any(one.begins_down for one in own) else bout.begins_down  # sitting down under a low bar
    other = _in_another_posture(bout, own)
    agree = sum((due, bool(other), bool(down)))
    if agree >= 2 and down is not False:
        return Told(SetKind.PARTNER)
    return Told(SetKind.EXERCISE, unsure=bool(other or down or (due and down is None)))


def _in_another_posture(bout: Seen, own: Sequence[Seen]) -> bool:
    """Whether the posture is far from that of every set of the exercise so far; not where nothing is known of it."""
    known = [one.direction for one in own if one.direction is not None]
    if bout.direction is None or not known:
        return False
    return all(_apart_deg(bout.direction, one) > OTHER_POSTURE_DEG for one in known)


def _apart_deg(a: Sequence[float], b: Sequence[float]) -> float:
    cosine = sum(x * y for x, y in zip(a, b, strict=True))
    return degrees(acos(max(-1.0, min(1.0, cosine))))
