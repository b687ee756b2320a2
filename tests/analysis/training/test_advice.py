"""The one thing to work on, by rule, and the coach's summary. All rules are common practice, no source."""

from __future__ import annotations

from dataclasses import replace

import pytest
from builders import make_rep, make_reps
from hypothesis import given
from hypothesis import strategies as st

from analysis.motion.results import Rep
from analysis.training.exercises import FEET_ON_FLOOR
from analysis.training.form import TRAVEL_SD_M
from analysis.training.judge import judge_session, judge_set
from analysis.training.prescription import Prescription, Start, Tempo
from analysis.training.shrinking import shrinking
from analysis.training.verdict import SetVerdict
from analysis.training.view import View

ASKED = Prescription(
    exercise=FEET_ON_FLOOR, sets=1, reps=15, tempo=Tempo(down_s=2, bottom_s=0, up_s=1, top_s=0), rest_s=90
)


def lowered(*downs_s: float) -> list[Rep]:
    return [make_rep(5.0 * number, down_s=down_s) for number, down_s in enumerate(downs_s)]


def judged(reps: list[Rep], asked: Prescription = ASKED, **how: View) -> SetVerdict:
    return judge_set(reps, asked, rest_before_s=None, **how)


def work(*sets: SetVerdict, asked: Prescription = ASKED) -> str:
    summary = judge_session(sets, replace(asked, sets=len(sets))).summary
    return next((text for text in summary if text.startswith("To work on")), "")


def test_the_last_third_of_a_set_comes_down_too_fast() -> None:
    late = judged(lowered(*[2.0] * 10, *[0.6] * 5))
    good = judged(lowered(*[2.0] * 15))
    assert work(good, late) == "To work on: the last third of set 2 comes down in 0.6 s, asked 2 s."
    faster = judged(lowered(*[2.0] * 10, *[0.4] * 5))
    assert work(late, good, faster) == "To work on: the last third of sets 1 and 3 comes down in 0.5 s, asked 2 s."


def test_a_set_that_is_too_quick_from_the_first_rep_is_told_as_a_whole() -> None:
    assert work(judged(lowered(*[0.6] * 15))) == "To work on: lowering too quick in 15 reps."
    assert work(judged(lowered(*[2.0, 2.0, 0.6, 0.6, 0.6]))) == "To work on: lowering too quick in 3 reps."


def ranged(*travels_m: float) -> list[Rep]:
    reps = make_reps(len(travels_m), down_s=2.0)
    return [replace(rep, travel_m=travel_m) for rep, travel_m in zip(reps, travels_m, strict=True)]


def test_the_range_shrinks_from_a_rep_on() -> None:
    shrunk = judged(ranged(*[0.50] * 10, *[0.36] * 5))
    assert (shrunk.shrinks_from, shrunk.shrunk_to) == (11, pytest.approx(0.72))
    assert work(shrunk) == "To work on: range shrinks from rep 11 of set 1 on, to 72 % of the first reps'."
    assert work(judged(ranged(*[0.50] * 15))) == ""


def test_one_short_rep_or_the_travels_own_error_is_no_shrinking() -> None:
    assert shrinking(ranged(*[0.50] * 13, 0.36, 0.50)) is None
    assert shrinking(ranged(*[0.50] * 13, 0.36, 0.36)) is None  # two may be slips
    assert shrinking(ranged(*[0.50] * 10, *[0.44] * 5)) is None  # below .45 m, but not surely
    assert shrinking(ranged(0.5, 0.5, 0.3, 0.3, 0.3)) is None  # too few to tell
    assert shrinking(make_reps(15)) is None  # no travel from this mount


@given(st.lists(st.floats(-1.5, 1.5), min_size=15, max_size=15))
def test_noise_alone_never_shrinks_a_range(noise: list[float]) -> None:
    """With a tail of n ≤ 10 and errors up to a σ it takes .5 − a σ + 2 σ √(1/n + .81/5) ≤ .9 (.5 + a σ): a > 1.5."""
    assert shrinking(ranged(*(0.50 + TRAVEL_SD_M * one for one in noise))) is None


def test_shoulders_that_are_not_set_come_before_the_most_frequent_fault() -> None:
    asked = replace(ASKED, start=Start.SHOULDERS_SET)
    reps = lowered(*[0.6] * 15)
    reps[:6] = [replace(rep, shrug_start_s=rep.start_s - 0.5) for rep in reps[:6]]
    assert work(judged(reps, asked), asked=asked) == "To work on: shoulders not set before the pull in 6 of 15 reps."


def test_a_hang_that_is_hardly_ever_seen() -> None:
    asked = replace(ASKED, start=Start.HANG)
    reps = make_reps(15, down_s=2.0)
    assert work(judged(reps, asked), asked=asked) == (
        "To work on: start each rep from a dead hang; no rise of the shoulders was seen in 15 of 15 reps."
    )


def test_reps_short_of_the_reference_are_named() -> None:
    reps = ranged(*[0.5, 0.3] * 4, *[0.5] * 7)
    assert work(judged(reps, view=View(reference_m=0.5))) == "To work on: range too short in 4 reps."


def test_the_summary_of_a_test_gives_the_clean_reps() -> None:
    asked = replace(ASKED, reps=0)
    verdict = judged(lowered(*[2.0] * 11, 0.6, 0.6), asked)
    assert judge_session([verdict], asked).summary[0] == "Test: 11 clean of 13 reps."


def test_a_session_that_was_met_has_nothing_to_work_on() -> None:
    good = judged(lowered(*[2.0] * 15))
    assert judge_session([good, good, good], replace(ASKED, sets=3)).summary == ("3 of 3 sets met.",)


@given(st.lists(st.lists(st.floats(0.3, 3.0), min_size=1, max_size=16), min_size=1, max_size=4))
def test_a_summary_is_at_most_three_sentences(sets: list[list[float]]) -> None:
    verdicts = [judged(lowered(*downs)) for downs in sets]
    summary = judge_session(verdicts, replace(ASKED, sets=len(verdicts))).summary
    assert 1 <= len(summary) <= 3
    assert all(text.endswith(".") for text in summary)
