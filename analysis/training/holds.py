"""A set that is one hold: judged by its seconds alone, as a minimum, from a sensor on the body."""

from __future__ import annotations

from analysis.motion.mounts import Mount
from analysis.training.phases import Duration, within
from analysis.training.prescription import Prescription
from analysis.training.verdict import Outcome, SetVerdict

EDGE_SD_S = 1.8
"""One-sigma of either end of a hold: thirteen simulated hangs of 7 to 29 s came out 2.5 s off in length (root mean
square), most of them too short, because taking hold and letting go blur into the hang."""


def judge_hold(
    held_s: float, prescription: Prescription, *, rest_before_s: float | None, clock_sd: float = 0.0
) -> SetVerdict:
    """Judge one hold against `Prescription.hold_s`.

    Parameters
    ----------
    held_s
        True seconds.
    prescription
        What was asked; its reps and tempo are not looked at. From another mount than the body a hold is seen too
        seldom, and its ends too badly, to be judged.
    rest_before_s
        Since the end of the hold before; None before the first.
    clock_sd
        One-sigma of the sensor's clock ratio.

    Returns
    -------
    SetVerdict
        Without reps: its time under tension is the time held, its count 1.
    """
    target_s = prescription.hold_s or 0.0
    held = Duration(held_s, EDGE_SD_S * 2**0.5).by_clock(clock_sd)
    outcome = within(held, target_s - prescription.tolerance.of(target_s))[0]
    latest_s = prescription.rest_s + prescription.tolerance.rest_late_s
    rest = within(Duration(rest_before_s, EDGE_SD_S * 2**0.5), high_s=latest_s)[0]
    told = prescription.exercise.mount is Mount.BODY
    if not told:
        outcome = rest = Outcome.NOT_MEASURABLE
    remark = "" if outcome is Outcome.MET else f"Held {held_s:.0f} ± {held.sd_s:.0f} s of {target_s:g} s."
    return SetVerdict(
        count=1,
        target_reps=1,
        reps=(),
        reps_outcome=Outcome.MET if told else Outcome.NOT_MEASURABLE,
        tempo_outcome=Outcome.NOT_MEASURABLE,
        tut_s=held_s,
        target_tut_s=target_s,
        tut_outcome=outcome,
        rest_before_s=rest_before_s,
        target_rest_s=prescription.rest_s,
        rest_outcome=rest,
        outcome=outcome,
        remark=remark if told else "A hold is not measurable from this mount: wear the sensor on the body.",
        tut_sd_s=held.sd_s,
        held=True,
    )
