"""The JSON document of `rungwise analyse` (format `rungwise.analysis/1`), which outside tools rely on.

The keys and their meaning are a contract: add, never rename. What cannot be measured is null. Times are seconds of the
sensor's own clock, rounded to a tenth of a millisecond.
"""

from __future__ import annotations

from dataclasses import asdict
from importlib.metadata import version
from typing import TYPE_CHECKING, Any, Protocol

from analysis.motion.mounts import Mount, Place
from analysis.motion.results import Bout, Rep, TimingSd

if TYPE_CHECKING:  # what is looked up in the log needs no motion core
    from analysis.motion.analysis import Analysis

FORMAT = "rungwise.analysis/1"


class _Span(Protocol):
    """Anything with a start and an end."""

    @property
    def start_s(self) -> float: ...
    @property
    def end_s(self) -> float: ...


def analysis_document(analysis: Analysis, *, file: str, mount: Mount, place: Place | None = None) -> dict[str, Any]:
    """Return the document of one analysed file, ready for `json.dumps`.

    `place` says whether the `lean_deg` of a rep is the trunk's (chest, upper back) or the tilt of the pelvis (belt).
    """
    return {
        "format": FORMAT,
        "file": file,
        "mount": mount.value,
        "place": place.value if place else None,
        "axes": analysis.axes,
        "sample_rate_hz": _rounded(analysis.sample_rate_hz),
        "duration_s": _rounded(analysis.duration_s),
        "analysis": {
            "version": version("rungwise"),
            "parameters_sha": analysis.parameters_sha,
            "kind": analysis.kind,
        },
        "gaps": [_span(gap) for gap in analysis.gaps],
        "sets": [_set(bout) for bout in analysis.sets],
        "holds": [{**_span(hold), "where": hold.where.value} for hold in analysis.holds],
        "unmeasurable": [{**_span(span), "why": span.why.value} for span in analysis.unmeasurable],
    }


def _set(bout: Bout) -> dict[str, Any]:
    return {
        **_span(bout),
        "measured": bout.measured,
        "why": bout.why.value if bout.why else None,
        "velocity_loss": _rounded(bout.velocity_loss),
        "reps": [rep_document(rep) for rep in bout.reps],
    }


def rep_document(rep: Rep) -> dict[str, Any]:
    """Return one rep as the contract has it."""
    return {
        "start_s": _rounded(rep.start_s),
        "top_s": _rounded(rep.top_s),
        "down_s": _rounded(rep.down_s),
        "end_s": _rounded(rep.end_s),
        "hold_top_s": _rounded(rep.hold_top_s),
        "bottom_pause_s": _rounded(rep.bottom_pause_s),
        "kind": rep.kind.value,
        "half_pause_s": _rounded(rep.half_pause_s),
        "shrug_start_s": _rounded(rep.shrug_start_s),
        "reached": _rounded(rep.reached),
        "travel_m": _rounded(rep.travel_m),
        "mean_velocity_m_s": _rounded(rep.mean_velocity_m_s),
        "peak_velocity_m_s": _rounded(rep.peak_velocity_m_s),
        "mean_velocity_sd_m_s": _rounded(rep.mean_velocity_sd_m_s),
        "peak_velocity_sd_m_s": _rounded(rep.peak_velocity_sd_m_s),
        "lean_deg": _rounded(rep.lean_deg),
        "timing_sd_s": _timing_sd(rep.timing_sd),
        "untold": {name: why.value if why else None for name, why in asdict(rep.untold).items()},
        "provisional_s": _rounded(rep.provisional_s),
        "emitted_s": _rounded(rep.emitted_s),
    }


def _timing_sd(sd: TimingSd) -> dict[str, float | None]:
    return {
        "start": _rounded(sd.start_s),
        "top": _rounded(sd.top_s),
        "down": _rounded(sd.down_s),
        "end": _rounded(sd.end_s),
    }


def _span(span: _Span) -> dict[str, float | None]:
    return {"start_s": _rounded(span.start_s), "end_s": _rounded(span.end_s)}


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(float(value), 4)
