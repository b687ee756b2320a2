"""Beyond the tempo: how a rep begins, how far the trunk leans, and whether it went all the way. Judged where it shows.

- **Start** (sensor on the body): a shoulder-blade rise before the pull says that the rep began in a hang. One that was
  not seen is no proof that there was none: of 116 simulated ones on a belt eight were overlooked, three of them all
  that a set had; of 821 plain reps 14 showed one. So with *shoulders-set* a rep with a rise is missed; with *hang* a
  rep without one is unsure, and only a set most of whose reps lack it, of `FEW` and more, is missed. It is told beside
  the set's outcome and does not change it.
- **Lean** (chest or upper back): met below `LEAN_LIMIT_DEG`, with twice its one-sigma. Told beside the outcome, too.
- **Range** (where the sensor travels, and a reference rep is stored): a rep that surely stays below `WHOLE` of the
  reference's travel is partial and does not count. One that might be counts, and is unsure.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import floor, hypot, sqrt
from statistics import fmean

from analysis.motion.mounts import Mount
from analysis.motion.results import Rep, RepKind
from analysis.training.phases import EDGE_S, Duration, within
from analysis.training.prescription import Prescription, Start
from analysis.training.verdict import FormVerdict, Outcome, RepVerdict
from analysis.training.view import View

LEAN_LIMIT_DEG = 20.0
"""Lean of the trunk at the top, from the vertical, up to which a pull is no row (common practice, no source)."""

LEAN_SD_DEG = 9.0
"""One-sigma of it: of simulated reps 19 of 20 came out within 18°."""

WHOLE = 0.85
"""Share of the reference rep's travel below which a rep is partial (no source)."""

TRAVEL_SD_M = 0.027
"""One-sigma of one rep's travel: of simulated reps 19 of 20 came out within twice as much, on body and moving bar."""

FEW = 5
"""In fewer reps it is not said that most begin otherwise than in a hang."""


HOLDS_UNJUDGED = "Holds are not judged from this mount: wear the sensor on the body."


def judge_form(rep: Rep, prescription: Prescription, view: View) -> tuple[FormVerdict, ...]:
    """Judge what the mount shows of one rep beside its phases.

    Parameters
    ----------
    rep
        In true seconds. Of a partial one nothing is judged.
    prescription
        What was asked; its exercise says where the sensor is.
    view
        What is known beside the motion.
    """
    if not rep.counts:
        return ()
    found = (_start(rep, prescription), _lean(rep, prescription, view), _range(rep, prescription, view))
    return tuple(one for one in found if one is not None)


def as_whole(rep: Rep, prescription: Prescription, view: View) -> Rep:
    """Return the rep, as a partial one where it surely stays below its share of the reference's travel."""
    found = _range(rep, prescription, view) if rep.counts else None
    if found is None or found.outcome is not Outcome.MISSED or rep.travel_m is None or not view.reference_m:
        return rep
    return replace(rep, kind=RepKind.PARTIAL, reached=rep.travel_m / view.reference_m)


def judge_set_form(
    reps: Sequence[Rep], verdicts: Sequence[RepVerdict], prescription: Prescription, view: View
) -> tuple[FormVerdict, ...]:
    """Judge start, lean and range of a set from its counted reps.

    Parameters
    ----------
    reps, verdicts
        Of the same length.
    """
    counted = [rep for rep in reps if rep.counts]
    judged = [verdict for rep, verdict in zip(reps, verdicts, strict=True) if rep.counts]
    if not counted:
        return ()
    found = (
        _set_start(counted, prescription),
        _set_lean(judged, prescription.tolerance.reps_off),
        _set_range(counted, prescription, view),
    )
    return tuple(one for one in found if one is not None)


def unchecked(prescription: Prescription, view: View) -> tuple[str, ...]:
    """Say what will not be judged although it is asked, and why: once before the first set."""
    mount = prescription.exercise.mount
    if not prescription.sets:
        return ()
    if prescription.hold_s is not None:
        return () if mount is Mount.BODY else (HOLDS_UNJUDGED,)
    if not mount.shows_travel:
        range_words = "Range is not checked: this mount shows no travel."
    elif view.reference_m is None:
        range_words = "Range is not checked: no reference rep is stored for this rung and set-up."
    else:
        range_words = ""
    start_words = "How a rep begins is not checked: this mount does not show it."
    start = start_words if prescription.start and mount is not Mount.BODY else ""
    return tuple(text for text in (range_words, start) if text)


def _start(rep: Rep, prescription: Prescription) -> FormVerdict | None:
    if prescription.start is None or prescription.exercise.mount is not Mount.BODY:
        return None
    seen = rep.shrug_start_s is not None
    if prescription.start is Start.HANG:
        return FormVerdict("start", Outcome.MET if seen else Outcome.UNSURE)
    return FormVerdict("start", Outcome.MISSED, direction=1) if seen else FormVerdict("start", Outcome.MET)


def _lean(rep: Rep, prescription: Prescription, view: View) -> FormVerdict | None:
    shown = prescription.exercise.mount is Mount.BODY and view.place is not None and view.place.shows_lean
    if not shown or rep.lean_deg is None:
        return None
    outcome, direction = within(Duration(rep.lean_deg, LEAN_SD_DEG), high_s=LEAN_LIMIT_DEG)
    return FormVerdict("lean", outcome, direction, rep.lean_deg, LEAN_SD_DEG, LEAN_LIMIT_DEG, 0.0, "deg")


def _range(rep: Rep, prescription: Prescription, view: View) -> FormVerdict | None:
    if view.reference_m is None or not prescription.exercise.mount.shows_travel:
        return None
    return _against_reference(rep.travel_m, TRAVEL_SD_M, view.reference_m)


def _against_reference(travel_m: float | None, sd_m: float, reference_m: float) -> FormVerdict:
    """Compare a travel with its share of the reference's, which is one rep's too, both as unsure as they are."""
    both_m = hypot(sd_m, WHOLE * TRAVEL_SD_M)
    outcome, direction = within(Duration(travel_m, both_m), low_s=WHOLE * reference_m)
    return FormVerdict("range", outcome, direction, travel_m, both_m, reference_m, (1 - WHOLE) * reference_m, "m")


def _set_start(counted: Sequence[Rep], prescription: Prescription) -> FormVerdict | None:
    if _start(counted[0], prescription) is None:
        return None
    reps, risen = len(counted), sum(rep.shrug_start_s is not None for rep in counted)
    hang = prescription.start is Start.HANG
    as_asked = risen if hang else reps - risen
    allowed = floor(prescription.tolerance.reps_off * reps + EDGE_S)
    if reps - as_asked <= allowed:
        outcome = Outcome.MET
    elif hang and (reps < FEW or 2 * risen >= reps):
        outcome = Outcome.UNSURE
    else:
        outcome = Outcome.MISSED
    return FormVerdict("start", outcome, 0, float(as_asked), None, float(reps), float(allowed), "reps")


def _set_lean(judged: Sequence[RepVerdict], share_off: float) -> FormVerdict | None:
    """Judge the lean of a set: missed where more reps surely lean than may, met where no more might."""
    leans = [form for verdict in judged for form in verdict.form if form.name == "lean"]
    if not leans:
        return None
    allowed = floor(share_off * len(leans) + EDGE_S)
    missed = sum(form.outcome is Outcome.MISSED for form in leans)
    open_ = sum(form.outcome is not Outcome.MET for form in leans)
    outcome = Outcome.MISSED if missed > allowed else Outcome.MET if open_ <= allowed else Outcome.UNSURE
    mean = fmean(form.actual for form in leans if form.actual is not None)
    return FormVerdict("lean", outcome, int(outcome is Outcome.MISSED), mean, LEAN_SD_DEG, LEAN_LIMIT_DEG, 0.0, "deg")


def _set_range(counted: Sequence[Rep], prescription: Prescription, view: View) -> FormVerdict | None:
    """Judge the mean travel of the counted reps: each one's own error averages out, the reference's does not."""
    if view.reference_m is None or not prescription.exercise.mount.shows_travel:
        return None
    travels = [rep.travel_m for rep in counted if rep.travel_m is not None]
    mean = fmean(travels) if travels else None
    return _against_reference(mean, TRAVEL_SD_M / sqrt(max(len(travels), 1)), view.reference_m)
