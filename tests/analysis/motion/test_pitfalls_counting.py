"""Pitfalls of counting, one test each. The naive counter gets every one of these scenes wrong: the tests bite."""

from __future__ import annotations

import pytest
from motion_scenes import HALVED, REP, Step, after, pendulum, scene, walking
from naive_counter import naive_count
from recordings import DATA, needs_data, real, recording, session, window

from analysis.motion.analysis import analyse
from analysis.motion.mounts import Mount
from analysis.motion.results import Rep, RepKind
from analysis.motion.samples import Samples
from sensor.virtual.script import Beat, regular_script
from sensor.virtual.trainee import perform

BEFORE, AFTER = (0.0, 6.0), (0.0, 14.0)
INSET = 0.0594
"""Share of a minimum-jerk stroke before its speed passes 5 % of its peak (`test_closed_forms.py`)."""


def counts(samples: Samples, mount: Mount = Mount.BODY) -> list[int]:
    return [b.count for b in analyse(samples, mount).sets]


def plain(*steps: Step) -> Samples:
    return scene([BEFORE, *steps, AFTER])[0]


def reps_of(samples: Samples) -> tuple[Rep, ...]:
    (bout,) = analyse(samples, Mount.BODY).sets
    return bout.reps


def virtual(seed: int, *, rest_s: float) -> Samples:
    beat = Beat(up_s=1.0, top_s=1.0, down_s=2.0, bottom_s=0.0)
    done = perform(regular_script(trainee="Ilka Brandt", sets=2, reps=5, beat=beat, rest_s=rest_s), seed)
    return Samples(done.t_s, done.force_m_s2)


@pytest.mark.parametrize("reps", [3, 5, 12])
def test_plain_sets_are_counted_by_the_naive_counter_too(reps: int) -> None:
    samples = plain(*REP * reps)
    assert counts(samples) == [reps]
    assert naive_count(samples) == reps


# the mount or dismount drop merging into the first or last rep


@pytest.mark.parametrize("hang_s", [0.3, 1.0])
def test_mount_and_dismount_do_not_merge_into_the_first_and_last_rep(hang_s: float) -> None:
    samples = plain((-0.5, 1.2), (0.0, hang_s), *REP * 5, (0.5, 1.3))
    assert counts(samples) == [5]
    assert naive_count(samples) != 5


def test_letting_go_after_the_last_rep_is_no_rep() -> None:
    samples = plain(*REP * 5, (-0.5, 0.45), (0.0, 2.0), (0.5, 1.0))
    assert counts(samples) == [5]
    assert naive_count(samples) != 5


@pytest.mark.parametrize("seed", [1, 2, 4, 5])
def test_mount_and_dismount_of_the_virtual_trainee(seed: int) -> None:
    samples = virtual(seed, rest_s=25.0)
    assert [(b.count, b.measured) for b in analyse(samples, Mount.BODY).sets] == [(5, True)] * 2
    assert naive_count(samples) != 10


@pytest.mark.parametrize("seed", [2, 9])
def test_live_has_taken_back_a_dismount_by_the_time_the_set_closes(seed: int) -> None:
    live = analyse(virtual(seed, rest_s=25.0), Mount.BODY, live=True)
    assert [b.count for b in live.sets] == [5, 5]


@pytest.mark.parametrize("seed", [1, 2])
def test_standing_between_two_sets_is_no_top_hold(seed: int) -> None:
    assert counts(virtual(seed, rest_s=15.0)) == [5, 5]


# sit-to-stand, pick-ups, walking; one or two isolated excursions


@pytest.mark.parametrize("times", [1, 2])
def test_one_or_two_isolated_excursions_are_no_set(times: int) -> None:
    samples = plain(*((0.4, 1.0), (0.0, 3.0), (-0.4, 1.2), (0.0, 20.0)) * times)
    assert counts(samples) == []
    assert naive_count(samples) == times


def test_one_or_two_sit_to_stands_are_no_set_and_five_in_a_row_are() -> None:
    stand = ((0.4, 1.0), (0.0, 0.8), (-0.4, 1.2), (0.0, 0.8))
    samples = plain(*stand * 2, (0.0, 15.0), *stand * 5)
    assert counts(samples) == [5]
    assert naive_count(samples) == 7


def test_pick_ups_are_no_set() -> None:
    samples = plain(*((-0.6, 1.0), (0.0, 1.5), (0.6, 1.2), (0.0, 12.0)) * 4)
    assert counts(samples) == []
    assert naive_count(samples) > 0


def test_walking_holds_no_reps() -> None:
    samples = after(walking(40.0), walking(20.0, step_hz=1.5), walking(20.0, step_hz=2.4))
    assert counts(samples) == []
    assert naive_count(samples) > 10


def test_a_set_between_walks_is_the_only_thing_counted() -> None:
    samples = after(walking(20.0), scene([BEFORE, *REP * 5, (0.0, 9.0)])[0], walking(30.0))
    assert counts(samples) == [5]
    assert naive_count(samples) != 5


@needs_data
def test_daily_life_at_the_belt_holds_no_reps() -> None:
    """Example data of the Mobilise-D project: walking, sitting down, bending, picking up."""
    counted = {row["file"]: recording(DATA / "real" / row["file"]) for row in real("mobgap-lowback")}
    assert [counts(samples) for samples in counted.values()] == [[]] * len(counted)
    assert sum(naive_count(samples) for samples in counted.values()) > 20


@needs_data
def test_five_sit_to_stands_on_a_force_plate_are_a_set_of_five() -> None:
    """Example data of the EUROBENCH project: seat-off by the force plate."""
    (row,) = real("bench-5sts")
    samples = recording(DATA / "real" / row["file"])
    (bout,) = analyse(samples, Mount.BODY).sets
    assert bout.count == 5
    for rep, off_s in zip(bout.reps, map(float, row["rep_starts_s"].split(";")), strict=True):
        assert abs(rep.start_s - off_s) < 1.0  # the trunk moves before the seat is free
    assert naive_count(samples) != 5


# a hang without reps


def test_a_hang_without_reps_holds_none() -> None:
    samples = after(scene([(0.0, 4.0)], base_deg=0.0)[0], pendulum(30.0, length_m=2.0), scene([AFTER], base_deg=0.0)[0])
    assert counts(samples) == []
    assert naive_count(samples) > 0


@needs_data
def test_hangs_without_reps_in_the_simulated_sessions() -> None:
    samples, truth = session("074_body_negative")
    for start_s, end_s in truth["hang_only"]:
        hang = window(samples, start_s - 5.0, end_s + 5.0)
        assert counts(hang) == []
        assert naive_count(hang) > 0


# attempts, halves, dips


def test_a_failed_last_attempt_does_not_count() -> None:
    samples = plain(*REP * 5, (0.18, 1.2), (0.0, 0.6), (-0.18, 0.8))
    reps = reps_of(samples)
    assert [r.kind for r in reps] == [RepKind.FULL] * 5 + [RepKind.PARTIAL]
    assert reps[-1].reached == pytest.approx(0.18 / 0.45, abs=0.08)
    assert naive_count(samples) == 6


def test_one_and_a_half_is_one_rep() -> None:
    samples = plain(*HALVED * 5)
    reps = reps_of(samples)
    assert [r.kind for r in reps] == [RepKind.ONE_AND_HALF] * 5
    assert [r.half_pause_s for r in reps] == pytest.approx([0.8 + INSET * 1.8] * 5, abs=0.12)
    assert naive_count(samples) == 10


def test_a_sticking_point_is_no_top() -> None:
    sticking = ((0.25, 0.7), (0.0, 0.5), (0.2, 0.7), (0.0, 0.5), (-0.45, 1.4), (0.0, 0.9))
    samples = plain(*sticking * 5)
    reps = reps_of(samples)
    assert [r.kind for r in reps] == [RepKind.FULL] * 5
    assert [r.travel_m for r in reps] == pytest.approx([0.45] * 5, abs=0.03)
    assert naive_count(samples) != 5


@pytest.mark.parametrize("pause_s", [0.0, 0.5, 1.0])
def test_a_shoulder_blade_rise_is_neither_counted_nor_swallowed(pause_s: float) -> None:
    shrug = ((0.05, 0.3), (0.0, pause_s), (0.4, 0.9), (0.0, 0.5), (-0.45, 1.5), (0.0, 1.0))
    samples, starts = scene([BEFORE, *shrug * 5, AFTER])
    reps = reps_of(samples)
    assert [r.kind for r in reps] == [RepKind.FULL] * 5
    assert [r.travel_m for r in reps] == pytest.approx([0.45] * 5, abs=0.03)
    for k, rep in enumerate(reps):
        assert rep.shrug_start_s == pytest.approx(starts[1 + 6 * k], abs=0.1)
        assert rep.start_s == pytest.approx(starts[3 + 6 * k] + INSET * 0.9, abs=0.08)


def test_a_naive_counter_counts_shoulder_blade_rises() -> None:
    samples = plain(*((0.06, 0.45), (0.0, 1.0), (0.4, 0.9), (0.0, 0.5), (-0.46, 1.5), (0.0, 1.0)) * 5)
    assert counts(samples) == [5]
    assert naive_count(samples) != 5


# what looks like no pull-up, and what looks like one


@pytest.mark.parametrize("axes", [3, 6])
@pytest.mark.parametrize("period_s", [1.3, 1.5, 1.7])
def test_a_released_strap_that_swings_by_itself_is_no_set(period_s: float, axes: int) -> None:
    length_m = 9.80665 * (period_s / 6.283185) ** 2
    samples = pendulum(40.0, length_m=length_m, at=0.85, degrees=25.0, decay_s=12.0, gyro=axes == 6)
    assert counts(samples, Mount.SUSPENSION) == []
    assert naive_count(samples) > 0


@pytest.mark.parametrize(("phase_s", "travel_m"), [(0.45, 0.3), (0.52, 0.33), (0.6, 0.35)])
def test_fast_sets_are_kept(phase_s: float, travel_m: float) -> None:
    samples = plain(*((travel_m, phase_s), (0.0, 0.06), (-travel_m, phase_s), (0.0, 0.06)) * 12)
    assert counts(samples) == [12]
    assert naive_count(samples) != 12 or phase_s == 0.6


def test_the_superset_partner_is_a_set_of_its_own() -> None:
    """Press-ups between two sets of pull-ups: another posture, and the first stroke goes down."""
    press_ups = ((-0.3, 0.9), (0.0, 0.3), (0.3, 0.8), (0.0, 0.5))
    pulls = scene([BEFORE, *REP * 5, (0.0, 4.0)])[0]
    partner = scene([(0.0, 3.0), *press_ups * 8, (0.0, 4.0)], base_deg=80.0, lean_deg=-10.0)[0]
    samples = after(pulls, walking(8.0), partner, walking(8.0), pulls, walking(8.0))
    found = analyse(samples, Mount.BODY).sets
    assert [b.count for b in found][::2] == [5, 5]
    assert len(found) == 3
    assert naive_count(samples) != 10
