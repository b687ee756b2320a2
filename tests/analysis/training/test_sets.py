"""Bouts into sets, and the sensor's clock into true seconds."""

from __future__ import annotations

from dataclasses import fields, replace
from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.motion.results import Hold, Rep, RepKind, TimingSd, Where, Why
from analysis.training.exercises import FEET_ON_FLOOR
from analysis.training.judge import judge_rep
from analysis.training.prescription import Prescription, Tempo
from analysis.training.scale import TrueTime, in_true_time, scaled
from analysis.training.sets import group_bouts, judged
from analysis.training.verdict import Outcome
from tests.analysis.training.builders import make_bout, make_rep, make_reps

ASKED = Prescription(
    exercise=FEET_ON_FLOOR, sets=3, reps=5, tempo=Tempo(down_s=1, bottom_s=0, up_s=1, top_s=0), rest_s=90
)


def bouts_of(counts: list[int], *, start_s: float = 10.0, rest_s: float = 90.0) -> list:
    made = []
    for number, count in enumerate(counts):
        kind = RepKind.FULL if count else RepKind.PARTIAL
        reps = [replace(rep, kind=kind) for rep in make_reps(count or 1, start_s=start_s)]
        made.append(make_bout(number, reps))
        start_s = made[-1].end_s + rest_s
    return made


def test_a_bout_with_reps_is_a_set_and_one_without_is_none() -> None:
    bouts = bouts_of([5, 0, 5, 4])
    sets = group_bouts(bouts, ASKED)
    assert [(one.number, one.bouts, len(one.reps)) for one in sets] == [(1, (0,), 5), (2, (2,), 5), (3, (3,), 4)]
    assert sets[0].rest_before_s is None
    assert sets[2].rest_before_s == pytest.approx(90.0)
    # the try between the first two sets belongs to the rest
    assert sets[1].rest_before_s == pytest.approx(bouts[2].start_s - bouts[0].end_s)


@given(st.lists(st.integers(0, 6), max_size=6), st.integers(0, 6))
def test_sets_so_far_stay_what_they_are(counts: list[int], cut: int) -> None:
    bouts = bouts_of(counts)
    sets, so_far = group_bouts(bouts, ASKED), group_bouts(bouts[:cut], ASKED)
    assert sets[: len(so_far)] == so_far
    assert group_bouts(bouts[::-1], ASKED) == sets
    assert len(sets) == sum(count > 0 for count in counts)


def test_an_unmeasured_bout_stays_a_set_with_its_reason() -> None:
    bout = replace(make_bout(0, make_reps(5)), measured=False, why=Why.GAP)
    (record,) = [judged(one, ASKED) for one in group_bouts([bout], ASKED)]
    assert (record.measured, record.why, record.verdict.outcome) == (False, Why.GAP, Outcome.NOT_MEASURABLE)


def test_judging_is_in_true_seconds_and_the_record_as_measured() -> None:
    # A sensor's clock that runs 1.5 % slow makes a rest of 96 true seconds look like 94.6, which would be kept.
    ratio = 1.015
    bouts = bouts_of([5, 5], rest_s=96.0 / ratio)
    first, second = (judged(one, ASKED, TrueTime(ratio=ratio)) for one in group_bouts(bouts, ASKED))
    assert first.reps == bouts[0].reps
    assert first.verdict.tut_s == pytest.approx(10.0 * ratio)
    assert second.rest_before_s == pytest.approx(96.0)
    assert second.verdict.rest_outcome is Outcome.MISSED
    assert judged(group_bouts(bouts, ASKED)[1], ASKED).verdict.rest_outcome is Outcome.MET


NOT_SCALED = {"kind", "timing_sd", "untold"}


def full_rep() -> Rep:
    values = {field.name: 1.0 + n for n, field in enumerate(fields(Rep)) if field.name not in NOT_SCALED}
    return Rep(**values, timing_sd=TimingSd(0.1, 0.2, 0.3, 0.4))


def test_scaling_follows_dimensions() -> None:
    # A clock that is off by k scales times by k, the first integral of force by k and the second by k².
    rep, twice = full_rep(), scaled(full_rep(), 2.0)
    power = {"lean_deg": 0, "reached": 0, "travel_m": 2}
    for field in fields(Rep):
        if field.name not in NOT_SCALED:
            assert getattr(twice, field.name) == getattr(rep, field.name) * 2.0 ** power.get(field.name, 1), field.name
    assert twice.timing_sd == TimingSd(0.2, 0.4, 0.6, 0.8)


@given(st.floats(0.98, 1.02))
def test_scaling_there_and_back(ratio: float) -> None:
    bout = replace(make_bout(3, make_reps(3)), holds=(Hold(1.0, 2.0, Where.TOP),))
    back = scaled(scaled(bout, ratio), 1 / ratio)
    assert back.end_s == pytest.approx(bout.end_s)
    assert back.holds[0].end_s == pytest.approx(2.0)
    assert [rep.top_s for rep in back.reps] == pytest.approx([rep.top_s for rep in bout.reps])


def test_scaling_keeps_what_is_not_measured_and_refuses_nonsense() -> None:
    empty = replace(make_rep(sd_s=None), top_s=None, down_s=None, hold_top_s=None)
    assert scaled(empty, 1.01).top_s is None
    with pytest.raises(ValueError, match="above 0"):
        scaled(empty, 0.0)


def test_what_is_not_known_of_the_clock_blurs_every_duration() -> None:
    """σ² = σ₁² + σ₂² + 2 σ_moment² + (T σ_ratio)²: two independent boundaries and a common scale (closed form)."""
    rep, clock = make_rep(), TrueTime(ratio=1.02, ratio_sd=0.03, moment_sd_s=0.06)
    known = judge_rep(in_true_time(rep, TrueTime(ratio=1.02)), ASKED)
    told = judge_rep(in_true_time(rep, clock), ASKED, clock_sd=clock.ratio_sd)
    assert len(known.phases) == 2
    for before, after in zip(known.phases, told.phases, strict=True):
        assert after.actual_s == before.actual_s
        assert after.sd_s == pytest.approx(hypot(before.sd_s, 0.06 * 2**0.5, 0.03 * after.actual_s))


@pytest.mark.parametrize(
    ("clock", "outcome"),
    [
        (TrueTime(), Outcome.MET),
        (TrueTime(moment_sd_s=0.3), Outcome.UNSURE),
        (TrueTime(ratio_sd=0.3), Outcome.UNSURE),
    ],
)
def test_a_set_is_met_only_where_the_clock_is_known_well_enough(clock: TrueTime, outcome: Outcome) -> None:
    """A second asked and done, 0.3 s allowed: two sigma of 0.3 s are more."""
    (group,) = group_bouts([make_bout(0, make_reps(5))], ASKED)
    record = judged(group, ASKED, clock)
    assert (record.verdict.tempo_outcome, record.verdict.outcome) == (outcome, outcome)
    assert record.verdict.reps_outcome is Outcome.MET


def test_what_cannot_be_told_stays_so_whatever_the_clock() -> None:
    rep = in_true_time(make_rep(sd_s=None), TrueTime(moment_sd_s=0.1))
    assert rep.timing_sd == TimingSd(None, None, None, None)
