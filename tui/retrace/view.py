"""What the replay shows: immutable, complete, already computed. All times are seconds of the sensor's own clock."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from analysis.motion.events import Phase
from analysis.training.verdict import Outcome
from tui.retrace.live import Live, LiveRep, LiveState
from tui.session.messages import Hill

LEAST_S = 1.0
"""No recording is shown shorter: there is always a second to look at."""


@dataclass(frozen=True, slots=True)
class Edge:
    """Where one phase ends and the next begins.

    Attributes
    ----------
    sd_s
        One-sigma uncertainty; None where it cannot be told: then `at_s` is the best guess.
    """

    phase: Phase
    at_s: float
    sd_s: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenRep:
    """One rep as it answers now.

    Attributes
    ----------
    number
        From 1, within its set.
    until_s
        Where its bottom pause ends; `end_s` where that is not known.
    words
        Its phases and verdict on one line.
    """

    number: int
    start_s: float
    end_s: float
    until_s: float
    hill: Hill
    edges: tuple[Edge, ...]
    outcome: Outcome | None
    words: str

    @property
    def half_way_s(self) -> tuple[float, float] | None:
        """Of a one-and-a-half rep, from when to when it goes part of the way down, stops and goes up again."""
        begins = {edge.phase: edge.at_s for edge in self.edges}
        if not self.hill.two_summits or Phase.TOP not in begins or Phase.DOWN not in begins:
            return None
        return begins[Phase.TOP] + (self.hill.top_s or 0.0), begins[Phase.DOWN]


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenSet:
    """One set as it answers now.

    Attributes
    ----------
    label
        Short: its number, or of which other kind it is.
    exercise
        Of what it is a set: whose, whether a warm-up, and the exercise; empty where nobody said. Sets of the same are
        compared first.
    words
        What was done and met, on one line.
    measured
        False where its count cannot be relied on.
    held_s
        How long it was held, where it is one hold: that is drawn as a rep of which only the top is known.
    """

    label: str
    start_s: float
    end_s: float
    reps: tuple[SeenRep, ...]
    words: str
    exercise: str = ""
    measured: bool = True
    held_s: float | None = None


@dataclass(frozen=True, slots=True)
class Fault:
    """A stretch of which nothing can be said, or in which samples are missing."""

    start_s: float
    end_s: float
    words: str


@dataclass(frozen=True, slots=True)
class Note:
    """A moment that a person marked, with words or without."""

    at_s: float
    text: str
    who: str
    day: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RetraceView:
    """A whole session, or a whole file.

    Attributes
    ----------
    who
        Name of the trainee; empty for a file.
    title, asked
        Whose it is, and what was prescribed; a file has no prescription.
    target
        The prescribed rep; None where nothing was asked.
    sets
        As they answer now, in order of time.
    live
        What was told live.
    """

    who: str
    title: str
    asked: str
    start_s: float
    end_s: float
    target: Hill | None
    sets: tuple[SeenSet, ...]
    live: Live = field(default_factory=Live)
    faults: tuple[Fault, ...] = ()
    notes: tuple[Note, ...] = ()

    @property
    def duration_s(self) -> float:
        """Its length."""
        return self.end_s - self.start_s

    @property
    def reps(self) -> Iterator[SeenRep]:
        """All reps, in order of time."""
        return (rep for one in self.sets for rep in one.reps)

    def set_at(self, at_s: float) -> int | None:
        """Return the index of the set that holds a moment, or of the last one before it; None before the first."""
        begun = [index for index, one in enumerate(self.sets) if one.start_s <= at_s]
        return begun[-1] if begun else None

    def rep_at(self, at_s: float) -> SeenRep | None:
        """Return the rep that holds a moment."""
        return next((rep for rep in self.reps if rep.start_s <= at_s < max(rep.until_s, rep.end_s)), None)

    def live_beside(self, rep: SeenRep) -> LiveRep | None:
        """Return what was told live of a rep: what lies over most of it and not of others, counted before withdrawn."""
        beside = [one for one in self.live.reps if _overlap_s(one, rep) > 0.5 * max(_length_s(one), _length_s(rep))]
        return max(beside, key=lambda one: (one.state is LiveState.COUNTED, _overlap_s(one, rep)), default=None)


def _overlap_s(one: LiveRep, rep: SeenRep) -> float:
    return min(one.end_s, rep.end_s) - max(one.start_s, rep.start_s)


def _length_s(one: LiveRep | SeenRep) -> float:
    return one.end_s - one.start_s
