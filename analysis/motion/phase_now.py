"""Live: what is being done at the end of the window, and since when."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analysis.motion.events import Phase
from analysis.motion.filters import middle
from analysis.motion.lobes import Track
from analysis.motion.onset import OnsetParameters, TopHold, top_hold
from analysis.motion.parameters import Parameters
from analysis.motion.samples import FloatArray
from analysis.motion.template import Example
from analysis.motion.words import Stroke


@dataclass(frozen=True, slots=True, eq=False)
class PhaseNow:
    """A phase, the grid point at which it began, and what is known of the top hold, if it is one."""

    phase: Phase
    since: float
    hold: TopHold | None = None


_LOW = 0.5
"""Share of the way up from which on a way down may end in a bottom."""
_LONG_S = 3.0
"""So long after a top it is that low by a lowering, however gently that began: drift goes less far, or sooner."""
_LARGE = 0.4
"""Share of the largest way up that another one goes to be more than a wobble of the hold."""


def phase_now(
    ways: Sequence[Stroke],
    track: Track,
    felt: tuple[FloatArray, FloatArray] | None,
    parameters: OnsetParameters,
    *,
    inside: bool,
) -> PhaseNow:
    """Return what is being done.

    From a top on, where the sensor travels, the lowering is told by its acceleration (`onset.py`); until then the hold
    goes on, whatever the speed has drifted to.

    Parameters
    ----------
    ways
        Ways up and down since the last rep that was confirmed.
    felt : (n,) and (n, 3) array, or None
        Upward acceleration, gravity removed, and the force that it was made of, where the sensor travels.
    inside
        Whether a rep was confirmed in this bout.
    """
    if not ways:
        return PhaseNow(Phase.BOTTOM if inside else Phase.HANG, 0.0)
    last, way = len(track.speed) - 1, ways[-1]
    up = _last_large(ways)
    if felt is not None and up is not None and up.stop < last:
        hold, origin_s = top_hold(track, *felt, up), float(track.t_s[0])
        low = sum(one.travel for one in ways if one.side < 0 and one.start >= up.stop) >= _LOW * up.travel
        began_s = hold.lowered_s(parameters)
        if began_s is None and low and hold.lasting_s >= _LONG_S:
            began_s = hold.lowered_s(parameters.at_pace(up.travel, hold.lasting_s)) or hold.from_s
        if began_s is None:
            return PhaseNow(Phase.TOP, (hold.from_s - origin_s) * track.rate_hz, hold)
        if way is up or (way.side < 0 and (way.stop >= last or not low)):
            return PhaseNow(Phase.DOWN, (began_s - origin_s) * track.rate_hz)
    if way.stop >= last:
        return PhaseNow(Phase.UP if way.side > 0 else Phase.DOWN, way.start)
    return PhaseNow(Phase.TOP if way.side > 0 else Phase.BOTTOM, way.stop)


_LOBE = 0.78
"""Time of a minimum-jerk stroke above 15 % of its peak speed, as a share of all of it: 1 − 2 × .1118."""


def onset_like(memory: Sequence[Example], typical_m: float, parameters: Parameters) -> OnsetParameters:
    """Return what is known of the next lowering: it begins as gently as those of the bout's reps in `memory`."""
    if not memory:
        return parameters.onset
    points = float(middle(np.array([one.down_pace for one in memory]))) / _LOBE
    return parameters.onset.at_pace(typical_m, points / parameters.grid.rate_hz)


def _last_large(ways: Sequence[Stroke]) -> Stroke | None:
    """Return the last way up that is no wobble of a hold."""
    ups = [one for one in ways if one.side > 0]
    large = max((one.travel for one in ups), default=0.0)
    return next((one for one in reversed(ups) if one.travel >= _LARGE * large), None)
