"""Live: what is being done at the end of the window, and since when."""

from __future__ import annotations

from collections.abc import Sequence

from analysis.motion.events import Phase
from analysis.motion.lobes import Track
from analysis.motion.onset import OnsetParameters, lowering_since
from analysis.motion.samples import FloatArray
from analysis.motion.words import Stroke

_GONE = 0.5
"""Share of the way up that a way down goes at least to be one whatever the acceleration says: no drift is so large."""


def phase_now(
    ways: Sequence[Stroke],
    track: Track,
    upward_m_s2: FloatArray | None,
    parameters: OnsetParameters,
    *,
    inside: bool,
) -> tuple[Phase, float]:
    """Return the phase, and the grid point at which it began.

    From a top on, where the sensor travels, the lowering is told by its acceleration (`onset.py`); until then the hold
    goes on, whatever the speed has drifted to.

    Parameters
    ----------
    ways
        Ways up and down since the last rep that was confirmed.
    upward_m_s2 : (n,) array or None
        Acceleration, gravity removed, where the sensor travels.
    inside
        Whether a rep was confirmed in this bout.
    """
    if not ways:
        return (Phase.BOTTOM if inside else Phase.HANG), 0.0
    last, way = len(track.speed) - 1, ways[-1]
    up = next((one for one in reversed(ways) if one.side > 0), None)
    if upward_m_s2 is not None and up is not None and up.stop < last:
        began = lowering_since(up, upward_m_s2, track.speed, track.rate_hz, parameters)
        down = ways[ways.index(up) + 1 :]
        gone = sum(one.travel for one in down) >= _GONE * up.travel
        if began is None and not gone:
            return Phase.TOP, up.stop
        if not down or way.stop >= last or not gone:
            return Phase.DOWN, way.start if began is None else began
    if way.stop >= last:
        return (Phase.UP if way.side > 0 else Phase.DOWN), way.start
    return (Phase.TOP if way.side > 0 else Phase.BOTTOM), way.stop
