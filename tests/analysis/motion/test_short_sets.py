"""Sets of two: the first pull-ups of somebody come by ones and twos. Truth: what the virtual trainee was told to do."""

from __future__ import annotations

import pytest
from motion_scenes import cut

from analysis.motion.analysis import analyse
from analysis.motion.events import RepConfirmed
from analysis.motion.in_session import IN_A_SESSION
from analysis.motion.mounts import Mount
from analysis.motion.parameters import DEFAULTS
from analysis.motion.pipeline import Pipeline
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


@pytest.mark.parametrize("beat", [Beat(1.2, 0.0, 5.0, 2.0), Beat(1.0, 10.0, 1.0, 2.0)])
def test_the_way_up_to_the_bar_is_no_rep_that_was_overlooked(beat: Beat) -> None:
    motion = load_motion(TraineeFeed(regular_script(trainee="A", sets=1, reps=3, beat=beat, rest_s=40.0), seed=3))
    pipeline = Pipeline(Mount.BODY, parameters=IN_A_SESSION)
    packets = cut(Samples(motion.t_s, motion.force_m_s2, motion.rate_rad_s), range(10, len(motion.t_s), 10))
    told = [event for one in packets for event in pipeline.push_live(one) if isinstance(event, RepConfirmed)]
    starts = [event.rep.start_s for event in told]
    assert starts == sorted(starts)  # one overlooked begins before what was told already
    assert [event.count for event in told[:3]] == [1, 2, 3]
