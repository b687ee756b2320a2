"""A free swing told from held movement: in a pendulum the force along the rod follows the square of the angle.

Energy gives g cos θ + r θ'² = constant − g (1/2 + r/l) θ² for small angles, whatever the length l and the sensor's
place r (textbook mechanics): least at both ends, greatest in between. A hand on the strap makes force at one end of
the way, or out of step with the way.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from analysis.motion.bouts import Group
from analysis.motion.filters import along
from analysis.motion.lobes import Track
from analysis.motion.samples import FloatArray

_FEWEST = 6
"""Points of a swing that tell something."""
_CENTRE = 0.2
"""How far from the middle of the way the greatest force may lie, share of the way."""


def swing_shares(angle_deg: FloatArray, size_m_s2: FloatArray, spans: Sequence[tuple[int, int]]) -> FloatArray:
    """Return how much of the force's variance a free swing explains in each span, 0–1.

    Parameters
    ----------
    angle_deg, size_m_s2 : (n,) array
        Angle along the main line of turning, and size of the specific force.
    spans
        Start and stop of each swing there and back, at least one; shorter than six points they tell nothing.
    """
    points = np.array([stop - start for start, stop in spans])
    first = np.concatenate([[0], np.cumsum(points)[:-1]])
    at = np.concatenate([np.arange(start, stop) for start, stop in spans])
    angle, size = angle_deg[at], size_m_s2[at]
    most, least = np.maximum.reduceat(angle, first), np.minimum.reduceat(angle, first)
    way, force = most - least, size - np.repeat(np.add.reduceat(size, first) / points, points)
    x = (angle - np.repeat(0.5 * (most + least), points)) / np.repeat(np.maximum(way, 1e-12), points)
    columns = [np.ones_like(x), x, x * x, x**3, x**4, force, force * x, force * x * x, force * force]
    sums = np.add.reduceat(np.array(columns), first, axis=1)
    sound = (points >= _FEWEST) & (way > 0.0) & (sums[8] > 0.0)
    normal = np.where(sound, sums[[[0, 1, 2], [1, 2, 3], [2, 3, 4]]], np.eye(3)[:, :, None])
    fit = np.linalg.solve(normal.transpose(2, 0, 1), sums[5:8].T[:, :, None])[:, :, 0]
    central = (fit[:, 2] < 0.0) & (np.abs(fit[:, 1]) <= -2 * _CENTRE * fit[:, 2])
    share = along(fit, sums[5:8].T) / np.maximum(sums[8], 1e-300)
    return np.where(sound & central, np.maximum(share, 0.0), 0.0)


def swing_of(track: Track, group: Group, size_m_s2: FloatArray) -> float:
    """Return how much of the force of a set's typical rep a free swing would explain, 0–1.

    Parameters
    ----------
    size_m_s2 : (n,) array
        Size of the specific force, low-passed, at the points of the track.
    """
    spans = [(word.start, word.stop) for word in group.words]
    return float(np.median(swing_shares(track.position, size_m_s2, spans)))
