"""Sets of two: the first pull-ups of somebody come by ones and twos. Truth: what the virtual trainee was told to do."""

from __future__ import annotations

import pytest

from analysis.motion.analysis import analyse
from analysis.motion.in_session import IN_A_SESSION
from analysis.motion.mounts import Mount
from analysis.motion.parameters import DEFAULTS
from analysis.motion.samples import Samples
from sensor.virtual.motion import TraineeFeed, load_motion
from sensor.virtual.script import Beat, regular_script

BEAT = Beat(up_s=1.2, top_s=1.0, down_s=2.5, bottom_s=0.5)


def twos(seed: int) -> Samples:
    motion = load_motion(TraineeFeed(regular_script(trainee="A", sets=3, reps=2, beat=BEAT, rest_s=40.0), seed=seed))
    return Samples(motion.t_s, motion.force_m_s2, motion.rate_rad_s)


@pytest.mark.parametrize("live", [False, True])
@pytest.mark.parametrize("seed", [1, 2, 5])
def test_where_reps_are_asked_for_two_are_a_set(seed: int, live: bool) -> None:
    found = analyse(twos(seed), Mount.BODY, live=live, parameters=IN_A_SESSION).sets
    assert [one.count for one in found] == [2, 2, 2]


def test_where_nothing_was_asked_for_a_set_has_three() -> None:
    assert analyse(twos(1), Mount.BODY, parameters=DEFAULTS).sets == ()
