"""Shoulder-blade rises: a small piece of the way up that comes to rest, or nearly so, before the pull.

What tells one is a loss of speed before the pull: the speed of a plain pull only grows until its steep part. The pause
after it may last a second or not exist at all, so neither a pause nor a change of sign is asked for.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from analysis.motion.lobes import Track
from analysis.motion.parameters import StrokeParameters
from analysis.motion.samples import FloatArray
from analysis.motion.words import Stroke, Word


@dataclass(frozen=True, slots=True)
class Rise:
    """Grid points where a rise begins and where the pull after it does."""

    start: int
    pull: int


def rise_before(track: Track, stroke: Stroke, low: int, parameters: StrokeParameters) -> Rise | None:
    """Return the rise before the pull of `stroke` (a way up), looked for from grid point `low` on."""
    speed = track.speed
    top = stroke.begin + int(np.argmax(speed[stroke.begin : stroke.stop]))
    slow = np.flatnonzero(speed[low:top] < parameters.steep_share * speed[top])
    if not len(slow):
        return None
    steep = low + int(slow[-1])
    low = max(low, steep - round(parameters.early_s * track.rate_hz))
    part = speed[low : steep + 1]
    ahead = np.minimum.accumulate(part[::-1])[::-1]
    lost = part - ahead
    peak = int(np.argmax(lost))
    dip = peak + int(np.argmin(part[peak:]))
    begin = _begin(part, peak, track.floor_speed)
    travel = float(np.maximum(part[begin : dip + 1], 0.0).sum()) / track.rate_hz
    least = parameters.rise_travel * parameters.least_travel_m * (track.floor_speed / parameters.boundary_speed_m_s)
    loses = min(float(lost[peak]), float(part[peak])) >= parameters.rise_speed * track.floor_speed
    if not loses or not least <= travel <= parameters.rise_share * stroke.travel:
        return None
    pull = dip + int(np.argmax(part[dip:] > min(parameters.lobe_share, parameters.steep_share) * speed[top]))
    return Rise(low + begin, low + max(dip, pull))


def with_rises(words: Sequence[Word], track: Track, shift: int, parameters: StrokeParameters) -> tuple[Word, ...]:
    """Return the words with the rises before their pulls.

    Parameters
    ----------
    shift
        Grid points by which the words' places are ahead of the track's.
    """
    out: list[Word] = []
    last = shift
    for word in words:
        up = moved(word.up, -shift)
        found = rise_before(track, up, max(0, last - shift), parameters)
        start, early = (word.up.start, None) if found is None else (found.pull + shift, found.start + shift)
        out.append(replace(word, strokes=(replace(word.up, start=start, early=early), *word.strokes[1:])))
        last = word.stop
    return tuple(out)


def moved(stroke: Stroke, points: int) -> Stroke:
    """Return the stroke `points` later."""
    if not points:
        return stroke
    early = None if stroke.early is None else stroke.early + points
    return replace(stroke, start=stroke.start + points, stop=stroke.stop + points, early=early)


def _begin(speed: FloatArray, peak: int, floor: float) -> int:
    """Walk back from the peak of a rise to where it begins."""
    at = peak
    while at > 0 and speed[at] > floor and speed[at - 1] <= speed[at]:
        at -= 1
    return at
