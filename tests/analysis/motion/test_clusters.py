"""A cluster set through the whole motion core: the gap is read as one, and training makes one set of both sides."""

from __future__ import annotations

import pytest
from motion_scenes import REP, scene

from analysis.motion.analysis import analyse
from analysis.motion.mounts import Mount
from analysis.motion.results import Bout
from analysis.training.exercises import PULL_UP
from analysis.training.prescription import Prescription, Tempo
from analysis.training.sets import group_bouts, judged
from analysis.training.verdict import Outcome

ASKED = Prescription(
    exercise=PULL_UP, sets=1, reps=8, tempo=Tempo(down_s=1, bottom_s=0, up_s=1, top_s=0), rest_s=120, gap_s=20.0
)


@pytest.mark.parametrize("live", [False, True])
@pytest.mark.parametrize("gap_s", [12.0, 20.0, 28.0])
def test_four_and_four_with_a_planned_gap_are_one_set_of_eight(gap_s: float, live: bool) -> None:
    samples, _ = scene([(0.0, 6.0), *REP * 4, (0.0, gap_s), *REP * 4, (0.0, 14.0)], tremor_m_s2=0.1)
    found: tuple[Bout, ...] = analyse(samples, Mount.BODY, live=live).sets
    assert [one.count for one in found] == [4, 4]
    (group,) = group_bouts(found, ASKED)
    record = judged(group, ASKED)
    assert (record.verdict.count, record.verdict.reps_outcome) == (8, Outcome.MET)
    # closed form: the time of the reps alone
    assert record.verdict.tut_s == pytest.approx(sum(rep.end_s - rep.start_s for one in found for rep in one.reps))
    assert record.end_s - record.start_s > gap_s + record.verdict.tut_s
