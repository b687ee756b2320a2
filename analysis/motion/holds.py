"""Isometric holds without reps: somebody takes hold, keeps still under load, and lets go.

    quick part of |f| ─ its size over a second ─ spans that are quiet but alive, one posture ─ between two movements

Hands that hold make a body, bar or strap tremble a little; a sensor on a table does not, and neither does one on
somebody who sits. A hold begins after a movement (taking hold, or the pull to the top) and ends with one (letting go,
or the way down), each much larger than the tremor between. Walking is larger still, and leaves no span.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from analysis.motion.filters import length, low_pass, quick_power, unit
from analysis.motion.grid import Stretch
from analysis.motion.height import problem, vertical
from analysis.motion.mounts import Mount
from analysis.motion.parameters import HoldParameters, Parameters
from analysis.motion.results import Hold, Where
from analysis.motion.runs import runs
from analysis.motion.samples import BoolArray, FloatArray

_FLOOR_PERCENT = 5
"""Percentile of the tremor in a stretch that stands for the sensor's own noise."""
_PARTS = 6
"""Parts of a span whose tremor is compared."""


@dataclass(frozen=True, slots=True, eq=False)
class Tremble:
    """What tells a hold, at every grid point.

    Attributes
    ----------
    size_m_s2 : (n,) array
        Root mean square of the quick part of |f| over `over_s`.
    direction : (n, 3) array
        Gravity direction, slow.
    """

    size_m_s2: FloatArray
    direction: FloatArray


def tremble(stretch: Stretch, rate_hz: float, p: HoldParameters) -> Tremble:
    """Return what tells a hold."""
    power = quick_power(length(stretch.force_m_s2), p.quick_s, 1, p.over_s, rate_hz)
    return Tremble(np.sqrt(power), unit(low_pass(stretch.force_m_s2, p.posture_hz, rate_hz)))


def quiet_spans(
    felt: Tremble, hole: BoolArray, mount: Mount, rate_hz: float, p: HoldParameters, least_s: float
) -> Iterator[slice]:
    """Give the grid points of quiet but alive spans in one posture, of `least_s` or more, the last one first."""
    least = p.alive_body_m_s2
    if not mount.is_worn:
        least = p.alive * float(np.percentile(felt.size_m_s2, _FLOOR_PERCENT))
    kept = ~hole & (_turned(felt.direction, round(p.over_s * rate_hz)) < p.turn_deg)
    quiet = kept & (felt.size_m_s2 > least) & (felt.size_m_s2 < p.calm * least)
    near = ~hole & (felt.size_m_s2 < p.wobble * p.calm * least)
    quiet = _bridged(quiet, near, round(p.wobble_s * rate_hz))
    half = round(p.over_s / 2 * rate_hz)
    wide = quiet.copy()
    for start, stop in runs(quiet):
        wide[max(0, start - half) : stop + half] = True
    spans = [slice(start, stop) for start, stop in runs(wide)]
    long = (one for one in reversed(spans) if one.stop - one.start >= least_s * rate_hz)
    return (one for one in long if _is_steady(felt, one, half, p))


def _turned(direction: FloatArray, reach: int) -> FloatArray:
    """Degrees turned from `reach` points before to `reach` points after."""
    wide = np.concatenate([np.repeat(direction[:1], reach, 0), direction, np.repeat(direction[-1:], reach, 0)])
    return np.asarray(np.degrees(np.linalg.norm(wide[2 * reach :] - wide[: -2 * reach], axis=1)))


def _is_steady(felt: Tremble, span: slice, half: int, p: HoldParameters) -> bool:
    """Whether the tremor goes on all the time: movements that die away, or come and go, do not hold."""
    squares = felt.size_m_s2[span.start + half : max(span.stop - half, span.start + half + _PARTS)] ** 2
    parts = [float(np.mean(part)) for part in np.array_split(squares, _PARTS)]
    turned = np.degrees(np.linalg.norm(felt.direction[span] - np.median(felt.direction[span], axis=0), axis=1))
    return max(parts) < p.steady**2 * min(parts) and float(np.percentile(turned, 90)) < p.posture_deg


def find_holds(
    stretch: Stretch, mount: Mount, parameters: Parameters, taken: Sequence[tuple[float, float]]
) -> tuple[list[Hold], float | None]:
    """Return the holds of a stretch, and since when one may still be going on at its end.

    Parameters
    ----------
    taken
        Start and end of each set, seconds: a hang just before or after it belongs to it.
    """
    rate, p = parameters.grid.rate_hz, parameters.holds
    felt = tremble(stretch, rate, p)
    holds: list[Hold] = []
    pending: float | None = None
    for span in reversed(list(quiet_spans(felt, stretch.hole, mount, rate, p, p.least_s))):
        start_s, end_s = float(stretch.t_s[span.start]), float(stretch.t_s[span.stop - 1])
        own = all(b + p.apart_s < start_s or end_s < a - p.apart_s for a, b in taken)
        if not own or not is_entered(felt, span, rate, p):
            continue
        if is_left(felt, span, rate, p):
            holds.append(Hold(start_s, end_s, where(stretch, span, mount, parameters)))
        elif span.stop + round(p.edge_s * rate) >= len(stretch):
            pending = start_s
    return holds, pending


def where(stretch: Stretch, span: slice, mount: Mount, parameters: Parameters) -> Where:
    """Return at which end it is held: at the top where a way up leads in and one as long down leads out.

    Without travel both ends look alike; the bottom is then the plain answer.
    """
    return at_end(*ways(stretch, span, mount, parameters), parameters)


def at_end(rise_m: float, fall_m: float, parameters: Parameters) -> Where:
    """Return at which end a hold is, from the way up into it and the way down out of it."""
    least = 2 * parameters.stroke.least_travel_m
    return Where.TOP if min(rise_m, fall_m) >= max(least, 0.5 * max(rise_m, fall_m)) else Where.BOTTOM


def ways(stretch: Stretch, span: slice, mount: Mount, parameters: Parameters) -> tuple[float, float]:
    """Return the way up into a span and down out of it, metres; nothing where the sensor does not travel."""
    if not mount.shows_travel:
        return 0.0, 0.0
    rate, p = parameters.grid.rate_hz, parameters.holds
    reach = round(p.edge_s * rate)
    start, stop = max(0, span.start - reach), min(len(stretch), span.stop + reach)
    height = problem(vertical(stretch.cut(start, stop), rate, parameters.height), parameters.height).solved().height_m
    first, last = span.start - start, span.stop - start - 1
    return float(height[first] - height[: first + 1].min()), float(height[last] - height[last:].min())


def is_entered(felt: Tremble, span: slice, rate_hz: float, p: HoldParameters) -> bool:
    """Whether a movement leads into the span."""
    return _moves(felt, span, slice(max(0, span.start - round(p.edge_s * rate_hz)), span.start), p)


def is_left(felt: Tremble, span: slice, rate_hz: float, p: HoldParameters) -> bool:
    """Whether a movement leads out of the span."""
    return _moves(felt, span, slice(span.stop, span.stop + round(p.edge_s * rate_hz)), p)


def _moves(felt: Tremble, span: slice, outside: slice, p: HoldParameters) -> bool:
    """Whether there is far more movement, or another posture, outside the span."""
    size = felt.size_m_s2[outside]
    if not len(size):
        return False
    middle = np.median(felt.direction[span], axis=0)
    within = np.linalg.norm(felt.direction[span] - middle, axis=1)
    beyond = np.linalg.norm(felt.direction[outside] - middle, axis=1)
    step = max(np.radians(p.step_deg), p.step_spread * float(np.percentile(within, 75)))
    return float(size.max()) > p.edge * float(np.median(felt.size_m_s2[span])) or float(beyond.max()) > step


def _bridged(mask: BoolArray, allowed: BoolArray, longest: int) -> BoolArray:
    """Close gaps of at most `longest` points in which all is `allowed`."""
    out = mask.copy()
    for start, stop in runs(~mask):
        if start > 0 and stop < len(mask) and stop - start <= longest and allowed[start:stop].all():
            out[start:stop] = True
    return out
