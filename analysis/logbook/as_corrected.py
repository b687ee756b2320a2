"""Sessions with what people said against them, for one trainee or for everybody, with reps or without."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from sqlalchemy import Row

from analysis.logbook.note_rows import correction_of
from analysis.training.correcting import corrected
from analysis.training.records import SessionRecord, SetRecord
from analysis.training.scale import TrueTime

UNKNOWN_SD = 0.015
"""One sigma of a clock of which no run tells anything: on-chip oscillators go up to 1.5 % wrong."""


def as_corrected(found: SessionRecord, said: Sequence[Row[Any]], runs: Sequence[Row[Any]]) -> SessionRecord:
    """Return a session as it stands.

    Parameters
    ----------
    found
        As measured, with everybody's sets and all reps.
    said
        Rows of its corrections.
    runs
        Rows of its analysis runs, the one that answers first.
    """
    return corrected(found, [correction_of(row, found.session_id) for row in said], _clock(runs))


def _clock(runs: Sequence[Row[Any]]) -> TrueTime:
    """Return the sensor's clock as known at last by the run that answers."""
    if not runs:
        return TrueTime(ratio_sd=UNKNOWN_SD)
    best = runs[0]
    sd = UNKNOWN_SD if best.clock_sd_ppm is None else best.clock_sd_ppm * 1e-6
    return TrueTime(ratio=best.clock_ratio or 1.0, ratio_sd=sd, moment_sd_s=best.moment_sd_s or 0.0)


def without_reps(record: SessionRecord) -> SessionRecord:
    """Return a session without its reps."""
    sets = _light(record.sets)
    verdict = replace(record.verdict, sets=tuple(one.verdict for one in sets))
    return replace(
        record,
        sets=sets,
        partners=_light(record.partners),
        warm_ups=_light(record.warm_ups),
        others=_light(record.others),
        verdict=verdict,
    )


def _light(sets: Sequence[SetRecord]) -> tuple[SetRecord, ...]:
    return tuple(replace(one, reps=(), verdict=replace(one.verdict, reps=())) for one in sets)
