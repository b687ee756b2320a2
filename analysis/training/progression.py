"""The next session from plan, log and date: rules that can be read, the first that applies decides.

Rules in their order (`guarding`, then `climbing`): *pain* (warning signs, a stop, the first session after one, 4 or 5),
*placement* (a test day or the coach), *start*, *lay-off*, *too hard*, *skipped*, *stall*, *not met* / *rest* / *unsure*
/ *not measurable*, *week*, *test*, *plateau*, *load*, *volume*, *gate* / *top*, *step*. Beside whichever decided
(`limits`): *eccentric cap*, *blood pressure*, *equipment*, *grip*, *days*.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from analysis.training import limits
from analysis.training.cautions import cautions
from analysis.training.climbing import CLIMBS
from analysis.training.decision import Awaits, Decision, Reason
from analysis.training.guarding import GUARDS
from analysis.training.ladder import Method, Position
from analysis.training.plan import TrainingPlan
from analysis.training.prescription import Prescription
from analysis.training.records import History
from analysis.training.remarks import fault_words
from analysis.training.situation import Situation, situation
from analysis.training.standing import form_fault
from analysis.training.words import PHASES


@dataclass(frozen=True, slots=True, kw_only=True)
class NextSession:
    """What to do next, and why.

    Attributes
    ----------
    rung
        Key of the rung; log the session with it, and with the method.
    step, steps
        Step on the rung, from 1, and how many it has: on a rest taper the week.
    prescription
        None: no session; the first reason says why.
    due
        Earliest day.
    reasons
        At least one; the first decided what to do, others when, or a limit.
    cue
        The one thing to mind; empty: nothing.
    awaits
        What somebody is to say before it goes on; None: nothing.
    hand_share
        Share of body weight that the hands carried when it was last measured on this rung; None where it never was.
    """

    rung: str
    step: int
    steps: int
    prescription: Prescription | None
    due: date
    reasons: tuple[Reason, ...]
    cautions: tuple[str, ...]
    method: Method = Method.OWN
    cue: str = ""
    awaits: Awaits | None = None
    hand_share: float | None = None


def next_session(history: History, plan: TrainingPlan, today: date) -> NextSession:
    """Work out the next session: a pure function, the same log gives the same answer.

    Parameters
    ----------
    history
        Sessions and statements of one trainee, in any order.
    plan
        The plan in use.
    today
        The trainee's calendar day.
    """
    return following(situation(history, plan, today))


def following(now: Situation) -> NextSession:
    """Return the next session from where a trainee stands."""
    plan = now.plan
    decided = next(found for rule in (*GUARDS, *CLIMBS) if (found := rule(now)) is not None)
    decided, reasons = _within_limits(now, decided)
    grip, position, grip_reason = limits.grip(now, decided)
    reasons = (*reasons, *([grip_reason] if grip_reason else []))
    if decided.position is None or position is None or grip is None:
        reasons = (*sorted(reasons, key=lambda one: not one.text.startswith("No session")),)
        return _no_session(now, reasons, None if decided.position else decided.awaits)
    rung = plan.ladder.rungs[position.rung]
    stepping_up = now.at is not None and position.rung > now.at.rung
    asked = replace(plan.ladder.prescription(position, grip), start=plan.start_of(position.rung))
    return NextSession(
        rung=rung.key,
        step=position.step + 1,
        steps=len(rung.block(position.method)),
        prescription=asked.as_test() if decided.is_test and position == now.at else asked,
        due=now.due,
        reasons=(*reasons, limits.days(now)),
        cautions=cautions(plan.ladder.at(position), early=now.early, stepping_up=stepping_up),
        method=position.method,
        cue=form_cue(now),
        awaits=decided.awaits,
        hand_share=last_share(now, rung.key),
    )


def _within_limits(now: Situation, decided: Decision) -> tuple[Decision, tuple[Reason, ...]]:
    reasons = [decided.reason]
    for limit in (limits.at_hand, limits.spared, limits.capped):
        found = None if decided.position is None else limit(now, decided.position)
        if found is not None:
            decided = replace(decided, position=found.position)
            reasons.append(found.reason)
    return decided, tuple(reasons)


def _no_session(now: Situation, reasons: tuple[Reason, ...], awaits: Awaits | None) -> NextSession:
    position = now.at or Position(now.ladder.number(now.plan.start) or 0, 0)
    rung = now.ladder.rungs[position.rung]
    step = now.ladder.at(position)
    return NextSession(
        rung=rung.key,
        step=position.step + 1,
        steps=len(rung.block(position.method)),
        prescription=None,
        due=now.due,
        reasons=reasons,
        cautions=cautions(step, early=now.early, stepping_up=False),
        method=position.method,
        awaits=awaits,
    )


def form_cue(now: Situation) -> str:
    """Return the cue that follows from the last session's fault of form; empty where it had none."""
    fault = form_fault(now.run[-1]) if now.run else None
    return "" if fault is None else f"{_OPPOSITE.get(fault, 'Mind this')}: {fault_words(fault)} last time."


def last_share(now: Situation, rung: str) -> float | None:
    """Return the share of body weight on the hands when it was last measured on a rung; None where it never was."""
    shares = (one.set_up.hand_share for one in reversed(now.done) if one.rung == rung)
    return next((share for share in shares if share is not None), None)


_OPPOSITE = {(phase, -1): "Slower" for phase in PHASES} | {(phase, 1): "Quicker" for phase in PHASES}
