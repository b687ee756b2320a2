"""The rules that stay or climb: a stall, a week that was not met, a test, the gate, load or sets, the next step."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from analysis.training.clean_reps import clean_reps
from analysis.training.decision import (
    PRACTICE,
    Decision,
    Rule,
    change_words,
    days_words,
    decide,
    place_words,
    session_words,
    step_words,
    week_evidence,
)
from analysis.training.gate import gate
from analysis.training.ladder import MOST_SETS, Method, Position
from analysis.training.prescription import Goal
from analysis.training.records import SessionRecord
from analysis.training.situation import Situation
from analysis.training.standing import OVER_REPS, met, over_target, reps_done, standing
from analysis.training.verdict import Outcome
from analysis.training.words import day

LAST_REST_S = 60.0
"""Sets are added only where this rest is reached (common practice, no source)."""

SLOWING = 1.25
"""From here on the last third of a set counts as slow on the way up (no source)."""

_TWO_FOR_TWO = f"2-for-2 rule: {OVER_REPS} reps over in the last set, two sessions running (Baechle & Earle 2006)"


def stall(now: Situation) -> Decision | None:
    """Leave a step not met two weeks running, with no more reps, for a plateau method; or come back from one."""
    if not now.week_complete or not stalled(now):
        return None
    weeks = now.whole_weeks[-2:]
    seen = (*(session_words(one) for week in weeks for one in week), PRACTICE)
    if now.here.method is not Method.OWN:
        return _back(now, "stall", f"The {_named(now.here.method)} reps stall too", seen)
    if now.plan.goal is Goal.STRENGTH and _two_for_two(now) and now.ladder.rungs[now.here.rung].load_step_kg:
        return None  # `load` says so
    method = _fitting(now, [one for week in weeks for one in week])
    if method is None:
        return _harder_grip(now, seen)
    reps = now.ladder.at(now.here).reps
    there = Position(now.here.rung, 0, method)
    there = replace(there, fewer_reps=max(now.ladder.at(there).reps - reps, 0))
    text = (
        f"A stall: two weeks not met, and no more reps. For a while {_named(method)} reps instead, because "
        f"{_WEAKNESS[method]}: {place_words(now.ladder, there)}."
    )
    return decide(there, "stall", text, *seen)


def stalled(now: Situation) -> bool:
    """Whether the last two whole weeks on this step were not met, and the second brought no more reps."""
    weeks = now.whole_weeks[-2:]
    return len(weeks) == 2 and not any(all(map(met, week)) for week in weeks) and _no_gain(*weeks)


_WEAKNESS = {
    Method.PAUSED: "the top gives way first",
    Method.SLOW_NEGATIVE: "the way down is too fast",
    Method.ONE_AND_A_HALF: "nothing measured says what gives way first",
}


def _named(method: Method) -> str:
    return {Method.ONE_AND_A_HALF: "one-and-a-half", Method.SLOW_NEGATIVE: "slow-negative"}.get(method, method.value)


def _no_gain(before: Sequence[SessionRecord], after: Sequence[SessionRecord]) -> bool:
    """Whether no more reps were done, where the two weeks compare: the same grip and set-up."""
    last = after[-1]
    alike = all(
        one.prescription.grip is last.prescription.grip and one.set_up.compares(last.set_up)
        for one in (*before, *after)
    )
    return alike and sum(map(reps_done, after)) <= sum(map(reps_done, before))


def _fitting(now: Situation, seen: Sequence[SessionRecord]) -> Method | None:
    """Return the method that fits the measured weakness, else another allowed one that was not tried on this step."""
    verdicts = [one.verdict for record in seen for one in record.sets]
    missed = {(fault.phase, fault.direction) for verdict in verdicts for fault in verdict.faults}
    slow = [one.slowing for one in verdicts if one.slowing is not None]
    wanted = [Method.ONE_AND_A_HALF]
    if ("down", -1) in missed:
        wanted.insert(0, Method.SLOW_NEGATIVE)
    if ("top", -1) in missed or (slow and sum(slow) / len(slow) >= SLOWING):
        wanted.insert(0, Method.PAUSED)
    rung = now.ladder.rungs[now.here.rung]
    tried = {position.method for position, _ in now.placed if position.rung == now.here.rung}
    able = [one for one in wanted if rung.block(one) and not _forbidden(now, one)]
    fresh = [one for one in able if one not in tried]
    return next(iter(fresh), None)


def _harder_grip(now: Situation, seen: tuple[str, ...]) -> Decision:
    """Answer a stall by the next harder grip, where no method is left; by the coach where no grip is either."""
    last = now.placed[-1][1].prescription.grip
    harder = [one for one in now.plan.grips_on(now.here.rung) if one.hardness > last.hardness]
    lead = "A stall: two weeks not met, and no more reps; no method that the plan allows is left"
    if not harder:
        text = f"{lead}, and no harder grip. The same again; your coach decides what changes."
        return decide(now.here, "stall", text, *seen)
    grip = min(harder, key=lambda one: one.hardness)
    return replace(decide(now.here, "stall", f"{lead}. For a while with the {grip.value} grip.", *seen), grip=grip)


def _forbidden(now: Situation, method: Method) -> bool:
    if method is Method.SLOW_NEGATIVE:
        return now.early
    return method is Method.PAUSED and now.plan.high_blood_pressure and not now.plan.blood_pressure_cleared_by


def _back(now: Situation, rule: str, lead: str, evidence: tuple[str, ...]) -> Decision:
    """Go back from a plateau method to the step that had stalled, or one with no less rest than now."""
    own = [p for p, _ in now.placed if p.rung == now.here.rung and p.method is Method.OWN]
    stalled = own[-1] if own else Position(now.here.rung, 0)
    rest_s = now.ladder.at(now.here).rest_s
    steps = now.ladder.rungs[now.here.rung].steps
    able = [n for n in range(stalled.step + 1) if steps[n].rest_s >= rest_s]
    there = Position(now.here.rung, able[-1] if able else 0)
    text = f"{lead}. Back to {place_words(now.ladder, there)}."
    return decide(there, rule, text, *evidence)


def not_met(now: Situation) -> Decision | None:
    """Stay as soon as one session of the week was not surely met; the latest such one is named."""
    for record in reversed(now.week):
        found = standing(record)
        if found.outcome is Outcome.MET:
            continue
        rule, lead = _NOT_MET_WORDS[found.outcome]
        if found.rest_only:
            rule, lead = "rest", "The same again"
        text = f"{lead}. {day(record.day)}, {found.matter}."
        return decide(now.here, rule, text, *week_evidence(now), PRACTICE)
    return None


_NOT_MET_WORDS = {
    Outcome.MISSED: ("not met", "The same again"),
    Outcome.UNSURE: ("unsure", "The same again, since it is not certain that it was met"),
    Outcome.NOT_MEASURABLE: ("not measurable", "The same again, since it could not be measured"),
}


def week(now: Situation) -> Decision | None:
    """Do the same again while the training week is not complete."""
    if now.week_complete:
        return None
    done, of = len(now.week), now.week_size
    if now.week_over:
        were = "session was" if done == 1 else "sessions were"
        text = f"The same again: {done} {were} done in that week, and {of} make it whole."
        return decide(now.here, "week", text, *week_evidence(now), PRACTICE)
    text = f"The same again: {done} of this week's {of} sessions is done and met; the step is passed when all are."
    if done > 1:
        text = text.replace(" is done", " are done")
    return decide(now.here, "week", text, *week_evidence(now), PRACTICE)


def plateau_over(now: Situation) -> Decision | None:
    """Come back from a plateau method that is done, or has lasted long enough."""
    if now.here.method is Method.OWN:
        return None
    weeks = len([p for p, _ in now.placed if p.method is now.here.method and p.rung == now.here.rung])
    long = weeks >= now.plan.plateau_weeks * now.sessions_a_week
    if now.ladder.above(now.here) is not None and not long:
        return None
    lead = f"The {_named(now.here.method)} reps are done"
    if long:
        lead = f"{now.plan.plateau_weeks} weeks of {_named(now.here.method)} reps, as long as the plan allows"
    return _back(now, "plateau", lead, (*week_evidence(now), PRACTICE))


def load(now: Situation) -> Decision | None:
    """More load by the 2-for-2 rule, on a rung that is done with load."""
    raised = now.ladder.rungs[now.here.rung].load_step_kg
    if not raised or now.here.method is not Method.OWN or now.ladder.above(now.here) is not None:
        return None
    if _two_for_two(now):
        more = replace(now.here, load_kg=now.here.load_kg + raised)
        change = change_words(now.ladder.at(now.here), now.ladder.at(more))
        text = f"{change}: {OVER_REPS} reps more than asked in the last set, twice running."
        return decide(more, "load", text, *week_evidence(now), _TWO_FOR_TWO)
    text = (
        f"The same load again: it rises by {raised:g} kg when the last set has {OVER_REPS} reps more than asked, twice "
        "running."
    )
    return decide(now.here, "load", text, *week_evidence(now), _TWO_FOR_TWO)


def _two_for_two(now: Situation) -> bool:
    last = now.run[-2:]
    return len(last) == 2 and all(map(over_target, last)) and all(map(met, last))


def volume(now: Situation) -> Decision | None:
    """Add a set where the coach chose volume over the next rung and two weeks were met at the shortest rest."""
    rung, step = now.ladder.rungs[now.here.rung], now.ladder.at(now.here)
    if not rung.volume or now.ladder.above(now.here) is not None or step.rest_s > LAST_REST_S:
        return None
    weeks = now.whole_weeks[-2:]
    if len(weeks) == 2 and all(met(one) for week in weeks for one in week) and step.sets < MOST_SETS:
        more = replace(now.here, more_sets=now.here.more_sets + 1)
        text = f"{change_words(step, now.ladder.at(more))}: two weeks were met, and your coach chose more sets."
        return decide(more, "volume", text, *week_evidence(now), PRACTICE)
    text = f"The same again: your coach chose more sets over the next rung, {step_words(step)}."
    return decide(now.here, "volume", text, *week_evidence(now), PRACTICE)


def step(now: Situation) -> Decision | None:
    """Take one step after a week that was met."""
    after = now.ladder.above(now.here)
    if after is None:
        return None
    change = change_words(now.ladder.at(now.here), now.ladder.at(after))
    text = f"{change}: every session of the week was met ({days_words(now.week)})."
    return decide(after, "step", text, *week_evidence(now), PRACTICE)


CLIMBS: tuple[Rule, ...] = (stall, not_met, week, clean_reps, plateau_over, load, volume, gate, step)
