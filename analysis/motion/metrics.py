"""Step 6: from a rep's strokes to its phases, travel, speeds and lean, each with what is known of its error."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np

from analysis.motion.edges import Edges, stroke_edges
from analysis.motion.lobes import Track
from analysis.motion.parameters import Parameters, StrokeParameters
from analysis.motion.results import Rep, RepKind, TimingSd
from analysis.motion.rises import with_rises
from analysis.motion.samples import FloatArray
from analysis.motion.words import Kind, Stroke, Word

_KINDS = {Kind.FULL: RepKind.FULL, Kind.HALVED: RepKind.ONE_AND_HALF, Kind.PARTIAL: RepKind.PARTIAL}


def measure_all(
    words: Sequence[Word], track: Track, free: Track | None, direction: FloatArray, size: float, parameters: Parameters
) -> tuple[Rep, ...]:
    """Return the reps that `words` make on `track`, with the pauses between them.

    Parameters
    ----------
    free
        The track by acceleration alone, on which travel and speed are measured; None where the sensor does not travel.
    direction
        Gravity direction from the sensor.
    size
        Travel of the bout's typical rep, in the track's unit.
    """
    reps = []
    words = with_rises(words, track, 0, parameters.stroke)
    for i, word in enumerate(words):
        low = 0.5 * (words[i - 1].stop + word.start) if i else word.start - 1.0 * track.rate_hz
        high = 0.5 * (word.stop + words[i + 1].start) if i + 1 < len(words) else word.stop + 1.0 * track.rate_hz
        reps.append(_measure(word, track, free, direction, size, (low, high), parameters))
    return with_pauses(reps)


def with_pauses(reps: Sequence[Rep]) -> tuple[Rep, ...]:
    """Fill in the bottom pauses, which need the next rep."""
    paused = [replace(a, bottom_pause_s=max(0.0, (b.shrug_start_s or b.start_s) - a.end_s)) for a, b in pairwise(reps)]
    return (*paused, *reps[-1:])


def _measure(
    word: Word,
    track: Track,
    free: Track | None,
    direction: FloatArray,
    size: float,
    limits: tuple[float, float],
    parameters: Parameters,
) -> Rep:
    turns = [0.5 * (a.stop + b.start) for a, b in pairwise(word.strokes)]
    lows, highs = [limits[0], *turns], [*turns, limits[1]]
    ways = [
        stroke_edges(track, stroke, low, high, parameters.stroke)
        for stroke, low, high in zip(word.strokes, lows, highs, strict=True)
    ]
    up, down = ways[0], ways[-1]
    half = word.kind is Kind.HALVED
    travel, mean, peak = (None, None, None) if free is None else _travel(free, up)
    edges = (up.start, up.stop, max(down.start, up.stop), down.stop)
    start_s, top_s, down_s, end_s = (_time(track, edge) for edge in edges)
    return Rep(
        start_s=start_s,
        top_s=top_s,
        down_s=down_s,
        end_s=end_s,
        kind=_KINDS[word.kind],
        hold_top_s=max(0.0, (ways[1].start - up.stop) / track.rate_hz),
        half_pause_s=max(0.0, (ways[2].start - ways[1].stop) / track.rate_hz) if half else None,
        shrug_start_s=None if up.early is None else _time(track, up.early),
        reached=min(1.0, word.up.travel / size) if word.kind is Kind.PARTIAL else None,
        travel_m=travel,
        mean_velocity_m_s=mean,
        peak_velocity_m_s=peak,
        lean_deg=None if free is None else _lean(direction, up),
        timing_sd=TimingSd(
            *(
                _edge_sd(track, free, edge, stroke, parameters.stroke)
                for edge, stroke in zip(edges, (word.up, word.up, word.down, word.down), strict=True)
            )
        ),
    )


def _time(track: Track, edge: float) -> float:
    return float(track.t_s[0] + edge / track.rate_hz)


def _travel(track: Track, up: Edges) -> tuple[float, float, float]:
    index = np.arange(len(track.position))
    low = up.start if up.early is None else up.early
    begin, bottom, top = np.interp([up.start, low, up.stop], index, track.position)
    duration_s = max((up.stop - up.start) / track.rate_hz, 1e-3)
    peak = float(track.speed[round(up.start) : round(up.stop) + 1].max())
    return abs(float(top - bottom)), abs(float(top - begin)) / duration_s, peak


def _lean(direction: FloatArray, up: Edges) -> float:
    last = len(direction) - 1
    bottom, top = direction[min(last, round(up.start))], direction[min(last, round(up.stop))]
    return float(np.degrees(np.arccos(np.clip(float(bottom @ top), -1.0, 1.0))))


def _edge_sd(track: Track, free: Track | None, index: float, stroke: Stroke, p: StrokeParameters) -> float:
    """Speed error over acceleration at the crossing, and a share of the stroke's time: slow passages are uncertain.

    How far the speed by acceleration alone is from that with the posture as a ruler shows the speed error there; with
    one reading only, it is taken to be the boundary's own speed.
    """
    i = min(max(round(index), 1), len(track.speed) - 2)
    near = slice(max(0, i - _NEAR), i + _NEAR + 1)
    apart = track.floor_speed
    if free is not None and free is not track:
        apart = float(np.sqrt(np.mean((track.speed[near] - free.speed[near]) ** 2)))
    slope = max(abs(float(track.speed[i + 1] - track.speed[i - 1])) * track.rate_hz / 2, 0.5 * track.floor_speed)
    moving_s = (stroke.stop - stroke.start) / track.rate_hz
    own = p.speed_sd_m_s if free is not None else 0.0
    return float(min(1.0, np.sqrt(p.least_sd_s**2 + (own**2 + apart**2) / slope**2 + (p.time_sd * moving_s) ** 2)))


_NEAR = 8
"""Grid points to either side of a boundary over which two readings are compared: a third of a second."""
