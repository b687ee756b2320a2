"""Top holds of many seconds stay holds: drift within them is no half rep. Truth: what the virtual trainee does."""

from __future__ import annotations

import pytest

from analysis.motion.analysis import analyse
from analysis.motion.in_session import IN_A_SESSION
from analysis.motion.mounts import Mount
from analysis.motion.results import RepKind
from analysis.motion.samples import Samples
from sensor.virtual.motion import TraineeFeed, load_motion
from sensor.virtual.script import Beat, regular_script


@pytest.mark.parametrize("bottom_s", [2.0, 3.0])
@pytest.mark.parametrize("seed", [1, 3])
def test_a_hold_of_ten_seconds_between_pauses_is_no_one_and_a_half_rep(seed: int, bottom_s: float) -> None:
    beat = Beat(up_s=1.0, top_s=10.0, down_s=1.0, bottom_s=bottom_s)
    motion = load_motion(TraineeFeed(regular_script(trainee="A", sets=2, reps=3, beat=beat, rest_s=40.0), seed=seed))
    found = analyse(
        Samples(motion.t_s, motion.force_m_s2, motion.rate_rad_s), Mount.BODY, live=False, parameters=IN_A_SESSION
    )
    reps = [rep for one in found.sets for rep in one.reps]
    assert [one.count for one in found.sets] == [3, 3]
    assert {rep.kind for rep in reps} == {RepKind.FULL}
    assert all(abs(rep.hold_top_s - 10.0) < 1.0 for rep in reps)
