"""Reps and prescriptions as hills: durations only, ready to be drawn."""

from __future__ import annotations

from collections.abc import Sequence

from analysis.motion.results import Rep, RepKind
from analysis.training.prescription import Prescription
from analysis.training.records import SetRecord
from analysis.training.verdict import RepVerdict, SetVerdict
from tui.session.messages import Hill


def target_hill(prescription: Prescription) -> Hill:
    """Return the prescribed rep; of a hold one that is held so long."""
    tempo = prescription.tempo
    return Hill(
        up_s=tempo.up_s,
        top_s=tempo.top_s if prescription.hold_s is None else prescription.hold_s,
        down_s=tempo.down_s,
        bottom_s=tempo.bottom_s,
        two_summits=prescription.half_pause_s is not None,
    )


def provisional_hill(up_s: float) -> Hill:
    """Return a rep that has reached its top and not yet its end."""
    return Hill(up_s=up_s, top_s=None, down_s=None, bottom_s=None, provisional=True)


def rep_hills(reps: Sequence[Rep], verdicts: Sequence[RepVerdict | None]) -> tuple[Hill, ...]:
    """Return one hill a rep; heights are shares of the highest travel among them."""
    highest = max((rep.travel_m for rep in reps if rep.travel_m), default=None)
    return tuple(_hill(rep, highest, verdict) for rep, verdict in zip(reps, verdicts, strict=True))


def hold_hill(verdict: SetVerdict) -> Hill:
    """Return a set that is one hold: a flat top, its flanks not known."""
    return Hill(up_s=None, top_s=verdict.tut_s, down_s=None, bottom_s=None, outcome=verdict.outcome)


def set_hills(done: SetRecord) -> tuple[Hill, ...]:
    """Return the reps of a set that was done, as they are drawn; a hold that a sensor saw is one."""
    if done.verdict.held:
        return (hold_hill(done.verdict),) if done.bouts else ()
    verdicts = done.verdict.reps or (None,) * len(done.reps)
    return rep_hills(done.reps, verdicts)


def _hill(rep: Rep, highest_m: float | None, verdict: RepVerdict | None) -> Hill:
    return Hill(
        up_s=_difference(rep.top_s, rep.start_s),
        top_s=rep.hold_top_s,
        down_s=_difference(rep.end_s, rep.down_s),
        bottom_s=rep.bottom_pause_s,
        height=_height(rep, highest_m),
        two_summits=rep.kind is RepKind.ONE_AND_HALF,
        counted=rep.counts and not (verdict and verdict.short),
        outcome=verdict.outcome if verdict else None,
    )


def _height(rep: Rep, highest_m: float | None) -> float:
    if not rep.counts:
        return rep.reached if rep.reached is not None else 0.5
    if highest_m is None or rep.travel_m is None:
        return 1.0
    return rep.travel_m / highest_m


def _difference(later_s: float | None, earlier_s: float | None) -> float | None:
    return None if later_s is None or earlier_s is None else later_s - earlier_s
