"""From bouts of motion to sets of training.

Motion knows hands on and hands off; only the prescription knows what a set is. For straight sets a bout with at least
one rep that counts is a set, in the order of time. A bout without one (taking hold, a try, a hang) is none. Grouping
the bouts so far gives the same sets as grouping all of them later, so it may be asked again after every bout.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from analysis.motion.results import Bout, Rep, Why
from analysis.training.judge import judge_set
from analysis.training.prescription import Prescription
from analysis.training.records import SetRecord
from analysis.training.scale import scaled


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupedSet:
    """One set, as it was seen; all times on the sensor's own clock.

    Attributes
    ----------
    number
        1, 2, 3, …
    bouts
        Numbers of the bouts it consists of.
    start_s, end_s
        Start of the first rep, end of the last (a failed last attempt included).
    rest_before_s
        Since the end of the set before; None for the first.
    """

    number: int
    bouts: tuple[int, ...]
    start_s: float
    end_s: float
    reps: tuple[Rep, ...]
    measured: bool
    why: Why | None
    rest_before_s: float | None


def group_bouts(bouts: Sequence[Bout], prescription: Prescription) -> tuple[GroupedSet, ...]:
    """Group bouts into sets as prescribed.

    Parameters
    ----------
    bouts
        Refined where there is a refinement, else live; in any order.
    prescription
        What was asked. Its sets are straight ones: one bout each. Sets beyond those asked for are kept.
    """
    del prescription  # straight sets, the only kind so far, need nothing of it
    held = sorted((bout for bout in bouts if bout.count), key=lambda bout: bout.start_s)
    ends = [None, *(bout.end_s for bout in held)]
    return tuple(_straight(n, bout, end) for n, (bout, end) in enumerate(zip(held, ends, strict=False), start=1))


def _straight(number: int, bout: Bout, previous_end_s: float | None) -> GroupedSet:
    return GroupedSet(
        number=number,
        bouts=(bout.number,),
        start_s=bout.start_s,
        end_s=bout.end_s,
        reps=bout.reps,
        measured=bout.measured,
        why=bout.why,
        rest_before_s=None if previous_end_s is None else bout.start_s - previous_end_s,
    )


def judged(group: GroupedSet, prescription: Prescription, *, clock_ratio: float = 1.0) -> SetRecord:
    """Judge a set in true seconds and return what the log keeps: the reps as measured, and the verdict.

    Parameters
    ----------
    group
        One of :func:`group_bouts`.
    prescription
        What was asked.
    clock_ratio
        True seconds in one second of the sensor's clock, as far as it is known.
    """
    rest_s = None if group.rest_before_s is None else group.rest_before_s * clock_ratio
    verdict = judge_set(
        [scaled(rep, clock_ratio) for rep in group.reps],
        prescription,
        rest_before_s=rest_s,
        measured=group.measured,
        why=group.why,
    )
    return SetRecord(
        number=group.number,
        bouts=group.bouts,
        start_s=group.start_s,
        end_s=group.end_s,
        reps=group.reps,
        measured=group.measured,
        why=group.why,
        rest_before_s=rest_s,
        clock_ratio=clock_ratio,
        verdict=verdict,
    )
