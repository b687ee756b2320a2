"""The rules that come first: pain, where to begin, a lay-off, what was too hard, what was skipped."""

from __future__ import annotations

from dataclasses import replace

from analysis.training.cautions import LAY_OFF_DAYS
from analysis.training.decision import PRACTICE, Awaits, Decision, Rule, decide, place_words, session_words, step_words
from analysis.training.ladder import Position
from analysis.training.pain import ACCEPTABLE, CAUTION
from analysis.training.prescription import Grip
from analysis.training.remarks import fault_words
from analysis.training.situation import Situation
from analysis.training.standing import form_fault, met
from analysis.training.words import day, sentence

_SCALE = (
    "0–3 acceptable, 4–5 caution, above 5 stop (Silbernagel et al. 2007, shown for the Achilles; for elbow and "
    "shoulder an extrapolation)"
)
FEWEST_REPS = 2
"""A single rep cannot be told from a stray movement by the sensor (`analysis.motion.in_session`)."""


def signs(now: Situation) -> Decision | None:
    """Warning signs of exertional rhabdomyolysis: no session until a clinician says so."""
    if now.pain.signs is None:
        return None
    text = (
        f"No session: on {day(now.pain.signs)} sudden swelling, dark urine or weakness out of proportion was reported. "
        "Seek medical care now. Training goes on after a clinician's release."
    )
    held = decide(None, "pain", text, "warning signs as in Nye et al. 2021, CSMR 20:169")
    return replace(held, awaits=Awaits.CLINICIAN)


def stopped(now: Situation) -> Decision | None:
    """Pain above 5, or a sharp one: no session until it has settled, or until a release."""
    stop = now.pain.stop
    if stop is None:
        return None
    if stop.needs_release:
        text = (
            f"No session: {stop.why} on {day(stop.began)}. See a clinician; training goes on when coach or clinician "
            "have recorded their release."
        )
    else:
        text = (
            f"No session: {stop.why} on {day(stop.began)}. No pulling until pain is {ACCEPTABLE} or less and settled "
            "overnight; see your coach, and a clinician if it stays."
        )
    held = decide(None, "pain", text, *now.pain.evidence, _SCALE)
    return replace(held, awaits=Awaits.RELEASE if stop.needs_release else Awaits.SETTLED)


def reopened(now: Situation) -> Decision | None:
    """Begin one rung back after a stop."""
    if now.pain.reopened is None or now.at is None:
        return None
    lower = _rung_back(now, now.at)
    text = f"After the stop of {day(now.pain.reopened.began)}, one rung back: {place_words(now.ladder, lower)}."
    return decide(lower, "pain", text, *now.pain.evidence, PRACTICE)


def careful(now: Situation) -> Decision | None:
    """Pain of 4 or 5: nothing harder; twice running an easier rung and another grip."""
    level = now.pain.level
    if now.at is None or level is None or not ACCEPTABLE < level <= CAUTION:
        return None
    if now.pain.twice:
        return _eased(now, now.at)
    easier = next((found for rule in (lay_off, too_hard, skipped) if (found := rule(now)) is not None), None)
    position = now.at if easier is None or easier.position is None else easier.position
    text = f"Pain {level} of 10: nothing harder. {sentence(place_words(now.ladder, position))}"
    more = () if easier is None else (easier.reason.text,)
    return decide(position, "pain", text, *now.pain.evidence, *more, _SCALE)


def _eased(now: Situation, at: Position) -> Decision:
    """Give an easier rung and another grip as far as there are any; what stays the same is not called easier."""
    lower = _rung_back(now, at)
    grip = _easier_grip(now, lower)
    rung = "an easier rung" if lower.rung < at.rung else "no rung is easier, so its first step"
    other = f"the {grip.value} grip" if grip else "the same grip, since none of the plan's is easier"
    more = "" if lower.rung < at.rung else " Talk it over with your coach."
    where = sentence(place_words(now.ladder, lower))
    text = f"Pain of 4 or 5 twice running: {rung}, and {other}. {where}{more}"
    return replace(decide(lower, "pain", text, *now.pain.evidence, _SCALE), grip=grip)


def _easier_grip(now: Situation, there: Position) -> Grip | None:
    """Return the grip next easier than the last one, or the easiest where that cannot be gripped; None: no other."""
    last, allowed = now.placed[-1][1].prescription.grip, now.plan.grips_on(there.rung)
    if last not in allowed:
        return min(allowed, key=lambda one: one.hardness, default=None)
    easier = [one for one in allowed if one.hardness < last.hardness]
    return max(easier, key=lambda one: one.hardness, default=None)


def placed(now: Situation) -> Decision | None:
    """Go on where a test day, or the coach, says."""
    said = now.placement
    if said is None:
        return None
    number = now.ladder.number(said.rung)
    assert number is not None  # `Situation.placement` asks for it
    position = Position(number, min(said.step, len(now.ladder.rungs[number].steps) - 1))
    why = f": {said.why}" if said.why else ""
    text = f"{said.by} decided{why}. {sentence(place_words(now.ladder, position))}"
    return decide(position, "placement", text, f"said on {day(said.day)}")


def start(now: Situation) -> Decision | None:
    """Nothing done yet."""
    if now.at is not None:
        return None
    first = now.ladder.number(now.plan.start) or 0
    rung = now.ladder.rungs[first]
    text = f"Nothing on the ladder yet: it begins with {rung.exercise.name}, {step_words(rung.steps[0])}."
    return decide(Position(first, 0), "start", text, PRACTICE)


def lay_off(now: Situation) -> Decision | None:
    """Fourteen days off: one rung back."""
    if now.last_day is None or now.days_off < LAY_OFF_DAYS:
        return None
    lower = _rung_back(now, now.here)
    where = "One rung back" if now.here.rung else "Back to the first step of the rung"
    text = f"{now.days_off} days since the last session. {where}: {place_words(now.ladder, lower)}."
    return decide(lower, "lay-off", text, f"last session {day(now.last_day)}", PRACTICE)


def too_hard(now: Situation) -> Decision | None:
    """Answer the same fault of form twice running, the second time cued: fewer reps, then a rung back.

    The cue of the second session is `progression.form_cue`, which follows from the first.
    """
    last = now.run[-2:]
    fault = form_fault(last[-1]) if last else None
    if len(last) < 2 or fault is None or form_fault(last[0]) != fault:
        return None
    what = f"{fault_words(fault)} in a third of the reps, two sessions running"
    seen = (*(session_words(record) for record in last), PRACTICE)
    here, step = now.here, now.ladder.at(now.here)
    fewer = max(step.reps * 2 // 3, FEWEST_REPS)
    if here.fewer_reps == 0 and fewer < step.reps:
        eased = replace(here, fewer_reps=step.reps - fewer)
        text = f"Too hard: {what}. Fewer reps: {place_words(now.ladder, eased)}."
        return decide(eased, "too hard", text, *seen)
    lower = _rung_back(now, here)
    text = f"Too hard: {what}. The rung before: {place_words(now.ladder, lower)}."
    return decide(lower, "too hard", text, *seen)


def skipped(now: Situation) -> Decision | None:
    """Two planned sessions went by: the last met step again, never a harder one."""
    if now.skipped < 2:
        return None
    ladder, here = now.ladder, now.here
    # from the last backwards, so that years of a log need not be read
    held = next(
        (place for place, record in reversed(now.placed) if met(record) and not ladder.climbs(here, place)), None
    )
    position = held or here
    text = f"{now.skipped} sessions skipped. The last met step again: {place_words(now.ladder, position)}."
    if held is None:
        text = f"{now.skipped} sessions skipped. The same again: {place_words(now.ladder, position)}."
    assert now.last_day is not None
    since = f"last session {day(now.last_day)}; {now.days_off - 1} days without one, at {now.sessions_a_week} a week"
    return decide(position, "skipped", text, since, PRACTICE)


def _rung_back(now: Situation, position: Position) -> Position:
    """Return the first step of the rung before that can be done with what is at hand; of the lowest its own."""
    lower = [n for n in range(position.rung) if now.ladder.rungs[n].needs <= now.plan.equipment]
    return Position(lower[-1], 0) if lower else Position(position.rung, 0, fewer_reps=position.fewer_reps)


GUARDS: tuple[Rule, ...] = (
    signs,
    stopped,
    reopened,
    careful,
    placed,
    start,
    lay_off,
    too_hard,
    skipped,
)
