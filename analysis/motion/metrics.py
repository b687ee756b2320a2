"""Step 6: from a rep's strokes to its phases, travel, speeds and lean, each with what is known of its error."""

from __future__ import annotations

from collections.abc import Container, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np

from analysis.motion.edges import Edges, stroke_edges
from analysis.motion.lobes import Track
from analysis.motion.lowering import Between, Moment, Seen, lowering
from analysis.motion.parameters import Parameters, StrokeParameters
from analysis.motion.results import Bout, Rep, RepKind, Untold, Why
from analysis.motion.rises import with_rises
from analysis.motion.speeds import speeds_of
from analysis.motion.sureness import Ground, told
from analysis.motion.travel import travel_of
from analysis.motion.words import Kind, Word

_KINDS = {Kind.FULL: RepKind.FULL, Kind.HALVED: RepKind.ONE_AND_HALF, Kind.PARTIAL: RepKind.PARTIAL}


def measure_all(
    words: Sequence[Word], on: Ground, size: float, parameters: Parameters, *, wanted: Container[Word] | None = None
) -> tuple[Rep, ...]:
    """Return the reps that `words` make, with the pauses between them.

    Parameters
    ----------
    size
        Travel of the bout's typical rep, in the track's unit.
    wanted
        Words whose slow lowerings are worth weighing; None for all.
    """
    track, p = on.track, parameters.stroke
    weigh = [wanted is None or word in wanted for word in words]
    words = with_rises(words, track, 0, p)
    ways: list[list[Edges]] = []
    for i, word in enumerate(words):
        low = 0.5 * (words[i - 1].stop + word.start) if i else word.start - 1.0 * track.rate_hz
        high = 0.5 * (word.stop + words[i + 1].start) if i + 1 < len(words) else word.stop + 1.0 * track.rate_hz
        ways.append(_ways(word, on, (low, high), p))
    begins = [way[0].start if way[0].early is None else way[0].early for way in ways]
    reps = []
    for word, way, following, worth in zip(words, ways, [*begins[1:], None], weigh, strict=True):
        slow = _weighed(word, way, following, on, size, parameters) if worth else None
        reps.append(_measure(word, way, slow, on, size, p))
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


def _ways(word: Word, on: Ground, limits: tuple[float, float], p: StrokeParameters) -> list[Edges]:
    """Boundaries of a word's strokes, between `limits`."""
    turns = [0.5 * (a.stop + b.start) for a, b in pairwise(word.strokes)]
    lows, highs = [limits[0], *turns], [*turns, limits[1]]
    return [
        stroke_edges(on.track, stroke, low, high, p)
        for stroke, low, high in zip(word.strokes, lows, highs, strict=True)
    ]


def _weighed(
    word: Word, ways: Sequence[Edges], following: float | None, on: Ground, size: float, parameters: Parameters
) -> tuple[Moment, Moment] | None:
    """Begin and end of the last way down, where it is so slow that they are better weighed; times of the track."""
    rate, p = on.track.rate_hz, parameters.lowering
    up, down = ways[-2], ways[-1]
    if on.along_m_s2 is None or word.kind is Kind.PARTIAL or down.stop - down.start < p.least_s * rate:
        return None
    seen = Seen(on.along_m_s2, on.hole, rate)
    next_s = None if following is None else following / rate
    between = Between(up.start / rate, up.stop / rate, down.start / rate, down.stop / rate, next_s, size)
    return lowering(seen, between, on.track.floor_speed, parameters.stroke.boundary_share, p)


def _measure(
    word: Word, ways: list[Edges], slow: tuple[Moment, Moment] | None, on: Ground, size: float, p: StrokeParameters
) -> Rep:
    track = on.track
    if slow is not None:
        begin, end = (moment.at_s * track.rate_hz for moment in slow)
        ways = [*ways[:-1], replace(ways[-1], start=begin, stop=end)]
    up, down = ways[0], ways[-1]
    edges = (up.start, up.stop, max(down.start, ways[-2].stop), down.stop)
    start_s, top_s, down_s, end_s = (_time(track, edge) for edge in edges)
    sds, whys = told(on, edges, word, p, None if slow is None else (slow[0].sd_s, slow[1].sd_s))
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
