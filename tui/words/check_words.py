"""How the check reads, on the screen and as text: phases with their sigma, and by how much a rep was off."""

from __future__ import annotations

from collections.abc import Iterator

from analysis.motion.results import RepKind
from analysis.training.remarks import fault_words
from analysis.training.superset import SetKind
from analysis.training.verdict import Outcome, PhaseVerdict
from analysis.training.words import PHASE_WORDS
from tui.book.corrected import KIND_WORDS
from tui.views.check_view import CheckRep, CheckSet, CheckView, Filter
from tui.words.format import UNKNOWN

PHASES = ("up", "top", "down", "bottom")
"""The columns, in the order of a pull-up."""
SIGNS = {Outcome.MISSED: "×", Outcome.UNSURE: "?"}
"""Beside a figure that is off, or may be."""
LEGEND = "± one sigma · × off · ? unsure · – not measured"


def figure(phase: PhaseVerdict | None) -> str:
    """Return a phase's seconds with its one-sigma and a sign: "1.0 ±.05 ×"."""
    if phase is None or phase.actual_s is None:
        return UNKNOWN
    sigma = "" if phase.sd_s is None else f" ±{f'{phase.sd_s:.2f}'.removeprefix('0')}"
    sign = SIGNS.get(phase.outcome, "") if phase.target_s else ""
    return f"{phase.actual_s:.1f}{sigma}{f' {sign}' if sign else ''}"


def named(rep: CheckRep, name: str) -> PhaseVerdict | None:
    """Return the phase of that name."""
    return next((one for one in rep.phases if one.name == name), None)


def why(rep: CheckRep) -> Iterator[str]:
    """Yield what of a rep was off and by how much, or cannot be told."""
    if not rep.verdict.phases and rep.outcome is Outcome.MISSED:
        yield "short of the reference rep" if rep.verdict.short else "partial, not counted"
    if rep.kind is RepKind.ONE_AND_HALF:
        yield f"{KIND_WORDS[rep.kind]}, half-way {figure(named(rep, 'half'))}"
    asked = [one for one in rep.phases if one.target_s]
    if asked and all(one.actual_s is None for one in asked):
        yield "phases not measured"
        return
    yield from (_off_words(one) for one in asked if one.outcome is not Outcome.MET)


def _off_words(phase: PhaseVerdict) -> str:
    if phase.actual_s is None or phase.target_s is None:
        return f"{PHASE_WORDS[phase.name]} not measured"
    sigma = "" if phase.sd_s is None else f" ± {phase.sd_s:.2f}"
    by = f"{abs(phase.actual_s - phase.target_s):.1f}{sigma} s"
    if phase.outcome is Outcome.MISSED:
        return f"{fault_words((phase.name, phase.direction))} by {by}"
    return f"{PHASE_WORDS[phase.name]} {phase.outcome}: {by} {'under' if phase.actual_s < phase.target_s else 'over'}"


def target(view: CheckView, name: str) -> str:
    """Return what was asked of a phase, in seconds."""
    return f"{view.targets[name]:g} s" if name in view.targets else UNKNOWN


def filter_words(view: CheckView, chosen: Filter) -> str:
    """Say which reps are listed, and how many of all there are; nothing where all are."""
    if chosen is Filter.ALL:
        return ""
    reps = sum(len(one.reps) for one in view.sets)
    return f"{chosen}: {sum(len(one.shown(chosen)) for one in view.sets)} of {reps} reps"


def nothing_words(done: CheckSet, chosen: Filter) -> str:
    """Say why no rep of a set is listed, and what to do next."""
    match done.kind:
        case SetKind.WARM_UP:
            return "A warm-up is kept and not judged. If it counts, c says so."
        case SetKind.PARTNER:
            return "Sets of the other exercise are kept and not judged. If it is one that counts, c says so."
    if done.verdict.held:
        return _held_words(done)
    if not done.reps:
        return "No rep of this set was measured; its count can be corrected (c)."
    return f"No rep of this set is {chosen}. f shows others."


def _held_words(done: CheckSet) -> str:
    """Say how long a hold was: it has seconds instead of reps."""
    one = done.verdict
    if one.tut_s is None or one.target_tut_s is None:
        return "A hold has seconds instead of reps."
    sd = "" if one.tut_sd_s is None else f" ± {one.tut_sd_s:.1f}"
    return f"Held {one.tut_s:.1f}{sd} s (one sigma), at least {one.target_tut_s:g} s asked for; a hold has no reps."


def no_set_words(view: CheckView) -> str:
    """Say why there is no set, and what to do next."""
    if view.marks:
        return "No set is left in this session. h lists the corrections; enter there takes one back."
    return "No set was done in this session, or the sensor saw none. `rungwise done` types one in."


def check_lines(view: CheckView) -> Iterator[str]:
    """Yield a session's check as text: the summary, then each set with a row a rep."""
    judged = str(view.outcome) if view.outcome else "not judged"
    yield f"{view.trainee}, {view.day}: {judged}"
    yield f"  {view.asked}"
    yield from (f"  {text}" for text in (*view.summary, *view.notes))
    for done in view.sets:
        yield from _set_lines(done, view)
    if view.marks:
        yield "corrections"
    yield from (f"  {one.letters}  {one.text}" for one in view.marks)
    if any(done.reps for done in view.sets):
        yield LEGEND


def _set_lines(done: CheckSet, view: CheckView) -> Iterator[str]:
    yield done.title
    yield from (f"  {text}" for text in done.lines)
    yield from (f"  {text}" for text in done.corrected)
    if done.reps:
        heads = (f"{name} {target(view, name)}" for name in PHASES)
        yield f"  rep {''.join(f'{head:>12}' for head in heads)}  verdict"
    for rep in done.reps:
        figures = "".join(f"{figure(named(rep, name)):>12}" for name in PHASES)
        beside = "; ".join((*why(rep), *rep.beside, *(f"corrected {text}" for text in rep.corrected)))
        yield f"  {rep.number:3d} {figures}  {rep.outcome}{f': {beside}' if beside else ''}"
