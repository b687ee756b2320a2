"""How often a limb comes by the same place: the period of a set, found by comparing its path with itself.

The three components of force draw nearly the same loop with every rep. Shifted by one period the path lies on itself;
shifted by half of it, it does not, even where one component alone repeats twice a rep (a wrist that rolls in and out).
The slow part of the force along the main line of the loop then rises and falls once a rep.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from analysis.motion.described import parameter
from analysis.motion.filters import low_pass, smooth
from analysis.motion.lobes import Track
from analysis.motion.samples import FloatArray


@dataclass(frozen=True, slots=True)
class RhythmParameters:
    """When a limb's reps are read by their rhythm, and how."""

    path_hz: float = parameter(3.0, unit="Hz", larger="shake makes paths unlike themselves")
    shortest_s: float = parameter(0.7, unit="s", larger="fast reps are taken two at a time")
    longest_s: float = parameter(4.0, unit="s", larger="slow reps with pauses are read by rhythm too")
    unlike: float = parameter(0.65, unit="of unrelated", larger="loose sets are read by rhythm too")
    margin: float = parameter(0.05, unit="of unrelated", larger="half a rep is taken for a whole one")
    cutoff: float = parameter(1.2, unit="of 1/period", larger="double humps within a rep show")
    detrend: float = parameter(0.6, unit="of the period", larger="drift between reps shows")
    pace_price: float = parameter(0.125, unit="of the mean square", larger="the pace within a set is taken as steadier")
    cut_share: float = parameter(0.4, unit="of a rep", larger="more reps cut off by an end of the samples are left out")
    cut_s: float = parameter(0.25, unit="s", larger="strokes further from an end of the samples are taken as cut off")


@dataclass(frozen=True, slots=True)
class Rhythm:
    """A set's period, and how far its path is from repeating.

    Attributes
    ----------
    period_s
        Time after which the path repeats.
    unlike
        Mean squared difference of the path from itself a period later, in units of that of unrelated points:
        0 repeats exactly, 1 not at all.
    """

    period_s: float
    unlike: float


def rhythm_of(force_m_s2: FloatArray, rate_hz: float, p: RhythmParameters) -> Rhythm | None:
    """Return the rhythm of a set, or None where its path does not repeat within the periods looked for.

    Parameters
    ----------
    force_m_s2 : (n, 3) array
        Specific force in the sensor's axes, of the set alone.
    """
    path = low_pass(force_m_s2, p.path_hz, rate_hz)
    lags = np.arange(round(p.shortest_s * rate_hz), min(len(path) // 3, round(p.longest_s * rate_hz)))
    if len(lags) < 3:
        return None
    unlike = _unlike(path, lags)
    lows = 1 + np.flatnonzero((unlike[1:-1] < unlike[:-2]) & (unlike[1:-1] <= unlike[2:]))
    if not len(lows) or unlike[lows].min() > p.unlike:
        return None
    first = int(lows[unlike[lows] < unlike[lows].min() + p.margin][0])
    return Rhythm(float(lags[first]) / rate_hz, float(unlike[first]))


def rhythm_tracks(
    t_s: FloatArray, force_m_s2: FloatArray, inside: slice, rhythm: Rhythm, rate_hz: float, p: RhythmParameters
) -> Iterator[Track]:
    """Give the slow force along the main line of the loop as an angle in degrees, read one way and the other."""
    slow = low_pass(force_m_s2, p.cutoff / rhythm.period_s, rate_hz)
    swing = slow - smooth(slow, p.detrend * rhythm.period_s, rate_hz)
    axis = np.linalg.eigh(swing[inside].T @ swing[inside])[1][:, -1]
    usual = float(np.median(np.linalg.norm(slow[inside], axis=1)))
    position = np.degrees(swing @ axis / usual)
    speed = np.gradient(position) * rate_hz
    for sign in (1, -1):
        yield Track(t_s, sign * position, sign * speed, rate_hz, 0.0)


def _unlike(path: FloatArray, lags: np.typing.NDArray[np.int64]) -> FloatArray:
    """Mean squared difference of a path from itself at each lag, in units of twice its variance.

    Where only the first n − lag points overlap, mean squares over the overlap are taken, by way of one correlation.
    """
    centred = path - path.mean(axis=0)
    n = len(centred)
    size = 1 << (2 * n - 1).bit_length()
    spectrum = np.fft.rfft(centred, size, axis=0)
    products = np.fft.irfft((np.abs(spectrum) ** 2).sum(axis=1), size)[lags]
    total = np.concatenate([[0.0], np.cumsum((centred**2).sum(axis=1))])
    squares = total[n - lags] + total[n] - total[lags]
    return np.asarray((squares - 2 * products) / (n - lags) / max(2 * total[n] / n, 1e-12))
