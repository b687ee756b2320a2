"""The next session from what was done: rules that can be read, the first that applies decides."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date

from analysis.training.cautions import CAP_LOWERING_S, CAP_LOWERINGS, LAY_OFF_DAYS, cautions, within_cap
from analysis.training.ladder import Ladder, Position, Rung, Step
from analysis.training.prescription import Grip, Prescription
from analysis.training.records import SessionRecord
from analysis.training.situation import Situation, situation, standing
from analysis.training.verdict import Outcome
from analysis.training.words import day, listing

PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Reason:
    """Why the next session is what it is.

    Attributes
    ----------
    rule
        Name of the rule that fired.
    text
        What it says, one or two sentences.
    evidence
        Days, figures, and the source of the rule.
    """

    rule: str
    text: str
    evidence: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class NextSession:
    """What to do next, and why.

    Attributes
    ----------
    rung
        Key of the rung; log the session with it.
    step, steps
        Step on the rung, from 1, and how many it has: on a rest taper the week.
    due
        Earliest day.
    reasons
        At least one; the first decided what to do, others when, or a limit.
    """

    rung: str
    step: int
    steps: int
    prescription: Prescription
    due: date
    reasons: tuple[Reason, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Decision:
    position: Position
    reason: Reason


_Rule = Callable[[Situation], _Decision | None]


def next_session(
    history: Sequence[SessionRecord], ladder: Ladder, today: date, *, grip: Grip = Grip.PRONATED
) -> NextSession:
    """Work out the next session.

    Parameters
    ----------
    history
        Sessions of one trainee, in any order.
    ladder
        The ladder in use.
    today
        The trainee's calendar day.
    grip
        How to hold the bar.

    Notes
    -----
    Rules in their order: *start* (nothing done yet), *lay-off* (14 days off: one rung back), *not met* / *rest* /
    *unsure* / *not measurable* (a session of the week was not surely met: the same again), *week* (the week is not
    complete: the same again), *top*, *gate* (last step of a rung passed), *step*. Two limits stand beside whichever
    decided: *eccentric cap* and *days*.
    """
    now = situation(history, ladder, today)
    decided = next(decision for rule in _RULES if (decision := rule(now)) is not None)
    capped = _capped(now, decided.position)
    position = decided.position if capped is None else capped.position
    rung = ladder.rungs[position.rung]
    reasons = (decided.reason, *([] if capped is None else [capped.reason]), _days(now))
    stepping_up = now.at is not None and position.rung > now.at.rung
    return NextSession(
        rung=rung.key,
        step=position.step + 1,
        steps=len(rung.steps),
        prescription=rung.prescription(position.step, grip),
        due=now.due,
        reasons=reasons,
        cautions=cautions(ladder.at(position), early=now.early, stepping_up=stepping_up),
    )


def _start(now: Situation) -> _Decision | None:
    if now.at is not None:
        return None
    first = now.ladder.rungs[0]
    text = f"No session on the ladder yet: it begins with {first.exercise.name}, {_step_words(first.steps[0])}."
    return _Decision(Position(0, 0), Reason("start", text, (PRACTICE,)))


def _lay_off(now: Situation) -> _Decision | None:
    if now.at is None or now.last_day is None or now.days_off < LAY_OFF_DAYS:
        return None
    lower = Position(max(now.at.rung - 1, 0), 0)
    where = "One rung back" if now.at.rung else "Back to the first step of the rung"
    text = f"{now.days_off} days without a session. {where}: {_rung_words(now.ladder, lower)}."
    return _Decision(lower, Reason("lay-off", text, (f"last session {day(now.last_day)}", PRACTICE)))


def _not_met(now: Situation) -> _Decision | None:
    """Stay as soon as one session of the week was not surely met; the latest such one is named."""
    for record in reversed(now.week):
        found = standing(record)
        if found.outcome is Outcome.MET:
            continue
        rule, lead = _NOT_MET_WORDS[found.outcome]
        if found.rest_only:
            rule, lead = "rest", "The same again"
        text = f"{lead}. {day(record.day)}, {found.matter}."
        return _Decision(_here(now), Reason(rule, text, (*_evidence(now), PRACTICE)))
    return None


_NOT_MET_WORDS = {
    Outcome.MISSED: ("not met", "The same again"),
    Outcome.UNSURE: ("unsure", "The same again, since it is not certain that it was met"),
    Outcome.NOT_MEASURABLE: ("not measurable", "The same again, since it could not be measured"),
}


def _week(now: Situation) -> _Decision | None:
    if now.week_complete:
        return None
    done, of = len(now.week), now.ladder.sessions_a_week
    text = f"The same again: {done} of this week's {of} sessions is done and met; the step is passed when all are."
    if done > 1:
        text = text.replace(" is done", " are done")
    return _Decision(_here(now), Reason("week", text, (*_evidence(now), PRACTICE)))


def _top(now: Situation) -> _Decision | None:
    if now.ladder.above(_here(now)) is not None:
        return None
    text = (
        f"Top of the ladder reached: {_step_words(now.ladder.at(_here(now)))} is met. Your coach decides what follows."
    )
    return _Decision(_here(now), Reason("top", text, _evidence(now)))


def _gate(now: Situation) -> _Decision | None:
    here, after = _here(now), now.ladder.above(_here(now))
    if after is None or after.rung == here.rung:
        return None
    rung = now.ladder.rungs[here.rung]
    text = f"The gate is open: {rung.gate}. Next rung: {_rung_words(now.ladder, after)}."
    return _Decision(after, Reason("gate", text, (*_evidence(now), PRACTICE)))


def _step(now: Situation) -> _Decision | None:
    here = _here(now)
    after = now.ladder.above(here)
    if after is None:
        return None
    change = _change_words(now.ladder.at(here), now.ladder.at(after))
    text = f"{change}: every session of the week was met ({_days_words(now.week)})."
    return _Decision(after, Reason("step", text, (*_evidence(now), PRACTICE)))


_RULES: tuple[_Rule, ...] = (_start, _lay_off, _not_met, _week, _top, _gate, _step)


def _capped(now: Situation, position: Position) -> _Decision | None:
    """Step down until the eccentric cap of the early weeks is kept; None where nothing needs to change."""
    lower = position
    while now.early and not within_cap(now.ladder.at(lower)) and lower != now.ladder.below(lower):
        lower = now.ladder.below(lower)
    if lower == position:
        return None
    text = (
        f"In the first two weeks, and two weeks after a lay-off, at most {CAP_LOWERINGS} slow lowerings of at most "
        f"{CAP_LOWERING_S:g} s a session: {_rung_words(now.ladder, lower)}."
    )
    return _Decision(lower, Reason("eccentric cap", text, (PRACTICE,)))


def _days(now: Situation) -> Reason:
    if now.last_day is None:
        return Reason("days", "The first session may be today.")
    between = now.ladder.days_between
    text = f"At least {between} free days between two sessions: not before {day(now.due)}."
    if now.due == now.today:
        text = f"{now.days_off - 1} free days since the last session: it may be today."
    return Reason("days", text, (f"last session {day(now.last_day)}", PRACTICE))


def _here(now: Situation) -> Position:
    assert now.at is not None  # the first rule has dealt with an empty log
    return now.at


def _evidence(now: Situation) -> tuple[str, ...]:
    """Say of each session of the week what it counted for."""
    return tuple(_session_words(record) for record in now.week)


def _session_words(record: SessionRecord) -> str:
    found = standing(record)
    verdicts = [one.verdict for one in record.sets]
    counts = ", ".join(f"{one.tut_s:.0f} s" if one.held else str(one.count) for one in verdicts)
    done = "held" if record.prescription.hold_s else "reps"
    matter = f" ({found.matter})" if found.matter else ""
    return f"{day(record.day)}: {counts} {done}, rest {record.prescription.rest_s:g} s, {found.outcome}{matter}"


def _days_words(records: Sequence[SessionRecord]) -> str:
    return listing([day(record.day) for record in records])


def _step_words(step: Step) -> str:
    if step.hold_s:
        return f"{step.sets} × {step.hold_s:g} s held with {step.rest_s:g} s rest"
    return f"{step.sets} × {step.reps} with {step.rest_s:g} s rest"


def _rung_words(ladder: Ladder, position: Position) -> str:
    rung: Rung = ladder.rungs[position.rung]
    return f"{rung.exercise.name}, {_step_words(rung.steps[position.step])}"


def _change_words(before: Step, after: Step) -> str:
    """Name what becomes harder: "Rest 90 → 85 s"."""
    pairs = (
        ("rest", before.rest_s, after.rest_s, " s"),
        ("reps", before.reps, after.reps, ""),
        ("sets", before.sets, after.sets, ""),
        ("lowering", before.tempo.down_s, after.tempo.down_s, " s"),
        ("top hold", before.tempo.top_s, after.tempo.top_s, " s"),
        ("hold", before.hold_s or 0.0, after.hold_s or 0.0, " s"),
    )
    changed = [f"{name} {old:g} → {new:g}{unit}" for name, old, new, unit in pairs if old != new]
    text = ", ".join(changed) or "next step"
    return f"{text[:1].upper()}{text[1:]}"
