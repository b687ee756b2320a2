"""How two reps differ, or the sets of two sessions: by seconds of each phase, with what is not known of them; pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, sqrt
from statistics import fmean, stdev

from analysis.motion.events import Phase
from tui.retrace.view import SeenRep, SeenSet
from tui.session.messages import Hill

SURE = 2.0
"""A difference is told where it is greater than so many of its own sigma, as a verdict is."""
_LEAST_SD_S = 0.025
"""Nothing is told apart more finely than the tenth of a second in which it is said."""


@dataclass(frozen=True, slots=True)
class Lasted:
    """How long a phase took, with its one-sigma uncertainty; None where one of its ends cannot be told."""

    duration_s: float
    sd_s: float | None


PHASES = (Phase.UP, Phase.TOP, Phase.DOWN)
"""What is compared: how long the bottom lasts is hardly ever asked."""

Times = dict[Phase, Lasted]
"""What is known of a rep's phases, or of the mean rep of a set."""


@dataclass(frozen=True, slots=True)
class Pair:
    """Two hills to be laid over each other.

    Attributes
    ----------
    name
        Which.
    hill, other
        The second stands behind the first as a silhouette; None where there is none.
    words
        How the first differs from the second.
    """

    name: str
    hill: Hill | None
    other: Hill | None
    words: str


def times_of(rep: SeenRep) -> Times:
    """Return the phases of a rep; the sigma of each is that of its two ends together."""
    sds = {edge.phase: edge.sd_s for edge in rep.edges}
    hill = rep.hill
    lowered = Phase.AWAY if hill.two_summits else Phase.DOWN  # of one and a half, where its first hold ends is no edge
    found = {
        Phase.UP: (hill.up_s, Phase.UP, Phase.TOP),
        Phase.TOP: (hill.top_s, Phase.TOP, lowered),
        Phase.DOWN: (hill.down_s, Phase.DOWN, Phase.BOTTOM),
    }
    return {
        step: Lasted(lasted_s, _both(sds.get(begins), sds.get(ends)))
        for step, (lasted_s, begins, ends) in found.items()
        if lasted_s is not None
    }


def _both(one: float | None, other: float | None) -> float | None:
    return None if one is None or other is None else hypot(one, other)


def mean_times(reps: Sequence[SeenRep]) -> Times:
    """Return the mean phases of the reps that count; the sigma is the standard error by their own spread."""
    counted = [times_of(rep) for rep in reps if rep.hill.counted]
    means: Times = {}
    for step in PHASES:
        lasted = [times[step].duration_s for times in counted if step in times]
        if lasted:
            error_s = stdev(lasted) / sqrt(len(lasted)) if len(lasted) > 1 else None
            means[step] = Lasted(fmean(lasted), error_s)
    return means


def mean_hill(reps: Sequence[SeenRep]) -> Hill | None:
    """Return the mean rep of a set as a hill; None where no rep of it counts."""
    times = mean_times(reps)
    if not times:
        return None
    up, top, down = (times.get(step) for step in PHASES)
    counted = [rep.hill for rep in reps if rep.hill.counted]
    return Hill(
        up_s=up.duration_s if up else None,
        top_s=top.duration_s if top else None,
        down_s=down.duration_s if down else None,
        bottom_s=None,
        height=fmean(hill.height for hill in counted),
        two_summits=sum(hill.two_summits for hill in counted) * 2 > len(counted),
    )


def difference_words(times: Times, other: Times) -> str:
    """Say how the first differs from the second, phase by phase: "up alike, top 0.4 s shorter, down not known"."""
    return ", ".join(f"{step.value} {_said(times.get(step), other.get(step))}" for step in PHASES)


def _said(one: Lasted | None, other: Lasted | None) -> str:
    if one is None or other is None or one.sd_s is None or other.sd_s is None:
        return "not known"
    by_s = one.duration_s - other.duration_s
    if abs(by_s) <= SURE * max(_LEAST_SD_S, hypot(one.sd_s, other.sd_s)):
        return "alike"
    return f"{abs(by_s):.1f} s {'longer' if by_s > 0 else 'shorter'}"


def against_words(rep: SeenRep | None, other: SeenRep, name: str) -> str:
    """Say how a rep differs from another, which is called `name`; None: there is no rep here."""
    if rep == other:
        return f"{name} lies behind every rep now"
    if rep is None:
        return f"against {name}"
    return f"against {name}: {difference_words(times_of(rep), times_of(other))}"


def alike(sets: Sequence[SeenSet], others: Sequence[SeenSet]) -> tuple[int | None, ...]:
    """Return of each set the index of the one to lay behind it: of the same exercise, at the same place among those."""
    places: Counter[str] = Counter()
    found: list[int | None] = []
    for one in sets:
        same = [index for index, other in enumerate(others) if other.exercise == one.exercise]
        found.append(same[places[one.exercise]] if places[one.exercise] < len(same) else None)
        places[one.exercise] += 1
    return tuple(found)


def before(sets: Sequence[SeenSet]) -> tuple[int | None, ...]:
    """Return of each set of a session the index of the one of the same exercise before it; of the first, none."""
    last: dict[str, int] = {}
    found: list[int | None] = []
    for index, one in enumerate(sets):
        found.append(last.get(one.exercise))
        last[one.exercise] = index
    return tuple(found)


def following(index: int | None, count: int, by: int) -> int | None:
    """Return the next of `count` sets, or the one before; between the last and the first there is none."""
    place = ((-1 if index is None else index) + 1 + by) % (count + 1)
    return place - 1 if place else None


def set_pair(one: SeenSet, other: SeenSet | None) -> Pair:
    """Lay the mean rep of a set over that of another."""
    hill = mean_hill(one.reps)
    if other is None:
        return Pair(f"set {count_words(one)}, over none", hill, None, "")
    words = difference_words(mean_times(one.reps), mean_times(other.reps))
    return Pair(f"set {count_words(one)}, over set {count_words(other)}", hill, mean_hill(other.reps), words)


def count_words(one: SeenSet) -> str:
    """Say which set it is, and how many of its reps count."""
    count = sum(rep.hill.counted for rep in one.reps)
    return f"{one.label}: {count} {'rep' if count == 1 else 'reps'}"
