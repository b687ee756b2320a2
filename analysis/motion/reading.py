"""What the last seconds show, read afresh: the live counterpart of `refine.py`, with nothing of the future."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.motion.events import Phase
from analysis.motion.filters import low_pass
from analysis.motion.grammar import Word, read
from analysis.motion.grid import Stretch
from analysis.motion.height import solve, vertical
from analysis.motion.metrics import measure
from analysis.motion.mounts import Mount
from analysis.motion.parameters import Parameters
from analysis.motion.posture import height_from_posture
from analysis.motion.results import Rep, RepKind
from analysis.motion.samples import FloatArray
from analysis.motion.strokes import Stroke, Track, strokes
from analysis.motion.tilt import tilt_tracks


@dataclass(frozen=True, slots=True)
class Now:
    """The state of things at the end of the window.

    Attributes
    ----------
    reps
        Reps that ended and were not confirmed before.
    spans
        Start and end of every rep read in the window.
    top
        Start and top of a rep that has reached its top and not yet ended.
    rising
        A stroke up is under way, or a way down is not yet complete.
    phase, phase_s
        What is being done, and since when.
    from_s
        Start of the window.
    """

    reps: tuple[Rep, ...]
    spans: tuple[tuple[float, float], ...]
    top: tuple[float, float] | None
    rising: bool
    phase: Phase
    phase_s: float
    from_s: float


def read_now(window: Stretch, mount: Mount, parameters: Parameters, done_s: float, size: float | None) -> Now:
    """Read the window; `done_s` is the end of the last confirmed rep, `size` the bout's travel so far."""
    rate = parameters.grid.rate_hz
    track, direction, least = _track(window, mount, parameters)
    typical = size or 2 * least
    way = strokes(track, np.maximum(0.6 * least, parameters.stroke.ripple * typical), parameters.stroke)
    words = read(way, rate, max(least, 0.35 * typical) if size else least, parameters.sets)
    lag = parameters.life.live_lag_s * rate
    last = len(window) - 1

    def at(edge: float) -> float:
        return float(window.t_s[0] + edge / rate)

    over = [w for w in words if w.down.stop <= last - lag and _complete(w, way)]
    new = [w for w in over if at(w.start) > done_s - 0.3]
    reps = tuple(
        measure(w, track, track if mount.shows_travel else None, direction, RepKind.FULL, typical) for w in new
    )
    after = new[-1].down.stop if new else (done_s - float(window.t_s[0])) * rate
    top = _top(way, after, least, typical, last - lag)
    phase, since = _phase(track, way)
    return Now(
        reps=reps,
        spans=tuple((at(w.start), at(w.stop)) for w in words),
        top=None if top is None else (at(top.start), at(top.stop)),
        rising=phase in (Phase.UP, Phase.DOWN),
        phase=phase,
        phase_s=at(since),
        from_s=float(window.t_s[0]),
    )


def _track(window: Stretch, mount: Mount, parameters: Parameters) -> tuple[Track, FloatArray, float]:
    rate = parameters.grid.rate_hz
    if mount.shows_travel:
        v = vertical(window, rate, parameters.height)
        smoothed = solve(v, parameters.height)
        ruler = height_from_posture(smoothed.height_m, v.direction, rate, parameters.height.posture_window_s)
        smoothed = solve(v, parameters.height, ruler)
        floor = parameters.stroke.boundary_speed_m_s
        track = Track(window.t_s, smoothed.height_m, smoothed.speed_m_s, rate, floor)
        return track, v.direction, parameters.stroke.least_travel_m
    direction = low_pass(window.force_m_s2, parameters.tilt.cutoff_hz, rate)
    direction = direction / np.maximum(np.linalg.norm(direction, axis=1), 1e-6)[:, None]
    track = next(tilt_tracks(window.t_s, direction, rate, parameters))
    size = float(2 * np.mean(np.abs(track.position)))
    return track, direction, max(size, parameters.tilt.least_turn_deg)


def _complete(word: Word, way: list[Stroke]) -> bool:
    """Whether the way down is over: nearly closed, or another stroke follows."""
    return word.down.travel >= 0.75 * word.up.travel or word.down is not way[-1]


def _top(way: list[Stroke], after: float, least: float, typical: float, settled: float) -> Stroke | None:
    """Return the last way up that began after the last rep and has stopped, if it is large enough."""
    ups = [s for s in way if s.side > 0 and s.start >= after - 5 and s.travel >= max(least, 0.55 * typical)]
    return ups[-1] if ups and ups[-1].stop <= settled else None


def _phase(track: Track, way: list[Stroke]) -> tuple[Phase, float]:
    if not way:
        return Phase.HANG, 0.0
    last = way[-1]
    end = len(track.position) - 1
    if last.stop >= end - 1:
        return (Phase.UP if last.side > 0 else Phase.DOWN), last.start
    return (Phase.TOP if last.side > 0 else Phase.BOTTOM), last.stop
