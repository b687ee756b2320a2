"""One phase against its target: edges, sides, uncertainty."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.motion.results import RepKind, TimingSd
from analysis.training.exercises import FEET_ON_FLOOR
from analysis.training.phases import Duration, judge_phases, root_sum, within
from analysis.training.prescription import Prescription, Tempo, Tolerance
from analysis.training.verdict import Outcome, worst
from tests.analysis.training.builders import make_rep

seconds = st.floats(0.0, 30.0)
sds = st.floats(0.0, 3.0)
MET, MISSED, UNSURE, DARK = Outcome.MET, Outcome.MISSED, Outcome.UNSURE, Outcome.NOT_MEASURABLE


def asked(
    down_s: float = 1, bottom_s: float = 0, up_s: float | None = 1, top_s: float = 0, **more: float
) -> Prescription:
    tempo = Tempo(down_s=down_s, bottom_s=bottom_s, up_s=up_s, top_s=top_s)
    return Prescription(exercise=FEET_ON_FLOOR, sets=3, reps=15, tempo=tempo, rest_s=90, **more)


@pytest.mark.parametrize(
    ("actual_s", "sd_s", "outcome", "direction"),
    [
        (1.0, 0.0, MET, 0),
        (0.7, 0.0, MET, 0),  # on the edge is inside
        (1.3, 0.0, MET, 0),
        (0.699, 0.0, MISSED, -1),
        (1.301, 0.0, MISSED, 1),
        (0.8, 0.05, MET, 0),  # d = −.1, 2σ = .1: just inside
        (0.8, 0.051, UNSURE, 0),
        (0.6, 0.049, MISSED, -1),
        (0.6, 0.05, UNSURE, 0),  # d − 2σ = 0 does not lie outside
        (1.0, 0.2, UNSURE, 0),
        (None, 0.1, DARK, 0),
        (1.0, None, DARK, 0),
    ],
)
def test_two_sided_edges(actual_s: float | None, sd_s: float | None, outcome: Outcome, direction: int) -> None:
    assert within(Duration(actual_s, sd_s), 0.7, 1.3) == (outcome, direction)


@given(seconds, sds, sds, seconds, seconds)
def test_more_uncertainty_never_makes_it_met_or_missed(
    actual_s: float, sd_s: float, more_s: float, low_s: float, width_s: float
) -> None:
    before, _ = within(Duration(actual_s, sd_s), low_s, low_s + width_s)
    after, _ = within(Duration(actual_s, sd_s + more_s), low_s, low_s + width_s)
    assert after in {before, UNSURE}


@given(seconds, sds, seconds, seconds)
def test_a_minimum_is_never_missed_by_more_time(actual_s: float, sd_s: float, more_s: float, low_s: float) -> None:
    order = (MISSED, UNSURE, MET)
    before, _ = within(Duration(actual_s, sd_s), low_s)
    after, _ = within(Duration(actual_s + more_s, sd_s), low_s)
    assert order.index(after) >= order.index(before)


@given(seconds, sds, seconds, seconds, st.floats(0.1, 10))
def test_the_unit_of_time_does_not_matter(
    actual_s: float, sd_s: float, low_s: float, width_s: float, unit: float
) -> None:
    high_s = low_s + width_s
    beyond_s = max(low_s - actual_s, actual_s - high_s)
    if min(abs(beyond_s + 2 * sd_s), abs(beyond_s - 2 * sd_s)) < 1e-6:  # rounding decides there
        return
    scaled = within(Duration(actual_s * unit, sd_s * unit), low_s * unit, high_s * unit)
    assert scaled == within(Duration(actual_s, sd_s), low_s, high_s)


def test_root_sum_is_the_hypotenuse_and_null_is_contagious() -> None:
    assert root_sum(0.03, 0.04) == pytest.approx(0.05)
    assert root_sum(0.03, None) is None


def test_tolerance_is_the_larger_of_three_tenths_and_a_fifth() -> None:
    assert Tolerance().of(1.0) == pytest.approx(0.3)
    assert Tolerance().of(1.5) == pytest.approx(0.3)
    assert Tolerance().of(4.0) == pytest.approx(0.8)


def test_only_what_is_prescribed_is_judged() -> None:
    rep = make_rep(bottom_s=2.0)
    assert [phase.name for phase in judge_phases(rep, asked())] == ["up", "down"]
    assert [phase.name for phase in judge_phases(rep, asked(up_s=None))] == ["down"]
    assert [phase.name for phase in judge_phases(rep, asked(top_s=2, bottom_s=1))] == ["up", "top", "down", "bottom"]


def test_up_has_two_sides_lowering_and_hold_have_one() -> None:
    slow = judge_phases(make_rep(up_s=2.0, top_s=6.0, down_s=5.0), asked(top_s=2, down_s=2))
    assert {phase.name: (phase.outcome, phase.direction) for phase in slow} == {
        "up": (MISSED, 1),
        "top": (MET, 0),
        "down": (MET, 0),
    }
    quick = judge_phases(make_rep(up_s=0.5, top_s=1.0, down_s=1.0), asked(top_s=2, down_s=2))
    assert {(phase.outcome, phase.direction) for phase in quick} == {(MISSED, -1)}


def test_a_phase_shows_its_figure_target_tolerance_and_uncertainty() -> None:
    (up, down) = judge_phases(make_rep(down_s=3.5, sd_s=0.03), asked(down_s=4))
    assert (up.actual_s, up.target_s, up.tolerance_s) == (pytest.approx(1.0), 1, pytest.approx(0.3))
    assert (down.actual_s, down.target_s, down.tolerance_s) == (pytest.approx(3.5), 4, pytest.approx(0.8))
    assert down.sd_s == pytest.approx(0.03 * 2**0.5)


def test_a_null_boundary_is_not_measurable_and_spoils_only_its_phases() -> None:
    rep = replace(make_rep(top_s=1.0), down_s=None, hold_top_s=None, timing_sd=TimingSd(0.02, 0.02, None, 0.02))
    verdict = {phase.name: phase.outcome for phase in judge_phases(rep, asked(top_s=1))}
    assert verdict == {"up": MET, "top": DARK, "down": DARK}


def test_a_prescribed_bottom_pause_has_two_sides_and_needs_the_next_rep() -> None:
    following = make_rep(5.0)
    for pause_s, outcome in ((1.0, MET), (0.5, MISSED), (2.5, MISSED)):
        bottom = judge_phases(make_rep(bottom_s=pause_s), asked(bottom_s=1), following)[-1]
        assert (bottom.name, bottom.outcome) == ("bottom", outcome)
    assert judge_phases(make_rep(bottom_s=1.0), asked(bottom_s=1))[-1].outcome is DARK
    last = judge_phases(make_rep(bottom_s=None), asked(bottom_s=1))
    assert [phase.name for phase in last] == ["up", "down"]


def test_the_half_way_pause_is_a_minimum_and_missing_where_it_was_not_seen() -> None:
    rep = make_rep(kind=RepKind.ONE_AND_HALF, half_s=1.4)
    phases = {phase.name: phase for phase in judge_phases(rep, asked(half_pause_s=1.0))}
    assert phases["half"].outcome is MET
    assert phases["half"].sd_s == pytest.approx(0.02 * 2**0.5)
    assert judge_phases(make_rep(), asked(half_pause_s=1.0))[-1].outcome is DARK


def test_the_first_hold_of_a_one_and_a_half_rep_takes_the_worst_sigma_for_its_unnamed_end() -> None:
    sd = TimingSd(0.01, 0.02, 0.03, 0.05)
    rep = replace(make_rep(kind=RepKind.ONE_AND_HALF, top_s=2.0, half_s=1.0), timing_sd=sd)
    top = judge_phases(rep, asked(top_s=2))[1]
    assert top.sd_s == pytest.approx((0.02**2 + 0.05**2) ** 0.5)


def test_the_worst_answer_decides() -> None:
    assert worst([]) is MET
    assert worst([MET, UNSURE]) is UNSURE
    assert worst([UNSURE, DARK]) is DARK
    assert worst([DARK, MISSED, MET]) is MISSED
