"""Was the prescription met? Per phase, rep, set and session.

With deviation d beyond the tolerance's edge and the phase's own standard deviation σ (from both its boundaries), a
phase is *met* if d + 2σ stays inside, *missed* if d − 2σ lies outside, else *unsure*. A null phase is not measurable.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Outcome(StrEnum):
    """The four answers; a wrong "met" is worse than "not measurable"."""

    MET = "met"
    MISSED = "missed"
    UNSURE = "unsure"
    NOT_MEASURABLE = "not measurable"


@dataclass(frozen=True, slots=True)
class PhaseVerdict:
    """One phase against its target.

    Attributes
    ----------
    name
        "up", "top", "down", "half" or "bottom".
    actual_s, sd_s, target_s
        Seconds; None where not measured, or not prescribed.
    direction
        −1 too short, +1 too long, 0 inside or unknown.
    """

    name: str
    actual_s: float | None
    sd_s: float | None
    target_s: float | None
    outcome: Outcome
    direction: int = 0


@dataclass(frozen=True, slots=True)
class RepVerdict:
    """One rep: the worst of its phases decides."""

    phases: tuple[PhaseVerdict, ...]
    outcome: Outcome


@dataclass(frozen=True, slots=True)
class SetVerdict:
    """One set: its count, its reps, its time under tension and the rest before it.

    Attributes
    ----------
    count, target_reps
        Counted and prescribed reps.
    tut_s, target_tut_s
        Time under tension, and prescribed: seconds; None where not measurable.
    rest_before_s, target_rest_s
        Rest kept before this set; None before the first.
    remark
        The one thing to say about it, short, kind, exact; empty when there is nothing.
    """

    count: int
    target_reps: int
    reps: tuple[RepVerdict, ...]
    reps_outcome: Outcome
    tempo_outcome: Outcome
    tut_s: float | None
    target_tut_s: float | None
    tut_outcome: Outcome
    rest_before_s: float | None
    target_rest_s: float
    rest_outcome: Outcome
    outcome: Outcome
    remark: str = ""


@dataclass(frozen=True, slots=True)
class SessionVerdict:
    """One session: all sets, and what follows from them in words.

    Attributes
    ----------
    outcome
        MET only if every prescribed set was done and met.
    summary
        Up to three sentences: what was met, what was missed, what to work on.
    """

    sets: tuple[SetVerdict, ...]
    outcome: Outcome
    summary: tuple[str, ...]
