"""What a test day proposes. The figures are common practice (from memory), no source."""

from __future__ import annotations

from dataclasses import replace

import pytest

from analysis.training.ladder import Ladder
from analysis.training.plan import TrainingPlan, default_plan
from analysis.training.test_day import TrialError, Tried, propose

PLAN = default_plan()
CAREFUL = replace(PLAN, shoulder_history=True)


@pytest.mark.parametrize(
    ("rows", "hang_s", "low_bar", "rung", "because"),
    [
        (14, 20.0, 30, "inverted-row", "14 straight-bodied rows, and 15 come before"),
        (None, 20.0, 30, "inverted-row", "no rows were tried"),
        (15, None, None, "feet-on-floor", "no low-bar pull-ups tried"),
        (15, 20.0, 0, "feet-on-floor", "asks for 20 low-bar pull-ups"),
        (15, 20.0, 19, "feet-on-floor", "asks for 20 low-bar pull-ups"),
        (15, 14.0, 20, "feet-on-floor", "asks for a hang of 15 s"),
        (15, None, 20, "feet-on-floor", "asks for a hang of 15 s"),
        (15, 15.0, 20, "heels-raised", "20 low-bar pull-ups (20 asked), and a hang of 15 s"),
        (30, 20.0, 60, "heels-raised", "60 low-bar pull-ups"),  # never higher: what is above is shown by training
    ],
)
def test_a_test_day_proposes_a_rung_and_says_why(
    rows: int | None, hang_s: float | None, low_bar: int | None, rung: str, because: str
) -> None:
    found = propose(Tried(rows=rows, hang_s=hang_s, low_bar=low_bar), PLAN)
    assert found.rung == rung
    assert because in found.why
    assert found.why.endswith("(the figures are common practice, no source)")


def test_a_hang_lasts_twenty_seconds_at_most() -> None:
    assert propose(Tried(rows=15, hang_s=20.0, low_bar=25), PLAN).rung == "heels-raised"
    with pytest.raises(TrialError, match="20 s at most"):
        propose(Tried(rows=15, hang_s=20.5, low_bar=25), PLAN)


def test_with_a_shoulder_history_there_is_no_hang_and_the_coach_decides_what_is_harder() -> None:
    with pytest.raises(TrialError, match="shoulder history"):
        propose(Tried(rows=15, hang_s=5.0, low_bar=25), CAREFUL)
    found = propose(Tried(rows=15, low_bar=25), CAREFUL)
    assert found.rung == "feet-on-floor"
    assert "waits for the coach's word" in found.why


def without(plan: TrainingPlan, *keys: str) -> TrainingPlan:
    return replace(plan, ladder=Ladder(tuple(one for one in plan.ladder.rungs if one.key not in keys)))


def test_what_is_not_in_the_plan_or_not_at_hand_is_not_proposed() -> None:
    strong = Tried(rows=15, hang_s=20.0, low_bar=25)
    assert propose(strong, replace(PLAN, equipment=PLAN.equipment - {"block"})).rung == "feet-on-floor"
    assert propose(strong, without(PLAN, "heels-raised")).rung == "feet-on-floor"
    assert propose(Tried(rows=3), replace(without(PLAN, "inverted-row"), start="box")).rung == "box"


def test_a_rung_is_found_by_its_exercise_whatever_its_key() -> None:
    rungs = [replace(one, key=f"our-{one.key}") for one in PLAN.ladder.rungs]
    plan = replace(PLAN, ladder=Ladder(tuple(rungs)))
    assert propose(Tried(rows=15, low_bar=9), plan).rung == "our-feet-on-floor"
