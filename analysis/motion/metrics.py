"""Step 6: from a rep's turning points to its phases, travel, speeds and lean, each with what is known of its error."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np

from analysis.motion.grammar import Word
from analysis.motion.results import Rep, RepKind, TimingSd
from analysis.motion.samples import FloatArray
from analysis.motion.strokes import Stroke, Track


def measure(word: Word, track: Track, free: Track | None, direction: FloatArray, kind: RepKind, size: float) -> Rep:
    """Return the rep that `word` makes on `track`.

    Parameters
    ----------
    free
        The track by acceleration alone, on which travel and speed are measured; None where the sensor does not travel.
    direction
        Gravity direction from the sensor.
    kind
        FULL or PARTIAL.
    size
        Travel of the bout's typical rep, in the track's unit.
    """
    up, down = word.up, word.down
    travel, mean, peak = (None, None, None) if free is None else _travel(free, up)
    half = word.strokes[1:3] if word.halved and kind is RepKind.FULL else None
    edges = (up.start, up.stop, max(down.start, up.stop), down.stop)
    start_s, top_s, down_s, end_s = (float(track.t_s[0] + edge / track.rate_hz) for edge in edges)
    return Rep(
        start_s=start_s,
        top_s=top_s,
        down_s=down_s,
        end_s=end_s,
        kind=RepKind.ONE_AND_HALF if half else kind,
        hold_top_s=max(0.0, (word.strokes[1].start - up.stop) / track.rate_hz),
        half_pause_s=max(0.0, (half[1].start - half[0].stop) / track.rate_hz) if half else None,
        shrug_start_s=None if up.early is None else float(track.t_s[0] + up.early / track.rate_hz),
        reached=min(1.0, up.travel / size) if kind is RepKind.PARTIAL else None,
        travel_m=travel,
        mean_velocity_m_s=mean,
        peak_velocity_m_s=peak,
        lean_deg=None if free is None else _lean(direction, up.begin.index, up.end.index),
        timing_sd=TimingSd(*(_edge_sd(track, edge) for edge in edges)),
    )


def with_pauses(reps: Sequence[Rep]) -> tuple[Rep, ...]:
    """Fill in the bottom pauses, which need the next rep."""
    out = [replace(a, bottom_pause_s=max(0.0, (b.shrug_start_s or b.start_s) - a.end_s)) for a, b in pairwise(reps)]
    return (*out, *reps[-1:])


def _travel(track: Track, up: Stroke) -> tuple[float, float, float]:
    index = np.arange(len(track.position))
    low = up.start if up.early is None else up.early
    begin, bottom, top = np.interp([up.start, low, up.stop], index, track.position)
    duration_s = max((up.stop - up.start) / track.rate_hz, 1e-3)
    peak = float(track.speed[round(up.start) : round(up.stop) + 1].max())
    return abs(float(top - bottom)), abs(float(top - begin)) / duration_s, peak


def _lean(direction: FloatArray, bottom: int, top: int) -> float:
    cosine = float(direction[bottom] @ direction[top])
    return float(np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))))


def _edge_sd(track: Track, index: float) -> float:
    """Speed error over acceleration at the crossing: a slow passage of the threshold is an uncertain one."""
    i = int(np.clip(round(index), 1, len(track.speed) - 2))
    slope = abs(float(track.speed[i + 1] - track.speed[i - 1])) * track.rate_hz / 2
    scale = max(track.floor_speed, 1e-9)
    return float(np.clip(np.hypot(0.012, scale / max(slope, 0.5 * scale)), 0.012, 1.0))
