"""Reps, sets and sessions against a prescription."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.motion.results import RepKind, Why
from analysis.training.exercises import FEET_ON_FLOOR
from analysis.training.judge import judge_rep, judge_session, judge_set
from analysis.training.prescription import Prescription, Tempo
from analysis.training.verdict import Outcome
from tests.analysis.training.builders import make_rep, make_reps, make_set, reps_for, with_sd

MET, MISSED, UNSURE, DARK = Outcome.MET, Outcome.MISSED, Outcome.UNSURE, Outcome.NOT_MEASURABLE
ORDINARY = Prescription(
    exercise=FEET_ON_FLOOR, sets=3, reps=15, tempo=Tempo(down_s=1, bottom_s=0, up_s=1, top_s=0), rest_s=90
)
# 3 s up, 2 s hold, 3 s down, 2 s pause: the protocol in which Faber et al. 2015 (PeerJ 3:e1102) took ±8 % time under
# tension for adherence.
FABER = replace(ORDINARY, reps=10, tempo=Tempo(down_s=3, bottom_s=2, up_s=3, top_s=2))


def test_fifteen_reps_as_asked_are_met() -> None:
    verdict = judge_set(reps_for(ORDINARY), ORDINARY, rest_before_s=None)
    assert (verdict.count, verdict.in_tempo, verdict.outcome, verdict.remark) == (15, 15, MET, "")
    assert verdict.tut_s == pytest.approx(30.0)


def test_a_missing_rep_is_missed_and_a_partial_one_does_not_count() -> None:
    reps = reps_for(ORDINARY)
    reps[14] = replace(reps[14], kind=RepKind.PARTIAL, reached=0.6)
    verdict = judge_set(reps, ORDINARY, rest_before_s=None)
    assert (verdict.count, verdict.reps_outcome, verdict.tempo_outcome, verdict.outcome) == (14, MISSED, MET, MISSED)
    assert verdict.remark == "14 of 15 reps, 1 partial."
    assert len(verdict.reps) == 15
    assert verdict.reps[14].outcome is MISSED
    assert verdict.tut_s == pytest.approx(28.0)  # the partial one is outside


def test_more_reps_than_asked_are_met() -> None:
    assert judge_set(reps_for(ORDINARY, count=17), ORDINARY, rest_before_s=None).outcome is MET


def quick_lowering(numbers: range | list[int], *, down_s: float = 0.4, count: int = 15) -> list:
    reps = make_reps(count)
    return [
        make_rep(rep.start_s, down_s=down_s, bottom_s=rep.bottom_pause_s) if number in numbers else rep
        for number, rep in enumerate(reps, start=1)
    ]


@pytest.mark.parametrize(
    ("numbers", "outcome", "remark"),
    [
        ([4], MET, "Lowering too quick in rep 4."),
        ([4, 5], MET, "Lowering too quick in reps 4 and 5."),
        ([4, 5, 9], MET, "Lowering too quick in reps 4, 5 and 9."),  # a fifth of 15 may be off
        ([4, 5, 9, 10], MISSED, "Lowering too quick in reps 4, 5, 9 and 10."),
        ([2, 4, 6, 8, 10], MISSED, "Lowering too quick in 5 of 15 reps."),
        (range(11, 16), MISSED, "Lowering too quick from rep 11 on."),
        (range(1, 16), MISSED, "Lowering too quick in every rep."),
    ],
)
def test_tempo_of_a_set_and_what_is_said(numbers: range | list[int], outcome: Outcome, remark: str) -> None:
    verdict = judge_set(quick_lowering(numbers), ORDINARY, rest_before_s=None)
    assert (verdict.tempo_outcome, verdict.outcome, verdict.remark) == (outcome, outcome, remark)


def test_reps_that_cannot_be_told_keep_a_set_from_being_met() -> None:
    reps = [with_sd(rep, 0.4) if number < 4 else rep for number, rep in enumerate(make_reps(15))]
    verdict = judge_set(reps, ORDINARY, rest_before_s=None)
    assert (verdict.outcome, verdict.in_tempo) == (UNSURE, 11)
    assert verdict.remark == "Timing too uncertain to tell in reps 1, 2, 3 and 4."
    three = [with_sd(rep, 0.4) if number < 3 else rep for number, rep in enumerate(make_reps(15))]
    assert judge_set(three, ORDINARY, rest_before_s=None).outcome is MET  # even if all three were off


def test_null_phases_keep_a_set_from_being_met() -> None:
    reps = [replace(rep, top_s=None) for rep in make_reps(15)]
    verdict = judge_set(reps, ORDINARY, rest_before_s=None)
    assert (verdict.reps_outcome, verdict.tempo_outcome, verdict.outcome) == (MET, DARK, DARK)
    assert verdict.remark == "Phases not measurable in every rep."


def test_a_bout_that_motion_does_not_vouch_for_is_not_measurable() -> None:
    verdict = judge_set(make_reps(15), ORDINARY, rest_before_s=91.0, measured=False, why=Why.SLIPPED)
    answers = (verdict.reps_outcome, verdict.tempo_outcome, verdict.tut_outcome, verdict.rest_outcome, verdict.outcome)
    assert set(answers) == {DARK}
    assert verdict.count == 15
    assert verdict.remark == "Not measurable: the clip moved."


def test_without_a_rep_nothing_is_met() -> None:
    verdict = judge_set([], ORDINARY, rest_before_s=None)
    assert (verdict.count, verdict.outcome, verdict.remark) == (0, MISSED, "0 of 15 reps.")


@pytest.mark.parametrize(
    ("share", "outcome"), [(0.93, MET), (1.07, MET), (0.91, MISSED), (1.09, MISSED), (0.92, MET), (1.08, MET)]
)
def test_time_under_tension_band_of_eight_percent(share: float, outcome: Outcome) -> None:
    # Band: Faber et al. 2015, PeerJ 3:e1102. All phases are stretched alike, so each stays inside its own 20 %.
    reps = make_reps(10, up_s=3 * share, top_s=2 * share, down_s=3 * share, pause_s=2.0, sd_s=0.0)
    verdict = judge_set(reps, FABER, rest_before_s=None)
    assert verdict.target_tut_s == pytest.approx(80.0)
    assert verdict.tut_s == pytest.approx(80.0 * share)  # the 2 s at the bottom are outside
    assert verdict.tut_outcome is outcome


def test_too_little_tension_fails_a_set_and_too_much_does_not() -> None:
    short = judge_set(reps_for(FABER, down_s=2.45, pause_s=2.0, sd_s=0.0, top_s=1.75), FABER, rest_before_s=None)
    assert (short.tempo_outcome, short.tut_outcome, short.outcome) == (MET, MISSED, MISSED)
    assert short.remark == "Under tension 72 s of 80 s."
    long = judge_set(reps_for(FABER, down_s=5.0, pause_s=2.0), FABER, rest_before_s=None)
    assert (long.tut_outcome, long.outcome) == (MISSED, MET)


def test_tension_is_not_judged_where_a_rep_is_short_or_its_rise_is_fast() -> None:
    ordinary = judge_set(reps_for(ORDINARY), ORDINARY, rest_before_s=None)
    assert (ordinary.target_tut_s, ordinary.tut_outcome, ordinary.outcome) == (None, DARK, MET)
    fast = replace(FABER, tempo=replace(FABER.tempo, up_s=None, bottom_s=0))
    assert judge_set(reps_for(fast), fast, rest_before_s=None).target_tut_s is None
    four = replace(ORDINARY, tempo=Tempo(down_s=3, bottom_s=0, up_s=1, top_s=0))
    assert judge_set(reps_for(four), four, rest_before_s=None).target_tut_s == pytest.approx(60.0)


def test_tension_counts_the_half_way_pause() -> None:
    assert replace(ORDINARY, half_pause_s=2.0).rep_tut_s == pytest.approx(4.0)


def test_uncertain_tension_is_unsure_or_not_measurable() -> None:
    reps = reps_for(FABER, pause_s=2.0, sd_s=0.08, down_s=2.6)  # 76 s, 2.4 s inside; σ of the sum .08 √20 = .36 s
    assert judge_set(reps, FABER, rest_before_s=None).tut_sd_s == pytest.approx(0.08 * 20**0.5)
    wide = [with_sd(rep, 0.4) for rep in reps]
    assert judge_set(wide, FABER, rest_before_s=None).tut_outcome is UNSURE
    unknown = [with_sd(rep, 0.08) for rep in reps[:-1]] + [replace(reps[-1], timing_sd=make_rep(sd_s=None).timing_sd)]
    assert judge_set(unknown, FABER, rest_before_s=None).tut_outcome is DARK


@pytest.mark.parametrize(("rest_s", "outcome"), [(None, DARK), (40.0, MET), (90.0, MET), (95.0, MET), (95.1, MISSED)])
def test_rest_is_recorded_and_does_not_change_the_set(rest_s: float | None, outcome: Outcome) -> None:
    verdict = judge_set(reps_for(ORDINARY), ORDINARY, rest_before_s=rest_s)
    assert (verdict.rest_outcome, verdict.outcome) == (outcome, MET)
    assert verdict.remark == ("Rested 95 s, asked 90 s." if outcome is MISSED else "")


def test_a_session_needs_every_prescribed_set_met() -> None:
    good, short = make_set(ORDINARY).verdict, make_set(ORDINARY, count=12).verdict
    assert judge_session([good, good, good], ORDINARY).outcome is MET
    assert judge_session([good, good], ORDINARY).outcome is MISSED
    assert judge_session([], ORDINARY).outcome is MISSED
    assert judge_session([good, good, good, short], ORDINARY).outcome is MET  # beyond what was asked
    missed = judge_session([good, short, good], ORDINARY)
    assert (missed.outcome, missed.summary) == (MISSED, ("2 of 3 sets met.", "Set 2: 12 of 15 reps."))


def test_without_a_prescribed_set_nothing_is_met() -> None:
    verdict = judge_session([make_set(ORDINARY).verdict], replace(ORDINARY, sets=0))
    assert (verdict.outcome, verdict.summary) == (DARK, ("No set was asked for.",))


def test_the_summary_names_one_thing_to_work_on() -> None:
    hasty = judge_set(quick_lowering(range(11, 16)), ORDINARY, rest_before_s=None)
    good = make_set(ORDINARY).verdict
    assert judge_session([good, good, hasty], ORDINARY).summary == (
        "2 of 3 sets met.",
        "Set 3: lowering too quick from rep 11 on.",
        "To work on: the last third of set 3 comes down in 0.4 s, asked 1 s.",
    )


def test_a_long_rest_is_told_in_the_summary() -> None:
    sets = [make_set(ORDINARY).verdict, *(make_set(ORDINARY, rest_s=rest).verdict for rest in (120.0, 90.0))]
    assert judge_session(sets, ORDINARY).summary == ("3 of 3 sets met.", "Rest longer than asked before set 2.")


def test_an_unmeasured_set_makes_the_session_not_measurable_unless_another_is_missed() -> None:
    good, dark = make_set(ORDINARY).verdict, make_set(ORDINARY, measured=False).verdict
    short = make_set(ORDINARY, count=12).verdict
    assert judge_session([good, dark, good], ORDINARY).outcome is DARK
    assert judge_session([short, dark, good], ORDINARY).outcome is MISSED


phase_s = st.floats(0.3, 2.5)
some_reps = st.lists(st.tuples(phase_s, phase_s, st.floats(0.0, 0.3)), min_size=1, max_size=8)


def build(shapes: list[tuple[float, float, float]], more_s: float = 0.0) -> list:
    return [make_rep(10.0 * n, up_s=up, down_s=down, sd_s=sd + more_s) for n, (up, down, sd) in enumerate(shapes)]


@given(some_reps, st.floats(0.0, 1.0))
def test_more_uncertainty_never_turns_a_set_into_met(shapes: list[tuple[float, float, float]], more_s: float) -> None:
    asked = replace(FABER, reps=len(shapes), tempo=Tempo(down_s=2, bottom_s=0, up_s=2, top_s=0))
    before = judge_set(build(shapes), asked, rest_before_s=None)
    after = judge_set(build(shapes, more_s), asked, rest_before_s=None)
    for sure, blurred in zip(before.reps, after.reps, strict=True):
        assert blurred.outcome in {sure.outcome, UNSURE}
    assert after.outcome is not MET or before.outcome is MET
    assert after.tut_outcome in {before.tut_outcome, UNSURE}


@given(some_reps, st.integers(0, 7))
def test_a_rep_fewer_never_helps(shapes: list[tuple[float, float, float]], drop: int) -> None:
    asked = replace(ORDINARY, reps=len(shapes))
    reps = build(shapes)
    fewer = reps[: drop % len(reps)] + reps[drop % len(reps) + 1 :]
    assert judge_set(fewer, asked, rest_before_s=None).outcome is MISSED


def test_a_rep_alone_is_judged_before_the_next_one_is_known() -> None:
    assert judge_rep(make_rep(), ORDINARY).outcome is MET
    assert judge_rep(make_rep(down_s=0.3), ORDINARY).outcome is MISSED
    assert judge_rep(make_rep(kind=RepKind.PARTIAL), ORDINARY).phases == ()
