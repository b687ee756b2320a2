"""The gate to the next rung: what opens it, and what it waits for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

from analysis.training.decision import PRACTICE, Awaits, Decision, decide, place_words, step_words, week_evidence
from analysis.training.ladder import Position
from analysis.training.situation import Situation
from analysis.training.statements import Form, Question
from analysis.training.words import day

ANSWER_DAYS = 14
"""The questions of form are to be answered within so many days before the step up (no source)."""


def gate(now: Situation) -> Decision | None:
    """Go to the next rung after the last step, if nothing is open that no clip can sense."""
    if now.ladder.above(now.here) is not None:
        return None
    after = range(now.here.rung + 1, len(now.ladder.rungs))
    able = [n for n in after if now.ladder.rungs[n].needs <= now.plan.equipment]
    if not able:
        return _top(now, after)
    rung, there = now.ladder.rungs[now.here.rung], Position(able[0], 0)
    waits = closed(now)
    if waits:
        text = f"{rung.gate[:1].upper()}{rung.gate[1:]}: done. The step up waits {waits}"
        held = decide(now.here, "gate", text, *week_evidence(now), *_form_evidence(now), PRACTICE)
        return replace(held, awaits=None if _unseen(now) else Awaits.FORM)
    text = f"The gate is open: {rung.gate}. Next rung: {place_words(now.ladder, there)}."
    return decide(there, "gate", text, *week_evidence(now), *_form_evidence(now), PRACTICE)


def _top(now: Situation, after: Sequence[int]) -> Decision:
    met_words = f"{step_words(now.ladder.at(now.here))} is met"
    if after:
        lacking = sorted(now.ladder.rungs[after[0]].needs - now.plan.equipment)
        text = (
            f"{met_words[:1].upper()}{met_words[1:]}. The next rung needs {', '.join(lacking)}, which is not at hand."
        )
    else:
        text = f"Top of the ladder reached: {met_words}. Your coach decides what follows."
    return decide(now.here, "top", text, *week_evidence(now))


def closed(now: Situation) -> str:
    """Say what a closed gate waits for; empty where it is open."""
    unseen = _unseen(now)
    if unseen:
        return f"because {unseen}."
    found = answers(now)
    unanswered = [one.value for one in Question if one not in found]
    if unanswered:
        return f"for the coach's answer, or yours from a video: {'? '.join(unanswered)}?"
    failing = [one.value for one, answer in found.items() if not answer.yes]
    return f"until this is so: {' and '.join(failing)}." if failing else ""


def _unseen(now: Situation) -> str:
    """Say why the sessions of the week do not open the gate; empty where they do."""
    if any(record.self_told for record in now.week):
        return "a session of this week is met only by what you corrected yourself; your coach may confirm it"
    if not all(record.confirmed for record in now.week):
        return (
            "a session of this week was typed in and nobody saw it; do it with the sensor, or with somebody who watches"
        )
    if now.week and now.week[-1].prescription.partner is not None:
        return "the last session was in turn with another exercise; the one that opens the gate is done without"
    return ""


def answers(now: Situation) -> dict[Question, Form]:
    """Return the last answer to each question, of those recent enough."""
    oldest = now.today - timedelta(days=ANSWER_DAYS)
    said = [one for one in now.statements if isinstance(one, Form) and oldest <= one.day <= now.today]
    last = {one.question: one for one in said}
    return {one: last[one] for one in Question if one in last}


def _form_evidence(now: Situation) -> tuple[str, ...]:
    return tuple(
        f"{one.question.value}: {'yes' if one.yes else 'no'}, "
        f"{'seen on video by' if one.self_seen else 'says'} {one.by}, {day(one.day)}"
        for one in answers(now).values()
    )
