"""Where on the body the sensor sits: said once, kept with the session, taken over by the next."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from uuid import uuid4

import pytest

from analysis.logbook.book import Logbook
from analysis.motion.mounts import Mount, Place
from analysis.training.plan import default_plan
from analysis.training.prescription import Grip
from tui.book.plan_file import PlanError
from tui.book.plan_text import plan_text
from tui.home import Home
from tui.session.plans import todays_plan

TODAY = date(2026, 3, 2)


@pytest.mark.parametrize("place", list(Place))
def test_the_place_of_the_last_session_is_taken_over_until_another_is_said(tmp_path: Path, place: Place) -> None:
    with Logbook.open(tmp_path / "logbook.db") as logbook:
        plan = todays_plan(Home(tmp_path), logbook, "Ilka Brandt", TODAY, place=place)
        assert plan.place is place
        assert todays_plan(Home(tmp_path), logbook, "Ilka Brandt", TODAY).place is None
        logbook.keep_trainee(plan.trainee)
        logbook.start_session(
            session_id=uuid4(),
            trainee=plan.trainee.id,
            station=logbook.station(),
            started_utc_us=1_772_000_000_000_000,
            prescription=plan.prescription,
            mount=plan.mount,
            sensor="RW-1",
            recording="",
            day=TODAY,
            place=plan.place,
        )
        assert todays_plan(Home(tmp_path), logbook, "Ilka Brandt", TODAY) == replace(plan, cautions=plan.cautions)
        assert todays_plan(Home(tmp_path), logbook, "Ilka Brandt", TODAY, place=Place.CHEST).place is Place.CHEST
        assert todays_plan(Home(tmp_path), logbook, "Ilka Brandt", TODAY, mount=Mount.FIXED_BAR).place is None


def test_the_lean_of_the_trunk_may_be_judged_from_chest_and_upper_back_only() -> None:
    assert {place for place in Place if place.shows_lean} == {Place.CHEST, Place.UPPER_BACK}


def test_a_session_follows_the_trainees_own_file(tmp_path: Path) -> None:
    home = Home(tmp_path)
    own = replace(default_plan(), start="heels-raised", shoulder_history=True)
    home.plans.mkdir()
    home.plan("ilka brandt").write_text(plan_text(own, "Ilka Brandt"), encoding="utf-8")
    with Logbook.open(tmp_path / "logbook.db") as logbook:
        plan = todays_plan(home, logbook, "Ilka Brandt", TODAY)
        assert (plan.rung, plan.training) == ("heels-raised", own)
        assert plan.prescription.grip is Grip.NEUTRAL
        assert todays_plan(home, logbook, "Jonas Reiter", TODAY).training == default_plan()
        home.plan("ilka brandt").write_text("goal = 1", encoding="utf-8")
        with pytest.raises(PlanError, match="line 1, goal"):
            todays_plan(home, logbook, "Ilka Brandt", TODAY)
