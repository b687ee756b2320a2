"""A session that a person tells, done without the sensor: what was asked that day, and whether it was done.

What is told is taken as told. Nothing of the tempo is known; it is not judged and does not decide. Before the gate to
the next rung such a session counts where somebody watched (`SessionRecord.confirmed`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from uuid import UUID

from analysis.training.judge import judge_rest, judge_session
from analysis.training.ladder import Method, Position
from analysis.training.phases import Duration, within
from analysis.training.plan import TrainingPlan
from analysis.training.prescription import Grip, Prescription
from analysis.training.progression import next_session
from analysis.training.records import History, SessionRecord, SetRecord, Source
from analysis.training.remarks import rest_words
from analysis.training.setup import UNSAID, SetUp
from analysis.training.situation import situation
from analysis.training.statements import Pain
from analysis.training.verdict import Outcome, SessionVerdict, SetVerdict
from analysis.training.words import day as day_words
from analysis.training.words import listing

AS_TOLD = "As told; tempo not checked."


class ToldError(ValueError):
    """What is told cannot be; the message says why and what to do next."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldSession:
    """What a person tells of a session.

    Attributes
    ----------
    counts
        Reps of each set in their order; of holds the seconds of each.
    rests_s
        Rest really taken before the second set, the third, …; one number holds for all, none: not told.
    rung
        Key of the rung, where it was another than the one proposed.
    grip, load_kg
        Where they were others than asked.
    pain, sharp, where
        Pain after the session, 0–10, whether sharp, at night or along a nerve, and where; None: not told.
    rpe, minutes
        Perceived exertion of the whole session, 0–10 (CR-10), and how long it took.
    """

    day: date
    counts: tuple[int, ...]
    rests_s: tuple[float, ...] = ()
    rung: str | None = None
    grip: Grip | None = None
    load_kg: float | None = None
    set_up: SetUp = UNSAID
    seen_by: str = ""
    pain: int | None = None
    sharp: bool = False
    where: str = ""
    rpe: int | None = None
    minutes: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Asked:
    """What was asked of a trainee on a day."""

    rung: str
    method: Method
    prescription: Prescription


def asked_on(history: History, plan: TrainingPlan, day: date, rung: str | None = None, *, sets: int = 1) -> Asked:
    """Return what was asked on a day, as the log stood then.

    Parameters
    ----------
    history
        Of one trainee; what is later than `day` is not looked at.
    plan
        The plan in use.
    rung
        Another rung than the one proposed: its last step done, else its first.
    sets
        So many were done: a test is one, and with more it was the step that was done, not the test.

    Raises
    ------
    ToldError
        When no session was allowed and no rung is named, or the ladder has no such rung.
    """
    known = history.until(day)
    proposal = next_session(known, plan, day)
    if proposal.prescription is not None and rung in (None, proposal.rung):
        if not proposal.prescription.is_test or sets == 1:
            return Asked(proposal.rung, proposal.method, proposal.prescription)
        rung = proposal.rung
    if rung is None:
        why = proposal.reasons[0].text
        raise ToldError(
            f"{why} If it was done all the same on {day_words(day)}, name its rung (--rung {proposal.rung})"
        )
    number = plan.ladder.number(rung)
    if number is None:
        keys = listing([one.key for one in plan.ladder.rungs])
        raise ToldError(f"{rung} is no rung of this plan; it has {keys}")
    return _on_rung(known, plan, day, number)


def _on_rung(known: History, plan: TrainingPlan, day: date, number: int) -> Asked:
    placed = situation(known, plan, day).placed
    there = [(position, record) for position, record in placed if position.rung == number]
    position = there[-1][0] if there else Position(number, 0)
    grip = there[-1][1].prescription.grip if there else next(iter(plan.grips_allowed), Grip.PRONATED)
    asked = replace(plan.ladder.prescription(position, grip), start=plan.start_of(number))
    return Asked(plan.ladder.rungs[number].key, position.method, asked)


def told_session(
    told: ToldSession,
    history: History,
    plan: TrainingPlan,
    *,
    session_id: UUID,
    trainee: UUID,
    span_utc_us: tuple[int, int],
) -> SessionRecord:
    """Return the record of a session that was told: judged against what was asked that day.

    Parameters
    ----------
    told
        What was said of it.
    history, plan
        Of the trainee.
    session_id, trainee
        As in the record.
    span_utc_us
        When it began and ended.

    Raises
    ------
    ToldError
        As `asked_on`; also where the rests are neither one nor one a gap.
    """
    asked = asked_on(history, plan, told.day, told.rung, sets=len(told.counts))
    used = replace(
        asked.prescription,
        grip=told.grip or asked.prescription.grip,
        load_kg=asked.prescription.load_kg if told.load_kg is None else told.load_kg,
    )
    sets = told_sets(told.counts, used, told.rests_s)
    return SessionRecord(
        session_id=session_id,
        trainee=trainee,
        day=told.day,
        started_utc_us=span_utc_us[0],
        ended_utc_us=span_utc_us[1],
        rung=asked.rung,
        prescription=used,
        mount=used.exercise.mount,
        sensor="",
        recording="",
        sets=sets,
        verdict=judge_told_session([one.verdict for one in sets], used),
        method=asked.method,
        source=Source.TYPED,
        seen_by=told.seen_by,
        set_up=told.set_up,
        rpe=told.rpe,
        minutes=told.minutes,
        note=told.note,
    )


def pain_after(told: ToldSession, record: SessionRecord) -> Pain | None:
    """Return the pain that was told with a session, as said just after its end; None where none was."""
    if told.pain is None:
        return None
    said_us = (record.ended_utc_us or record.started_utc_us) + 1
    return Pain(said_utc_us=said_us, day=told.day, now=told.pain, sharp=told.sharp, where=told.where)


def told_sets(counts: Sequence[int], prescription: Prescription, rests_s: Sequence[float]) -> tuple[SetRecord, ...]:
    """Return sets that were told, judged.

    Nobody measured when they were: set n stands in second n of a recording that there is not, so that they have an
    order and a correction can point at one.

    Parameters
    ----------
    counts
        Reps of each set; of holds the seconds.
    prescription
        What was asked.
    rests_s
        Rest before the second set, the third, …; one for all; none: not told.
    """
    rests = (None, *rests_between(rests_s, len(counts)))
    return tuple(
        SetRecord(
            number=number,
            bouts=(),
            start_s=float(number - 1),
            end_s=float(number),
            reps=(),
            measured=False,
            why=None,
            rest_before_s=rest_s,
            verdict=judge_told(count, prescription, rest_before_s=rest_s),
        )
        for number, (count, rest_s) in enumerate(zip(counts, rests, strict=False), start=1)
    )


def rests_between(rests_s: Sequence[float], sets: int) -> tuple[float | None, ...]:
    """Return the rest of each gap between sets: `rests_s` are those of all, or one for all, or none where not told."""
    gaps = max(sets - 1, 0)
    if len(rests_s) not in (0, 1, gaps):
        raise ToldError(f"{sets} sets have {gaps} rests between them, not {len(rests_s)}: give one for all, or {gaps}")
    return tuple(rests_s) if len(rests_s) == gaps else (tuple(rests_s) or (None,)) * gaps


def judge_told(count: int, prescription: Prescription, *, rest_before_s: float | None) -> SetVerdict:
    """Judge one set that was told: its count (of a hold the seconds) and the rest before it, nothing else."""
    held_s = prescription.hold_s
    target = 1 if held_s else prescription.reps
    enough = (
        _held(count, held_s, prescription) if held_s else Outcome.MET if count >= max(target, 1) else Outcome.MISSED
    )
    rest = judge_rest(rest_before_s, prescription)
    return SetVerdict(
        count=1 if held_s else count,
        target_reps=target,
        reps=(),
        reps_outcome=enough,
        tempo_outcome=Outcome.NOT_MEASURABLE,
        tut_s=float(count) if held_s else None,
        target_tut_s=held_s,
        tut_outcome=enough if held_s else Outcome.NOT_MEASURABLE,
        rest_before_s=rest_before_s,
        target_rest_s=prescription.rest_s,
        rest_outcome=rest,
        outcome=enough,
        remark=_remark(count, prescription, enough, rest_before_s if rest is Outcome.MISSED else None),
        held=bool(held_s),
    )


def _held(seconds: int, target_s: float, prescription: Prescription) -> Outcome:
    return within(Duration(float(seconds), 0.0), target_s - prescription.tolerance.of(target_s))[0]


def _remark(count: int, prescription: Prescription, enough: Outcome, late_s: float | None) -> str:
    if enough is not Outcome.MET:
        held_s = prescription.hold_s
        return f"Held {count} of {held_s:g} s." if held_s else f"{count} of {max(prescription.reps, 1)} reps."
    return AS_TOLD if late_s is None else rest_words(late_s, prescription.rest_s)


def judge_told_session(sets: Sequence[SetVerdict], prescription: Prescription) -> SessionVerdict:
    """Judge a told session from the verdicts of its sets."""
    found = judge_session(sets, prescription)
    return replace(found, summary=(*found.summary, AS_TOLD))
