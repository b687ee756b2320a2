"""Step 6c: mean and peak speed of the way up, each with its one sigma, where that leaves something to say.

Three errors add up: one that every stroke has; a share of the speed itself (gain of the sensor, smoothing); and without
a gyro what sideways acceleration may have been taken for upward one, over the time of the stroke. The mean has the
errors of both its boundaries besides.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

import numpy as np

from analysis.motion.edges import Edges
from analysis.motion.parameters import StrokeParameters
from analysis.motion.sureness import Ground

_MEAN_SHARE = 1 / 1.875
"""Mean over peak speed of a minimum-jerk stroke (Flash & Hogan 1985)."""


@dataclass(frozen=True, slots=True)
class Speeds:
    """Of the way up, m/s, vertical; None where not known, or not well enough."""

    mean_m_s: float | None = None
    mean_sd_m_s: float | None = None
    peak_m_s: float | None = None
    peak_sd_m_s: float | None = None


def speeds_of(on: Ground, up: Edges, start_sd_s: float | None, top_sd_s: float | None, p: StrokeParameters) -> Speeds:
    """Return the speeds of the way `up`; `start_sd_s` and `top_sd_s` are the one sigmas of its boundaries."""
    if on.free is None or start_sd_s is None or top_sd_s is None:
        return Speeds()
    track, part = on.free, slice(round(up.start), round(up.stop) + 1)
    begin, top = np.interp([up.start, up.stop], np.arange(len(track.position)), track.position)
    duration_s = max((up.stop - up.start) / track.rate_hz, 1 / track.rate_hz)
    mean, peak = abs(float(top - begin)) / duration_s, float(track.speed[part].max())
    leak = 0.0 if on.leak_m_s2 is None else float(on.leak_m_s2[part].mean())
    peak_sd = hypot(p.peak_sd_m_s, p.gain_sd * peak, p.leak_sd * leak * duration_s)
    mean_sd = hypot(_MEAN_SHARE * peak_sd, mean * hypot(start_sd_s, top_sd_s) / duration_s)
    return Speeds(*_shown(mean, mean_sd, p.vague), *_shown(peak, peak_sd, p.vague))


def _shown(speed: float, sd: float, vague: float) -> tuple[float | None, float | None]:
    return (speed, sd) if sd <= vague * speed else (None, None)
