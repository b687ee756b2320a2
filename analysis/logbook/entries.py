"""What the logbook itself adds to what training knows."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from uuid import UUID


@dataclass(frozen=True, slots=True)
class Trainee:
    """A person who trains."""

    id: UUID
    name: str


class RunKind(StrEnum):
    """How an answer came about; where several answer for one session, the later in this list counts.

    `ANEW` holds no set: from it on the session is answered anew, and what was found before answers no more.
    `PART` is what a cluster set had so far when its gap began: it answers only where the session was broken off there.
    """

    ANEW = "anew"
    PART = "part"
    TYPED = "typed"
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
    moment_sd_s
        One sigma of a single moment, of a sensor that does not tell the time; None where not noted.
    """

    id: int
    kind: RunKind
    version: str
    parameters_sha: str
    clock_ratio: float | None
    clock_sd_ppm: float | None
    moment_sd_s: float | None = None
