"""A free swing told from held movement: in a pendulum the force along the rod follows the square of the angle.

Energy gives g cos θ + r θ'² = constant − g (1/2 + r/l) θ² for small angles, whatever the length l and the sensor's
place r (textbook mechanics): least at both ends, greatest in between. A hand on the strap makes force at one end of
the way, or out of step with the way.
"""

from __future__ import annotations

import numpy as np

from analysis.motion.bouts import Group
from analysis.motion.lobes import Track
from analysis.motion.samples import FloatArray

_CENTRE = 0.2
"""How far from the middle of the way the greatest force may lie, share of the way."""


def swing_share(angle_deg: FloatArray, size_m_s2: FloatArray) -> float:
    """Return how much of the force's variance a free swing explains, 0–1.

    Parameters
    ----------
    angle_deg, size_m_s2 : (n,) array
        Angle along the main line of turning, and size of the specific force, over a swing there and back.
    """
    way = float(np.ptp(angle_deg))
    if len(angle_deg) < 6 or way <= 0.0 or float(np.ptp(size_m_s2)) <= 0.0:
        return 0.0
    x = (angle_deg - 0.5 * (float(angle_deg.max()) + float(angle_deg.min()))) / way
    terms = np.column_stack([np.ones_like(x), x, x * x])
    fit, *_ = np.linalg.lstsq(terms, size_m_s2, rcond=None)
    slope, curvature = float(fit[1]), float(fit[2])
    if curvature >= 0.0 or abs(slope / (2 * curvature)) > _CENTRE:
        return 0.0
    rest = size_m_s2 - terms @ fit
    return max(0.0, 1.0 - float(np.var(rest)) / float(np.var(size_m_s2)))


def swing_of(track: Track, group: Group, size_m_s2: FloatArray) -> float:
    """Return how much of the force of a set's typical rep a free swing would explain, 0–1.

    Parameters
    ----------
    size_m_s2 : (n,) array
        Size of the specific force, low-passed, at the points of the track.
    """
    spans = [slice(word.start, word.stop) for word in group.words]
    return float(np.median([swing_share(track.position[span], size_m_s2[span]) for span in spans]))
