"""The live reading of a window: what confirmed reps say of the height."""

from __future__ import annotations

import numpy as np
import pytest
from motion_scenes import REP, scene

from analysis.motion.events import Event, RepConfirmed
from analysis.motion.grid import Gridder, joined
from analysis.motion.live import LiveTracker
from analysis.motion.mounts import Mount
from analysis.motion.parameters import DEFAULTS
from analysis.motion.reading import sight
from analysis.motion.samples import Samples


def test_confirmed_reps_begin_and_end_on_one_level() -> None:
    samples, starts = scene([(0.0, 4.0), *REP * 4, (0.0, 1.0)], bias_m_s2=0.4)
    gridder = Gridder(DEFAULTS.grid)
    window = joined([gridder.push(samples), gridder.finish()])
    spans = [(starts[1 + 4 * k], starts[4 + 4 * k]) for k in range(3)]

    def unevenness(told: list[tuple[float, float]]) -> float:
        track = sight(window, Mount.BODY, DEFAULTS, told).track
        return float(np.ptp(np.interp(np.ravel(spans), track.t_s, track.position)))

    assert unevenness(spans) < 0.03 < unevenness([])


@pytest.mark.parametrize("slip_deg", [16.0, 20.0])
def test_reps_after_a_slip_of_the_sensor_are_told_once_and_soon_in_time_again(slip_deg: float) -> None:
    """A belt that turns on the trunk changes no rep: the ends are those of the scene's closed form."""
    rep = (*REP[:3], (0.0, 0.5))
    samples, starts = scene([(0.0, 4.0), *rep * 9, (0.0, 4.0)])
    slipped = samples.t_s > starts[1 + 4 * 5] - 0.4
    sin, cos = np.sin(np.radians(slip_deg)), np.cos(np.radians(slip_deg))
    turn = np.array([[1.0, 0.0, 0.0], [0.0, cos, -sin], [0.0, sin, cos]])
    force = np.where(slipped[:, None], samples.force_m_s2 @ turn, samples.force_m_s2)
    told = [e for e in _live(Samples(samples.t_s, force)) if isinstance(e, RepConfirmed)]
    ends = starts[4 : 4 + 4 * 9 : 4]
    assert len(told) == len(ends)
    waits = [max(e.emitted_s - end for e in told if abs(e.at_s - end) < 0.3) for end in ends]
    assert max(waits[:5] + waits[7:]) < 0.9


def _live(samples: Samples) -> list[Event]:
    grid, tracker = Gridder(DEFAULTS.grid).push(samples), LiveTracker(Mount.BODY, DEFAULTS)
    events: list[Event] = []
    at = 0
    while at < len(grid):
        stop = min(len(grid), at + tracker.to_next())
        events += tracker.push(grid.cut(at, stop))
        at = stop
    return events
