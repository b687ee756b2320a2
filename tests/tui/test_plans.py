"""Where on the body the sensor sits: said once, kept with the session, taken over by the next."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from uuid import uuid4

import pytest

from analysis.logbook.book import Logbook
from analysis.motion.mounts import Mount, Place
from tui.home import Home
from tui.plans import todays_plan

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
