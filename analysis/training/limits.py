"""What stands beside whichever rule decided: the eccentric cap, high blood pressure, equipment, grip, days."""

from __future__ import annotations

from itertools import takewhile

from analysis.training.cautions import CAP_LOWERING_S, CAP_LOWERINGS, within_cap
from analysis.training.decision import PRACTICE, Decision, Reason, decide, place_words
from analysis.training.ladder import Position, Rung, Step
from analysis.training.prescription import Grip
from analysis.training.situation import Situation
from analysis.training.words import day, sentence

LONG_HOLD_S = 5.0
"""With high blood pressure no hold from here on, and no added load, without medical advice (figure: no source)."""


def capped(now: Situation, position: Position) -> Decision | None:
    """Step down until the eccentric cap of the early weeks is kept; None where nothing needs to change."""
    lower = position
    while now.early and not within_cap(now.ladder.at(lower)) and lower != now.ladder.below(lower):
        lower = now.ladder.below(lower)
    if lower == position:
        return None
    text = (
        f"In the first two weeks, and two weeks after a lay-off, at most {CAP_LOWERINGS} slow lowerings of at most "
        f"{CAP_LOWERING_S:g} s a session: {place_words(now.ladder, lower)}."
    )
    return decide(lower, "eccentric cap", text, PRACTICE)


def spared(now: Situation, position: Position) -> Decision | None:
    """With high blood pressure step down to where nothing is held long and nothing added."""
    if not now.plan.high_blood_pressure or now.plan.blood_pressure_cleared_by:
        return None
    lower = position
    while presses(now.ladder.rungs[lower.rung], now.ladder.at(lower)) and lower != now.ladder.below(lower):
        lower = now.ladder.below(lower)
    if lower == position:
        return None
    text = (
        "With high blood pressure no long or heavy holds without medical advice; a clinician's word belongs into the "
        f"plan (blood_pressure_cleared_by). {sentence(place_words(now.ladder, lower))}"
    )
    return decide(lower, "blood pressure", text, PRACTICE)


def presses(rung: Rung, step: Step) -> bool:
    """Whether a step holds long or adds load, which high blood pressure forbids without medical advice."""
    long = max(step.tempo.top_s, step.tempo.down_s, step.hold_s or 0.0) >= LONG_HOLD_S
    return long or step.load_kg > 0 or rung.load_step_kg is not None


def at_hand(now: Situation, position: Position) -> Decision | None:
    """Step down to a rung that can be done with the equipment at hand."""
    lacking = now.ladder.rungs[position.rung].needs - now.plan.equipment
    if not lacking:
        return None
    able = [n for n, rung in enumerate(now.ladder.rungs) if rung.needs <= now.plan.equipment]
    lower = [n for n in able if n < position.rung]
    words = ", ".join(sorted(lacking))
    if not lower:
        text = f"No session: {words} is not at hand, and nothing easier can be done without. Mend the plan's equipment."
        return decide(None, "equipment", text)
    there = Position(lower[-1], len(now.ladder.rungs[lower[-1]].steps) - 1)
    there = min(there, position)
    return decide(there, "equipment", f"{words} is not at hand: {place_words(now.ladder, there)}.")


def grip(now: Situation, decided: Decision) -> tuple[Grip | None, Position | None, Reason | None]:
    """Return the grip, where to train with it, and why where it changes; None for a grip that nothing at hand allows.

    A change to a harder grip is the one harder thing of its week: then the step stays.
    """
    allowed = now.plan.grips_allowed if decided.position is None else now.plan.grips_on(decided.position.rung)
    if not allowed and now.plan.grips_allowed:
        text = "No session: the plan's grips hold none that the rung allows. Mend the rung's grips."
        return None, None, Reason("grip", text)
    if not allowed:
        text = (
            "No session: with a shoulder or elbow history the grip is neutral until the coach opens others "
            "(grips_opened_by), and handles, rings, straps or a towel are not at hand."
        )
        return None, None, Reason("grip", text, (PRACTICE,))
    last = now.placed[-1][1].prescription.grip if now.placed else None
    if last not in allowed:
        return (_easiest(allowed) if last else allowed[0]), decided.position, None
    if decided.grip is last:
        return last, decided.position, None
    if decided.grip is not None:
        return decided.grip, decided.position, Reason("grip", f"Grip {last.value} → {decided.grip.value}.", (PRACTICE,))
    following = _by_weekday(now, allowed) if now.plan.grip_by_weekday else _in_rotation(now, allowed, last)
    if following.hardness > last.hardness and decided.reason.rule in _CALM and not now.plan.grip_by_weekday:
        return last, decided.position, None
    return _changed(now, decided.position, last, following)


_CALM = {"pain", "lay-off", "too hard", "skipped", "stall", "not met", "rest", "unsure", "not measurable"}
"""Rules beside which the grip gets no harder."""


def _easiest(allowed: tuple[Grip, ...]) -> Grip:
    return min(allowed, key=lambda one: one.hardness)


def _by_weekday(now: Situation, allowed: tuple[Grip, ...]) -> Grip:
    days = now.plan.weekdays
    turn = days.index(now.due.weekday()) if now.due.weekday() in days else len(now.week)
    return allowed[turn % len(allowed)]


def _in_rotation(now: Situation, allowed: tuple[Grip, ...], last: Grip) -> Grip:
    same = list(takewhile(lambda one: one[1].prescription.grip is last, reversed(now.placed)))
    over = len(same) >= now.plan.grip_weeks * now.sessions_a_week and now.week_over
    return allowed[(allowed.index(last) + 1) % len(allowed)] if over else last


def _changed(
    now: Situation, position: Position | None, last: Grip, following: Grip
) -> tuple[Grip, Position | None, Reason | None]:
    if following is last:
        return last, position, None
    harder = following.hardness > last.hardness and not now.plan.grip_by_weekday
    climbs = position is not None and now.at is not None and now.ladder.climbs(now.at, position)
    words = f"Grip {last.value} → {following.value}"
    if harder and climbs and now.at is not None:
        if following not in now.plan.grips_on(now.at.rung):
            return last, position, None
        text = f"{words}; the step stays, because a harder grip is the one harder thing of its week."
        return following, now.at, Reason("grip", text, (PRACTICE,))
    every = "by the day of the week" if now.plan.grip_by_weekday else f"after {now.plan.grip_weeks} weeks"
    return following, position, Reason("grip", f"{words}: it changes {every}.", (PRACTICE,))


def days(now: Situation) -> Reason:
    """Say from which day on, and why."""
    if now.last_day is None:
        return Reason("days", "The first session may be today." if now.due == now.today else f"From {day(now.due)} on.")
    seen = (f"last session {day(now.last_day)}", PRACTICE)
    if now.due == now.today:
        return Reason("days", f"{_free(now.days_off - 1)} since the last session: it may be today.", seen)
    text = (
        f"At least {_free(now.days_between)} between two sessions, {_times(now.sessions_a_week)} in seven days: "
        f"not before {day(now.due)}."
    )
    return Reason("days", text, seen)


def _free(number: int) -> str:
    return "1 free day" if number == 1 else f"{number} free days"


def _times(number: int) -> str:
    return "1 session" if number == 1 else f"{number} sessions"
