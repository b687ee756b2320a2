"""Step 6: from a rep's strokes to its phases, travel, speeds and lean, each with what is known of its error."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np

from analysis.motion.edges import stroke_edges
from analysis.motion.lobes import Track
from analysis.motion.parameters import Parameters, StrokeParameters
from analysis.motion.results import Bout, Rep, RepKind, Untold, Why
from analysis.motion.rises import with_rises
from analysis.motion.speeds import speeds_of
from analysis.motion.sureness import Ground, told
from analysis.motion.travel import travel_of
from analysis.motion.words import Kind, Word

_KINDS = {Kind.FULL: RepKind.FULL, Kind.HALVED: RepKind.ONE_AND_HALF, Kind.PARTIAL: RepKind.PARTIAL}


def measure_all(words: Sequence[Word], on: Ground, size: float, parameters: Parameters) -> tuple[Rep, ...]:
    """Return the reps that `words` make, with the pauses between them.

    Parameters
    ----------
    size
        Travel of the bout's typical rep, in the track's unit.
    """
    reps = []
    track = on.track
    words = with_rises(words, track, 0, parameters.stroke)
    for i, word in enumerate(words):
        low = 0.5 * (words[i - 1].stop + word.start) if i else word.start - 1.0 * track.rate_hz
        high = 0.5 * (word.stop + words[i + 1].start) if i + 1 < len(words) else word.stop + 1.0 * track.rate_hz
        reps.append(_measure(word, on, size, (low, high), parameters.stroke))
    return with_pauses(reps)


def with_pauses(reps: Sequence[Rep]) -> tuple[Rep, ...]:
    """Fill in the bottom pauses, which need the next rep."""
    paused = [replace(a, bottom_pause_s=max(0.0, (b.shrug_start_s or b.start_s) - a.end_s)) for a, b in pairwise(reps)]
    return (*paused, *reps[-1:])


def as_told(bout: Bout) -> Bout:
    """Return the bout as it may be told: where up may be down, no top, no phase and no speed is claimed."""
    if bout.why is not Why.SIGN_UNRESOLVED:
        return bout
    return replace(bout, reps=tuple(_unresolved(rep) for rep in bout.reps))


def _unresolved(rep: Rep) -> Rep:
    return Rep(
        start_s=rep.start_s,
        top_s=None,
        down_s=None,
        end_s=rep.end_s,
        kind=rep.kind,
        reached=rep.reached,
        travel_m=rep.travel_m,
        untold=Untold(*[Why.SIGN_UNRESOLVED] * 4),
    )


def _measure(word: Word, on: Ground, size: float, limits: tuple[float, float], p: StrokeParameters) -> Rep:
    track = on.track
    turns = [0.5 * (a.stop + b.start) for a, b in pairwise(word.strokes)]
    lows, highs = [limits[0], *turns], [*turns, limits[1]]
    ways = [
        stroke_edges(track, stroke, low, high, p) for stroke, low, high in zip(word.strokes, lows, highs, strict=True)
    ]
    up, down = ways[0], ways[-1]
    edges = (up.start, up.stop, max(down.start, up.stop), down.stop)
    start_s, top_s, down_s, end_s = (_time(track, edge) for edge in edges)
    sds, whys = told(on, edges, word, p)
    half, held = word.kind is Kind.HALVED, whys.top is None and whys.down is None
    speeds = speeds_of(on, up, sds.start_s, sds.top_s, p)
    return Rep(
        start_s=start_s,
        top_s=top_s if whys.top is None else None,
        down_s=down_s if whys.down is None else None,
        end_s=end_s,
        kind=_KINDS[word.kind],
        hold_top_s=max(0.0, (ways[1].start - up.stop) / track.rate_hz) if half or held else None,
        half_pause_s=max(0.0, (ways[2].start - ways[1].stop) / track.rate_hz) if half else None,
        shrug_start_s=None if up.early is None else _time(track, up.early),
        reached=min(1.0, word.up.travel / size) if word.kind is Kind.PARTIAL else None,
        travel_m=None if whys.top is not None else travel_of(on, up, p),
        mean_velocity_m_s=speeds.mean_m_s,
        peak_velocity_m_s=speeds.peak_m_s,
        mean_velocity_sd_m_s=speeds.mean_sd_m_s,
        peak_velocity_sd_m_s=speeds.peak_sd_m_s,
        lean_deg=_lean(on, up.stop) if whys.top is None else None,
        timing_sd=sds,
        untold=whys,
    )


def _time(track: Track, edge: float) -> float:
    return float(track.t_s[0] + edge / track.rate_hz)


def _lean(on: Ground, top: float) -> float | None:
    """Return the angle of the trunk against the vertical at the top."""
    if on.upright is None:
        return None
    now = on.direction[min(len(on.direction) - 1, round(top))]
    return float(np.degrees(np.arccos(np.clip(float(on.upright @ now), -1.0, 1.0))))
