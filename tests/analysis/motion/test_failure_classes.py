"""The classes into which `tests.bench.failures` sorts what is read wrong."""

from __future__ import annotations

from itertools import pairwise

import pytest
from motion_scenes import REP, scene

from analysis.motion.analysis import analyse
from analysis.motion.mounts import Mount
from tests.bench.failures import Failure, failure_of
from tests.bench.trainee_corpus import Rep

(BOUT,) = analyse(scene([(0.0, 6.0), *REP * 6, (0.0, 14.0)])[0], Mount.BODY).sets
DONE = [Rep(r.start_s, None, r.top_s or 0.0, r.down_s or 0.0, r.end_s, "full") for r in BOUT.reps]
BEFORE, LATER = (Rep(*(t and t + by for t in DONE[0][:5]), "full") for by in (-6.0, 60.0))
MIRRORED = [Rep(a.down_s, None, a.end_s, b.start_s, b.top_s, "full") for a, b in pairwise(DONE)]


@pytest.mark.parametrize(
    ("done", "failure"),
    [
        (DONE, None),
        ([*DONE, LATER], Failure.EDGE_LOST),
        ([BEFORE, *DONE], Failure.EDGE_LOST),
        (DONE[1:], Failure.EDGE_EXTRA),
        (DONE[:2] + DONE[3:], Failure.INSIDE_EXTRA),
        (MIRRORED, Failure.MIRRORED),
        ([DONE[0]._replace(start_s=DONE[0].start_s - 0.6), *DONE[1:]], Failure.FAR),
    ],
)
def test_a_misread_set_goes_to_its_class(done: list[Rep], failure: Failure | None) -> None:
    assert failure_of(done, [], BOUT) is failure


def test_an_attempt_that_was_counted_is_told_from_a_dismount() -> None:
    assert failure_of(DONE[:-1], [DONE[-1]], BOUT) is Failure.ATTEMPT


def test_a_set_that_nothing_read_is_hidden() -> None:
    assert failure_of(DONE, [], None) is Failure.HIDDEN
