"""From bouts of motion to sets of training.

Motion knows hands on and hands off; only the prescription knows what a set is. A bout with at least one rep that counts
is a set, in the order of time. A bout without one (taking hold, a try, a hang) is none. In a cluster set
(`Prescription.gap_s`) bouts that follow each other within the planned gap are one set; the first sets of the exercise
may be warm-ups. Grouping the bouts so far gives the same sets as grouping all of them later, but for a last cluster set
that goes on, so it may be asked again after every bout. In a superset each is the exercise's or the partner's
(`superset`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from analysis.motion.results import Bout, Rep, Why
from analysis.training.holds import judge_hold
from analysis.training.judge import judge_set
from analysis.training.prescription import Prescription
from analysis.training.records import SetRecord
from analysis.training.scale import TrueTime, in_true_time
from analysis.training.superset import OWN, SetKind, Told, kinds
from analysis.training.verdict import Outcome, RepVerdict, SetVerdict
from analysis.training.view import NOTHING, View

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
        Since the end of the set before; None for the first of those that count, and for a warm-up. In a superset since
        the end of the partner's, and None where that was not seen.
    told
        Whose it is.
    begins_down, direction
        Of its first bout.
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
    begins_down: bool | None = None
    direction: tuple[float, float, float] | None = None


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
        What was asked. Its sets are one bout each, of reps or (`hold_s`) of one hold, or several bouts of reps with
        planned gaps between. Sets beyond those asked for are kept.
    said
        What a person said of some of them; the last word counts.
    """
    held = sorted((bout for bout in bouts if _is_set(bout, prescription)), key=lambda bout: bout.start_s)
    told = _warm_ups_first(_told(held, prescription, said), prescription.warm_ups)
    groups: list[GroupedSet] = []
    for bout, one in zip(held, told, strict=True):
        before = groups[-1] if groups else None
        if before is not None and _goes_on(before, bout, one, prescription):
            groups[-1] = _longer(before, bout, one)
        else:
            number = 1 + sum(group.told.kind is one.kind for group in groups)
            groups.append(_begun(number, bout, one, _rest_s(before, bout, one, prescription)))
    return tuple(groups)


def may_go_on(record: SetRecord, prescription: Prescription, since_s: float) -> bool:
    """Tell whether a cluster set is not over `since_s` after its last rep: reps are missing, and its gap lasts."""
    clustered = prescription.gap_s is not None and record.kind is SetKind.EXERCISE
    return (
        clustered
        and record.verdict.count < prescription.at(record.start_s).reps
        and since_s <= prescription.longest_gap_s
    )


def _is_set(bout: Bout, prescription: Prescription) -> bool:
    if prescription.hold_s is None:
        return bool(bout.count)
    return bool(bout.holds) or bool(bout.count and prescription.partner)


def _told(held: Sequence[Bout], prescription: Prescription, said: Sequence[Said]) -> tuple[Told, ...]:
    if prescription.partner is None:
        return (OWN,) * len(held)
    if prescription.hold_s is not None:
        return tuple(OWN if bout.holds else Told(SetKind.PARTNER) for bout in held)
    return kinds(held, [_word(bout, said) for bout in held], prescription.longest_gap_s)


def _warm_ups_first(told: Sequence[Told], warm_ups: int) -> Iterator[Told]:
    """Yield the first so many sets of the exercise as warm-ups."""
    left = warm_ups
    for one in told:
        warm = left > 0 and one.kind is SetKind.EXERCISE
        left -= warm
        yield replace(one, kind=SetKind.WARM_UP) if warm else one


def _word(bout: Bout, said: Sequence[Said]) -> SetKind | None:
    words = [one.kind for one in said if bout.start_s < one.end_s and one.start_s < bout.end_s]
    return words[-1] if words else None


def _goes_on(before: GroupedSet, bout: Bout, one: Told, prescription: Prescription) -> bool:
    both = before.told.kind is one.kind is SetKind.EXERCISE
    return both and bout.start_s - before.end_s <= prescription.longest_gap_s


def _rest_s(before: GroupedSet | None, bout: Bout, one: Told, prescription: Prescription) -> float | None:
    """Return the rest before a set, on the sensor's clock; None where it is none, or was not seen."""
    if before is None or SetKind.WARM_UP in (one.kind, before.told.kind):
        return None
    hidden = prescription.partner is not None and before.told.kind is one.kind
    return None if hidden else bout.start_s - before.end_s


def _begun(number: int, bout: Bout, one: Told, rest_s: float | None) -> GroupedSet:
    return GroupedSet(
        number=number,
        bouts=(bout.number,),
        start_s=bout.start_s,
        end_s=bout.end_s,
        reps=bout.reps,
        measured=bout.measured,
        why=bout.why,
        rest_before_s=rest_s,
        told=one,
        begins_down=bout.begins_down,
        direction=bout.direction,
    )


def _longer(group: GroupedSet, bout: Bout, one: Told) -> GroupedSet:
    """Return a cluster set with one bout more; it is measured as long as every part of it is."""
    return replace(
        group,
        bouts=(*group.bouts, bout.number),
        end_s=bout.end_s,
        reps=(*group.reps, *bout.reps),
        measured=group.measured and bout.measured,
        why=group.why or bout.why,
        told=replace(one, unsure=group.told.unsure or one.unsure),
    )


def judged(group: GroupedSet, prescription: Prescription, clock: TrueTime = TRUE, view: View = NOTHING) -> SetRecord:
    """Judge a set in true seconds and return what the log keeps: the reps as measured, and the verdict.

    Parameters
    ----------
    group
        One of :func:`group_bouts`.
    prescription
        What was asked of the session.
    clock
        How the sensor's clock goes, as far as it is known.
    view
        What is known beside the motion.
    """
    prescription = prescription.at(group.start_s)
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
        verdict=_verdict(group, prescription, rest_s, clock, view),
        kind=group.told.kind,
        begins_down=group.begins_down,
        direction=group.direction,
    )


def _verdict(
    group: GroupedSet, prescription: Prescription, rest_s: float | None, clock: TrueTime, view: View
) -> SetVerdict:
    if group.told.kind is not SetKind.EXERCISE:
        return not_judged(group.told.kind, prescription, sum(rep.counts for rep in group.reps), len(group.reps))
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
        view=view,
    )
    if group.told.unsure and prescription.partner:
        return replace(verdict, remark=f"Counted; it may have been the {prescription.partner.name}.")
    return verdict


def not_judged(kind: SetKind, prescription: Prescription, count: int, reps: int = 0) -> SetVerdict:
    """Return what there is to say of a warm-up, or of a set of another exercise, whose reps are not counted.

    Parameters
    ----------
    kind
        Which of them.
    prescription
        What was asked of the others.
    count
        How many reps of it count.
    reps
        How many are listed.
    """
    unknown, other = Outcome.NOT_MEASURABLE, kind is SetKind.PARTNER
    return SetVerdict(
        count=0 if other else count,
        target_reps=0,
        reps=(RepVerdict((), unknown),) * reps,
        reps_outcome=unknown,
        tempo_outcome=unknown,
        tut_s=None,
        target_tut_s=None,
        tut_outcome=unknown,
        rest_before_s=None,
        target_rest_s=prescription.rest_s,
        rest_outcome=unknown,
        outcome=unknown,
        remark="The superset's other exercise; not counted." if other else "Warm-up; not judged.",
    )
