"""What a session's prescription tells the motion core. Truth: what the virtual trainee was told to do, plain reps."""

from __future__ import annotations

from dataclasses import replace

from analysis.motion.events import RepConfirmed
from analysis.motion.mounts import Mount
from analysis.motion.samples import Samples
from analysis.training.prescription import Prescription
from sensor.virtual.motion import TraineeFeed, load_motion
from sensor.virtual.script import Beat, regular_script
from tests.analysis.motion.motion_scenes import cut
from tui.session.plans import DEMO_TRAINING
from tui.session.track import motion_for

BEAT = Beat(up_s=1.0, top_s=0.5, down_s=1.5, bottom_s=0.5)


def waits_s(asked: Prescription) -> list[float]:
    """How long after its end each of the first three reps is counted."""
    motion = load_motion(TraineeFeed(regular_script(trainee="A", sets=1, reps=5, beat=BEAT, rest_s=40.0)))
    pipeline = motion_for(Mount.BODY, asked)
    packets = cut(Samples(motion.t_s, motion.force_m_s2, motion.rate_rad_s), range(10, len(motion.t_s), 10))
    told = [event for one in packets for event in pipeline.push_live(one) if isinstance(event, RepConfirmed)]
    return [event.emitted_s - event.rep.end_s for event in told[:3]]


def test_where_one_and_a_half_were_asked_for_a_plain_rep_waits_for_the_next() -> None:
    plain = DEMO_TRAINING.ladder.rungs[0].prescription(0)
    assert max(waits_s(plain)) < 1.0
    assert min(waits_s(replace(plain, half_pause_s=1.0))) > BEAT.bottom_s + BEAT.up_s
