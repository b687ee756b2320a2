"""Start, lean and range: judged only where the mount shows them, and never beyond what the sensor can tell."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from builders import make_reps
from hypothesis import given
from hypothesis import strategies as st

from analysis.motion.mounts import Mount, Place
from analysis.motion.results import Rep
from analysis.training.exercises import FEET_ON_FLOOR
from analysis.training.form import LEAN_LIMIT_DEG, LEAN_SD_DEG, TRAVEL_SD_M, WHOLE, unchecked
from analysis.training.judge import judge_rep, judge_set
from analysis.training.prescription import Prescription, Start, Tempo
from analysis.training.setup import UNSAID, SetUp
from analysis.training.statements import Pain, Reference, Statement
from analysis.training.verdict import FormVerdict, Outcome, SetVerdict
from analysis.training.view import NOTHING, View, reference_of

MET, MISSED, UNSURE = Outcome.MET, Outcome.MISSED, Outcome.UNSURE
ASKED = Prescription(
    exercise=FEET_ON_FLOOR, sets=3, reps=10, tempo=Tempo(down_s=1, bottom_s=0, up_s=1, top_s=0), rest_s=90
)


def at(mount: Mount, asked: Prescription = ASKED) -> Prescription:
    return replace(asked, exercise=replace(asked.exercise, mount=mount))


def begun(risen: int, reps: int = 10) -> list[Rep]:
    """So many reps of which the first ones begin with a shoulder-blade rise."""
    return [
        replace(rep, shrug_start_s=rep.start_s - 0.5) if number < risen else rep
        for number, rep in enumerate(make_reps(reps))
    ]


def named(verdict: SetVerdict, name: str) -> FormVerdict | None:
    return next((one for one in verdict.form if one.name == name), None)


@pytest.mark.parametrize(
    ("start", "risen", "reps", "outcome"),
    [
        (Start.HANG, 10, 10, MET),
        (Start.HANG, 8, 10, MET),  # a fifth may be otherwise, or overlooked
        (Start.HANG, 7, 10, UNSURE),
        (Start.HANG, 5, 10, UNSURE),
        (Start.HANG, 4, 10, MISSED),  # most reps lack it
        (Start.HANG, 0, 4, UNSURE),  # of few reps all may have been overlooked
        (Start.HANG, 0, 5, MISSED),
        (Start.SHOULDERS_SET, 0, 10, MET),
        (Start.SHOULDERS_SET, 2, 10, MET),
        (Start.SHOULDERS_SET, 3, 10, MISSED),
    ],
)
def test_the_start_of_a_set(start: Start, risen: int, reps: int, outcome: Outcome) -> None:
    asked = replace(ASKED, start=start, reps=reps)
    verdict = judge_set(begun(risen, reps), asked, rest_before_s=None)
    found = named(verdict, "start")
    assert found is not None
    as_asked = risen if start is Start.HANG else reps - risen
    assert (found.outcome, found.actual, found.target) == (outcome, as_asked, reps)
    assert verdict.outcome is MET  # told beside it


def test_a_rise_that_was_not_seen_is_no_fault_of_a_rep() -> None:
    hang = judge_set(begun(0), replace(ASKED, start=Start.HANG), rest_before_s=None)
    assert {rep.form[0].outcome for rep in hang.reps} == {UNSURE}
    assert hang.faults == ()
    set_ = judge_set(begun(4), replace(ASKED, start=Start.SHOULDERS_SET), rest_before_s=None)
    assert [rep.form[0].outcome for rep in set_.reps] == [MISSED] * 4 + [MET] * 6
    assert [(one.phase, one.direction, one.reps) for one in set_.faults] == [("start", 1, 4)]


@pytest.mark.parametrize("mount", [mount for mount in Mount if mount is not Mount.BODY])
def test_the_start_is_judged_from_the_body_only(mount: Mount) -> None:
    asked = at(mount, replace(ASKED, start=Start.SHOULDERS_SET))
    assert named(judge_set(begun(10), asked, rest_before_s=None), "start") is None
    assert any(text.startswith("How a rep begins is not checked") for text in unchecked(asked, NOTHING))


@pytest.mark.parametrize(
    ("lean_deg", "outcome"),
    # limit 20°, one sigma 9°: met up to 2°, missed from 38° on (d ± 2σ, as everywhere)
    [(1.9, MET), (2.1, UNSURE), (20.0, UNSURE), (37.9, UNSURE), (38.1, MISSED)],
)
def test_lean_needs_twice_its_sigma(lean_deg: float, outcome: Outcome) -> None:
    assert (LEAN_LIMIT_DEG, LEAN_SD_DEG) == (20.0, 9.0)
    rep = replace(make_reps(1)[0], lean_deg=lean_deg)
    (found,) = judge_rep(rep, ASKED, view=View(place=Place.CHEST)).form
    assert (found.name, found.outcome, found.actual, found.target) == ("lean", outcome, lean_deg, 20.0)


@pytest.mark.parametrize(("mount", "place"), [(Mount.BODY, Place.BELT), (Mount.BODY, None), (Mount.LIMB, Place.CHEST)])
def test_lean_is_judged_only_where_it_is_the_trunks(mount: Mount, place: Place | None) -> None:
    leaning = [replace(rep, lean_deg=60.0) for rep in make_reps(10)]
    assert judge_set(leaning, at(mount), rest_before_s=None, view=View(place=place)).form == ()


def test_the_lean_of_a_set() -> None:
    view = View(place=Place.UPPER_BACK)

    def lean_of(*leans: float | None) -> SetVerdict:
        reps = [replace(rep, lean_deg=lean) for rep, lean in zip(make_reps(len(leans)), leans, strict=True)]
        return judge_set(reps, replace(ASKED, reps=len(leans)), rest_before_s=None, view=view)

    upright, leaning = 1.0, 50.0
    cases = {MET: (*[upright] * 4, leaning), MISSED: (*[upright] * 3, *[leaning] * 2), UNSURE: (15.0,) * 5}
    for outcome, leans in cases.items():
        found = named(lean_of(*leans), "lean")
        assert found is not None
        assert found.outcome is outcome
    assert named(lean_of(None, None), "lean") is None
    assert lean_of(*[50.0] * 5).faults[0].phase == "lean"


def travelled(*travels_m: float | None) -> list[Rep]:
    return [replace(rep, travel_m=travel_m) for rep, travel_m in zip(make_reps(len(travels_m)), travels_m, strict=True)]


def test_a_rep_that_surely_stays_below_85_percent_of_the_reference_is_partial() -> None:
    """σ of the difference: √(σ² + (.85 σ)²) = .0354 m; .85 × .50 − 2 × .0354 = .354 m (closed form)."""
    edge_m = WHOLE * 0.50 - 2 * (TRAVEL_SD_M**2 + (WHOLE * TRAVEL_SD_M) ** 2) ** 0.5
    assert edge_m == pytest.approx(0.354, abs=0.001)
    reps = travelled(*[0.50] * 8, edge_m + 0.001, edge_m - 0.001)
    verdict = judge_set(reps, ASKED, rest_before_s=None, view=View(reference_m=0.50))
    assert (verdict.count, verdict.outcome, verdict.remark) == (9, MISSED, "9 of 10 reps, 1 partial.")
    assert [rep.short for rep in verdict.reps] == [False] * 9 + [True]
    assert [rep.form[0].outcome for rep in verdict.reps] == [MET] * 8 + [UNSURE, MISSED]
    assert verdict.reps[9].phases == ()
    assert verdict.tut_s == pytest.approx(18.0)  # the partial one is outside
    assert judge_set(reps, ASKED, rest_before_s=None).count == 10  # without a reference nothing is short


def test_the_range_of_a_set_averages_each_reps_own_error() -> None:
    """.46 m of .50: a rep alone might be short (.46 − .425 < 2 × .0354); nor do ten together say more than the
    reference's own error lets them, 2 × √(.027²/10 + (.85 × .027)²) = .049 m; .48 m are surely whole."""
    for travel_m, outcome in ((0.46, UNSURE), (0.48, MET), (0.40, UNSURE)):
        verdict = judge_set(travelled(*[travel_m] * 10), ASKED, rest_before_s=None, view=View(reference_m=0.50))
        found = named(verdict, "range")
        assert found is not None
        assert (found.outcome, found.actual) == (outcome, pytest.approx(travel_m))
        assert verdict.outcome is MET


def test_a_rep_without_travel_counts_and_its_range_is_not_measurable() -> None:
    verdict = judge_set(travelled(*[0.5] * 9, None), ASKED, rest_before_s=None, view=View(reference_m=0.5))
    assert verdict.count == 10
    assert verdict.reps[9].form[0].outcome is Outcome.NOT_MEASURABLE


@pytest.mark.parametrize("mount", list(Mount))
def test_what_is_not_checked_is_said(mount: Mount) -> None:
    told = unchecked(at(mount), NOTHING)
    if mount.shows_travel:
        assert told == ("Range is not checked: no reference rep is stored for this rung and set-up.",)
        assert unchecked(at(mount), View(reference_m=0.4)) == ()
    else:
        assert told == ("Range is not checked: this mount shows no travel.",)
        verdict = judge_set(travelled(*[0.1] * 10), at(mount), rest_before_s=None, view=View(reference_m=0.5))
        assert (verdict.count, verdict.form) == (10, ())
    assert unchecked(replace(at(mount), sets=0), NOTHING) == ()


@given(st.lists(st.floats(0.05, 0.6), min_size=1, max_size=12), st.floats(0.2, 0.6))
def test_a_reference_never_adds_a_rep(travels_m: list[float], reference_m: float) -> None:
    reps = travelled(*travels_m)
    free, held = (judge_set(reps, ASKED, rest_before_s=None, view=View(reference_m=one)) for one in (None, reference_m))
    assert held.count <= free.count
    assert all(travel_m < WHOLE * reference_m for travel_m, rep in zip(travels_m, held.reps, strict=True) if rep.short)


def reference(said_utc_us: int, travel_m: float, set_up: SetUp = UNSAID, rung: str = "feet-on-floor") -> Reference:
    day = date(2026, 3, 2)
    return Reference(said_utc_us=said_utc_us, day=day, rung=rung, set_up=set_up, travel_m=travel_m, by="Ilse Brandner")


def test_the_reference_of_a_rung_and_set_up_is_the_last_one() -> None:
    high = SetUp(bar_cm=120.0)
    said: list[Statement] = [
        reference(2, 0.44),
        reference(1, 0.40),
        reference(3, 0.50, high),
        reference(4, 0.60, rung="pull-up"),
        Pain(said_utc_us=5, day=date(2026, 3, 2), now=1),
    ]
    found = [reference_of(said, "feet-on-floor", set_up) for set_up in (UNSAID, high, SetUp(bar_cm=110.0))]
    assert [None if one is None else one.travel_m for one in found] == [0.44, 0.50, None]
    assert reference_of(said, None, UNSAID) is None
