"""Pitfalls of counting. Wherever it matters, the naive peak counter gets the same scene wrong: the test bites."""

from __future__ import annotations

import numpy as np
import pytest
from motion_scenes import HALVED, REP, after, naive_count, scene, walking

from analysis.motion.analysis import analyse
from analysis.motion.mounts import Mount
from analysis.motion.results import RepKind
from analysis.motion.samples import Samples

BEFORE, AFTER = (0.0, 6.0), (0.0, 14.0)


def counts(samples: Samples, mount: Mount = Mount.BODY) -> list[int]:
    return [b.count for b in analyse(samples, mount).sets]


@pytest.mark.parametrize("reps", [3, 5, 12])
def test_plain_sets_are_counted(reps: int) -> None:
    samples, _ = scene([BEFORE, *REP * reps, AFTER])
    assert counts(samples) == [reps]


def test_one_or_two_isolated_ups_and_downs_are_no_set() -> None:
    stand = ((0.4, 1.0), (0.0, 3.0), (-0.4, 1.2), (0.0, 20.0))
    samples, _ = scene([BEFORE, *stand * 2, AFTER])
    assert counts(samples) == []
    assert naive_count(samples) > 0


def test_one_and_a_half_is_one_rep() -> None:
    samples, _ = scene([BEFORE, *HALVED * 5, AFTER])
    (bout,) = analyse(samples, Mount.BODY).sets
    assert bout.count == 5
    assert [r.kind for r in bout.reps] == [RepKind.ONE_AND_HALF] * 5
    assert [r.half_pause_s for r in bout.reps] == pytest.approx([0.8 + 0.0594 * 1.8] * 5, abs=0.12)
    assert naive_count(samples) != 5


def test_walking_holds_no_reps() -> None:
    samples = after(walking(40.0), walking(20.0, step_hz=1.5), walking(20.0, step_hz=2.4))
    assert counts(samples) == []
    assert naive_count(samples) > 10


def test_a_set_between_walks_is_the_only_thing_counted() -> None:
    reps, _ = scene([BEFORE, *REP * 5, (0.0, 9.0)])
    samples = after(walking(20.0), reps, walking(30.0))
    assert counts(samples) == [5]
    assert naive_count(samples) != 5


def test_a_hang_without_reps_holds_none() -> None:
    samples, _ = scene([(0.0, 60.0)], tremor_m_s2=0.25)
    assert counts(samples) == []


def test_holds_are_free_of_invented_strokes() -> None:
    hold = ((0.45, 1.2), (0.0, 6.0), (-0.45, 1.5), (0.0, 1.2))
    samples, _ = scene([BEFORE, *hold * 4, AFTER], tremor_m_s2=0.15)
    (bout,) = analyse(samples, Mount.BODY).sets
    assert bout.count == 4
    assert [r.hold_top_s for r in bout.reps] == pytest.approx([6.0 + 0.0594 * 2.7] * 4, abs=0.2)
    assert naive_count(samples) != 4


def test_a_four_second_negative_is_not_erased() -> None:
    slow = ((0.45, 1.0), (0.0, 0.6), (-0.45, 4.5), (0.0, 1.0))
    samples, _ = scene([BEFORE, *slow * 4, AFTER])
    (bout,) = analyse(samples, Mount.BODY).sets
    assert bout.count == 4
    for rep in bout.reps:
        assert rep.down_s is not None
        assert rep.end_s - rep.down_s == pytest.approx(4.5 * (1 - 2 * 0.0594), abs=0.75)


def test_fast_sets_are_kept() -> None:
    fast = ((0.35, 0.55), (0.0, 0.06), (-0.35, 0.55), (0.0, 0.1))
    samples, _ = scene([BEFORE, *fast * 10, AFTER])
    assert counts(samples) == [10]


def test_a_sticking_point_is_no_top() -> None:
    sticking = ((0.25, 0.7), (0.0, 0.15), (0.2, 0.7), (0.0, 0.5), (-0.45, 1.4), (0.0, 0.9))
    samples, _ = scene([BEFORE, *sticking * 5, AFTER])
    assert counts(samples) == [5]
    assert naive_count(samples) != 5


def test_a_failed_last_attempt_does_not_count() -> None:
    attempt = ((0.18, 1.2), (0.0, 0.6), (-0.18, 0.8))
    samples, _ = scene([BEFORE, *REP * 5, *attempt, AFTER])
    assert counts(samples) == [5]
    assert naive_count(samples) != 5


def test_a_knock_is_no_rep() -> None:
    samples, _ = scene([(0.0, 60.0)])
    force = samples.force_m_s2.copy()
    for at in (1000, 1400, 1800, 2200, 2600):
        force[at : at + 4] += np.array([15.0, -20.0, 25.0])
    assert counts(Samples(samples.t_s, force)) == []


@pytest.mark.parametrize("rate_hz", [20.0, 26.0, 52.0, 208.0, 400.0])
def test_any_rate_gives_the_same_count(rate_hz: float) -> None:
    samples, _ = scene([BEFORE, *REP * 4, AFTER], rate_hz)
    assert counts(samples) == [4]


@pytest.mark.parametrize("share", [0.03, 0.1])
def test_lost_packets_do_not_change_the_count(share: float) -> None:
    samples, _ = scene([BEFORE, *REP * 6, AFTER])
    packet = np.arange(len(samples)) // 10
    kept = np.random.default_rng(8).random(packet[-1] + 1)[packet] > share
    assert counts(Samples(samples.t_s[kept], samples.force_m_s2[kept])) == [6]


def test_a_limb_needs_no_travel() -> None:
    lift = ((0.45, 1.0), (0.0, 1.0), (-0.45, 1.0), (0.0, 1.5))
    samples, _ = scene([(0.0, 3.0), *lift * 6, (0.0, 3.0)], 25.0, lean_deg=50.0)
    (bout,) = analyse(samples, Mount.LIMB).sets
    assert bout.count == 6
    assert {r.travel_m for r in bout.reps} == {None}
    assert {r.mean_velocity_m_s for r in bout.reps} == {None}
