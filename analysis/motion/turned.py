"""Where a set begins: at its bottom, as a pull does, or at its top, as a press-up, a dip or a squat does.

    pull     ▁╱▔╲▁╱▔╲▁          read: up, down, up, down
    press-up ▔╲▁╱▔╲▁╱▔          read: up, down between; a way down before them and a way up after them are left over

A way down alone may be taking hold, a way up alone letting go. Only a set that has both, as large, as quick and as
close as its own strokes, began at its top; one that has neither began at its bottom; of any other it is not known.
"""

from __future__ import annotations

import numpy as np

from analysis.motion.bouts import Group
from analysis.motion.lobes import Lobes, Track, lobes
from analysis.motion.parameters import Parameters
from analysis.motion.samples import FloatArray

_LIKE = 0.5
"""Least share of the set's own travel and time that a stroke of its kind has; largest: the inverse."""
_CLOSE_S = 0.6
"""So much longer than the set's longest pause at the bottom may a stroke of it be apart."""


def begins_down(track: Track, group: Group, parameters: Parameters) -> bool | None:
    """Return whether a set's first stroke went down; None where that is not known.

    Parameters
    ----------
    track
        Height, with some seconds on either side of the set.
    group
        The set as it was read on this track.
    """
    p = parameters.stroke
    all_lobes = lobes(track, p.lobe_share, p.lobe_travel * group.size, p.lobe_speed_m_s)
    large = all_lobes.cut(all_lobes.travel > 0.5 * group.size)
    pauses = [after.start - before.stop for before, after in zip(group.words, group.words[1:], strict=False)]
    reach = max(pauses, default=0) + _CLOSE_S * track.rate_hz
    before = np.flatnonzero((large.stop <= group.start + 1) & (large.stop >= group.start - reach))
    after = np.flatnonzero((large.start >= group.stop - 1) & (large.start <= group.stop + reach))
    down = len(before) > 0 and _is_like(large, int(before[-1]), group, -1)
    up = len(after) > 0 and _is_like(large, int(after[0]), group, 1)
    return down if down == up else None


def posture_of(direction: FloatArray, group: Group) -> tuple[float, float, float]:
    """Return the middle of the directions over a set, as a unit vector."""
    middle = np.median(direction[int(group.start) : int(group.stop) + 1], axis=0)
    x, y, z = (middle / max(float(np.linalg.norm(middle)), 1e-6)).tolist()
    return x, y, z


def _is_like(large: Lobes, place: int, group: Group, side: int) -> bool:
    """Whether a lobe is a stroke like the set's own of that side."""
    own = [word.up if side > 0 else word.down for word in group.words]
    lasting = float(np.median([stroke.stop - stroke.start for stroke in own]))
    shares = large.travel[place] / group.size, (large.stop[place] - large.start[place]) / lasting
    return bool(large.side[place] == side and all(_LIKE <= share <= 1 / _LIKE for share in shares))
