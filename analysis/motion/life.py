"""Hands on, hands off: what tells that a bout is over before nothing has happened for long."""

from __future__ import annotations

import numpy as np

from analysis.motion.filters import length, smooth
from analysis.motion.parameters import Parameters
from analysis.motion.samples import FloatArray


def hands_off(
    force_m_s2: FloatArray,
    direction: FloatArray,
    bottoms: FloatArray,
    tops: FloatArray,
    parameters: Parameters,
    *,
    may_walk: bool = True,
) -> bool:
    """Whether, since the last rep, someone walks or has taken a posture far from both ends of the bout's reps.

    Walking shows steps in every quarter of the last `hands_off_s`; a rep leaves pauses.

    Parameters
    ----------
    force_m_s2, direction : (n, 3) array
        Specific force and gravity direction since the last rep ended.
    bottoms, tops : (k, 3) array
        Gravity direction at either end of the bout's reps.
    may_walk
        False where travel shows that it is no walking: quick reps shake as much as steps do.
    """
    rate, life = parameters.grid.rate_hz, parameters.life
    tail = round(life.hands_off_s * rate)
    if len(force_m_s2) < tail:
        return False
    size = length(force_m_s2[-2 * tail :])
    steps = (size - smooth(size, 0.25, rate))[-tail:]
    quarters = steps[: 4 * (tail // 4)].reshape(4, -1)
    if may_walk and float(np.std(quarters, axis=1).min()) > life.step_m_s2:
        return True
    ends = np.concatenate([bottoms, tops])
    near = length(direction[-tail:, None, :] - ends).min(axis=1)
    return bool(np.degrees(near.min()) > life.other_posture_deg)


def nearer_top(direction: FloatArray, bottoms: FloatArray, tops: FloatArray) -> bool:
    """Whether a posture is nearer to the reps' tops than to their bottoms."""
    if not len(tops) or not len(bottoms):
        return False
    to_top = np.linalg.norm(direction - np.median(tops, axis=0))
    return bool(to_top < np.linalg.norm(direction - np.median(bottoms, axis=0)))
