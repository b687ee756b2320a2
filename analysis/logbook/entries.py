"""What the logbook itself adds to what training knows."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any
from uuid import UUID


@dataclass(frozen=True, slots=True)
class Trainee:
    """A person who trains."""

    id: UUID
    name: str


class RunKind(StrEnum):
    """How a run of the analysis came about; where several answer for one session, the later in this list counts."""

    LIVE = "live"
    REFINED = "refined"
    REANALYSIS = "re-analysis"


@dataclass(frozen=True, slots=True, kw_only=True)
class AnalysisRun:
    """Which analysis found what was found.

    Attributes
    ----------
    id
        Of this logbook only.
    version, parameters_sha
        Of the analysis.
    clock_ratio, clock_sd_ppm
        True seconds in one of the sensor's, and how well that is known; None where the link has not told.
    """

    id: int
    kind: RunKind
    version: str
    parameters_sha: str
    clock_ratio: float | None
    clock_sd_ppm: float | None


RELABEL = "relabel"
"""Kind of the correction that says whose set it was; what holds then is in a run of its own."""
DROP = "drop"
"""Kind of the correction that leaves a set out of the count; the only one so far that the logbook itself heeds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction:
    """What a person says against what was measured. Both are kept.

    Attributes
    ----------
    start_s, end_s
        Span of the recording, on the sensor's own clock.
    kind
        What is corrected: `DROP`, or another word that is kept for the reader.
    value
        What holds instead; anything JSON knows.
    who
        Name of the one who says so.
    """

    session_id: UUID
    start_s: float
    end_s: float
    kind: str
    value: Any
    reason: str
    who: str
    made_utc_us: int
