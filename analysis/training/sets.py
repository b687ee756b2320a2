"""From bouts of motion to sets of training.

Motion knows hands on and hands off; only the prescription knows what a set is. For straight sets a bout with at least
one rep that counts is a set, in the order of time. A bout without one (taking hold, a try, a hang) is none. Grouping
the bouts so far gives the same sets as grouping all of them later, so it may be asked again after every bout. In a
superset each is the exercise's or the partner's (`superset`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from analysis.motion.results import Bout, Rep, Why
from analysis.training.holds import judge_hold
from analysis.training.judge import judge_set
from analysis.training.prescription import Prescription
from analysis.training.records import SetRecord
from analysis.training.scale import TrueTime, in_true_time
from analysis.training.superset import OWN, SetKind, Told, kinds
from analysis.training.verdict import Outcome, RepVerdict, SetVerdict

TRUE = TrueTime()


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupedSet:
    """One set, as it was seen; all times on the sensor's own clock.

    Attributes
    ----------
    number
        1, 2, 3, …; sets of a superset's partner are numbered for themselves.
    bouts
        Numbers of the bouts it consists of.
    start_s, end_s
        Start of the first rep, end of the last (a failed last attempt included).
    rest_before_s
        Since the end of the set before; None for the first. In a superset since the end of the partner's, and None
        where that was not seen.
    told
        Whose it is.
    """

    number: int
    bouts: tuple[int, ...]
    start_s: float
    end_s: float
    reps: tuple[Rep, ...]
    measured: bool
    why: Why | None
    rest_before_s: float | None
    told: Told = OWN


@dataclass(frozen=True, slots=True)
class Said:
    """What a person said of a span of the recording: whose set it is."""

    start_s: float
    end_s: float
    kind: SetKind


def group_bouts(bouts: Sequence[Bout], prescription: Prescription, said: Sequence[Said] = ()) -> tuple[GroupedSet, ...]:
    """Group bouts into sets as prescribed, in order of time.

    Parameters
    ----------
    bouts
        Refined where there is a refinement, else live; in any order.
    prescription
        What was asked. Its sets are straight ones: one bout each, of reps or (`hold_s`) of one hold. Sets beyond
        those asked for are kept.
    said
        What a person said of some of them; the last word counts.
    """
    held = sorted((bout for bout in bouts if _is_set(bout, prescription)), key=lambda bout: bout.start_s)
    told = _told(held, prescription, said)
    groups: list[GroupedSet] = []
    for bout, one in zip(held, told, strict=True):
        before = groups[-1] if groups else None
        number = 1 + sum(group.told.kind is one.kind for group in groups)
        group = _straight(number, bout, None if before is None else before.end_s)
        hidden = prescription.partner is not None and before is not None and before.told.kind is one.kind
        groups.append(replace(group, told=one, rest_before_s=None if hidden else group.rest_before_s))
    return tuple(groups)


def _is_set(bout: Bout, prescription: Prescription) -> bool:
    if prescription.hold_s is None:
        return bool(bout.count)
    return bool(bout.holds) or bool(bout.count and prescription.partner)


def _told(held: Sequence[Bout], prescription: Prescription, said: Sequence[Said]) -> tuple[Told, ...]:
    if prescription.partner is None:
        return (OWN,) * len(held)
    if prescription.hold_s is not None:
        return tuple(OWN if bout.holds else Told(SetKind.PARTNER) for bout in held)
    return kinds(held, [_word(bout, said) for bout in held])


def _word(bout: Bout, said: Sequence[Said]) -> SetKind | None:
    words = [one.kind for one in said if bout.start_s < one.end_s and one.start_s < bout.end_s]
    return words[-1] if words else None


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


def judged(group: GroupedSet, prescription: Prescription, clock: TrueTime = TRUE) -> SetRecord:
    """Judge a set in true seconds and return what the log keeps: the reps as measured, and the verdict.

    Parameters
    ----------
    group
        One of :func:`group_bouts`.
    prescription
        What was asked.
    clock
        How the sensor's clock goes, as far as it is known.
    """
    rest_s = None if group.rest_before_s is None else group.rest_before_s * clock.ratio
    return SetRecord(
        number=group.number,
        bouts=group.bouts,
        start_s=group.start_s,
        end_s=group.end_s,
        reps=group.reps,
        measured=group.measured,
        why=group.why,
        rest_before_s=rest_s,
        clock_ratio=clock.ratio,
        verdict=_verdict(group, prescription, rest_s, clock),
        kind=group.told.kind,
    )


def _verdict(group: GroupedSet, prescription: Prescription, rest_s: float | None, clock: TrueTime) -> SetVerdict:
    if group.told.kind is SetKind.PARTNER:
        return _not_judged(group, prescription)
    if prescription.hold_s is not None:
        held_s = (group.end_s - group.start_s) * clock.ratio
        return judge_hold(held_s, prescription, rest_before_s=rest_s, clock_sd=clock.ratio_sd)
    verdict = judge_set(
        [in_true_time(rep, clock) for rep in group.reps],
        prescription,
        rest_before_s=rest_s,
        measured=group.measured,
        why=group.why,
        clock_sd=clock.ratio_sd,
    )
    if group.told.unsure and prescription.partner:
        return replace(verdict, remark=f"Counted; it may have been the {prescription.partner.name}.")
    return verdict


def _not_judged(group: GroupedSet, prescription: Prescription) -> SetVerdict:
    """Return what there is to say of a partner's set: nothing was counted, and nothing was asked of it here."""
    unknown = Outcome.NOT_MEASURABLE
    return SetVerdict(
        count=0,
        target_reps=0,
        reps=(RepVerdict((), unknown),) * len(group.reps),
        reps_outcome=unknown,
        tempo_outcome=unknown,
        tut_s=None,
        target_tut_s=None,
        tut_outcome=unknown,
        rest_before_s=None,
        target_rest_s=prescription.rest_s,
        rest_outcome=unknown,
        outcome=unknown,
        remark="The superset's other exercise; not counted.",
    )
