"""Pain: what stops, what reopens, what stays as it is. The scale: 0–3, 4–5, above 5 (Silbernagel et al. 2007, as quoted
in secondary pages, for the Achilles). What follows from it for the plan is common practice, no source."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

import pytest

from analysis.training.ladder import Position
from analysis.training.plan import default_plan
from analysis.training.prescription import Grip
from analysis.training.progression import NextSession, next_session
from analysis.training.records import History, SessionRecord
from analysis.training.statements import Pain, Placement, Release, Role, Signs, Statement
from tests.analysis.training.builders import make_session, utc_us

PLAN = default_plan()
MONDAY = date(2026, 3, 2)
HEELS = Position(2, 3)


def on(days: int) -> date:
    return MONDAY + timedelta(days=days)


def pain(days: int, now: int, worst: int | None = None, *, sharp: bool = False, hour: int = 17) -> Pain:
    return Pain(said_utc_us=utc_us(on(days), hour), day=on(days), now=now, worst=worst, sharp=sharp, where="elbow")


def release(days: int, role: Role = Role.COACH) -> Release:
    return Release(said_utc_us=utc_us(on(days), 12), day=on(days), role=role, by="Ada Brunn")


def train(*days: int, at: Position = HEELS) -> list[SessionRecord]:
    return [make_session(on(one), PLAN.ladder, at) for one in days]


def ask(sessions: Sequence[SessionRecord], said: Sequence[Statement], days: int) -> NextSession:
    return next_session(History(tuple(sessions), tuple(said)), PLAN, on(days))


@pytest.mark.parametrize(("now", "worst", "stops"), [(6, None, True), (0, 6, True), (5, 5, False), (3, 3, False)])
def test_above_five_now_or_since_the_last_session_stops(now: int, worst: int | None, *, stops: bool) -> None:
    said = ask(train(0, 3), [pain(7, now, worst)], 7)
    assert (said.prescription is None) is stops
    assert (said.reasons[0].rule == "pain") is (max(now, worst or 0) > 3)
    if stops:
        assert said.reasons[0].text.startswith("No session: pain 6 of 10 on Mon 9 March 2026.")
        assert "coach" in said.reasons[0].text
        assert "clinician" in said.reasons[0].text


def test_a_stop_holds_until_pain_is_three_or_less_and_settled_overnight_then_one_rung_back() -> None:
    sessions, stop = train(0, 3), pain(4, 7)
    assert ask(sessions, [stop], 5).prescription is None
    assert ask(sessions, [stop, pain(4, 2, hour=22)], 5).prescription is None  # not overnight
    assert ask(sessions, [stop, pain(5, 2, worst=4)], 5).prescription is None  # worse than acceptable since
    back = ask(sessions, [stop, pain(5, 4), pain(6, 2, worst=3)], 7)
    assert (back.rung, back.step, back.reasons[0].rule) == ("feet-on-floor", 1, "pain")
    assert "After the stop of Fri 6 March 2026, one rung back" in back.reasons[0].text
    afterwards = [*sessions, *train(7, at=Position(1, 0))]
    assert ask(afterwards, [stop, pain(5, 4), pain(6, 2, worst=3)], 10).reasons[0].rule == "week"


def test_a_sharp_pain_or_a_second_stop_reopens_only_by_a_release() -> None:
    sessions = train(0, 3)
    settled = [pain(5, 1, 1), pain(9, 0, 0), pain(20, 0, 0)]
    sharp = [pain(4, 2, sharp=True), *settled]
    assert ask(sessions, sharp, 21).prescription is None
    assert "release" in ask(sessions, sharp, 21).reasons[0].text
    assert ask(sessions, [*sharp, release(21)], 21).rung == "feet-on-floor"
    again = [pain(4, 6), pain(5, 1, 1), pain(30, 6), pain(31, 0, 0)]
    assert ask(sessions, again, 32).prescription is None
    assert ask(sessions, [*again, release(32)], 32).prescription is not None
    later = [pain(4, 6), pain(5, 1, 1), pain(33, 6), pain(34, 0, 0)]
    assert ask(sessions, later, 34).prescription is not None  # 29 days after: a first stop again


def test_four_or_five_makes_nothing_harder_and_twice_running_is_an_easier_rung_and_grip() -> None:
    sessions = train(0, 3)
    once = ask(sessions, [pain(3, 4, hour=20)], 7)
    assert (once.rung, once.step, once.reasons[0].rule) == ("heels-raised", 4, "pain")
    assert "nothing harder" in once.reasons[0].text
    twice = ask(sessions, [pain(0, 5, hour=20), pain(3, 4, hour=20)], 7)
    assert (twice.rung, twice.step) == ("feet-on-floor", 1)
    assert twice.prescription is not None
    assert twice.prescription.grip.hardness < Grip.PRONATED.hardness
    assert "an easier rung, and the supinated grip" in twice.reasons[0].text
    calm = ask(sessions, [pain(0, 5, hour=20), pain(3, 3, hour=20)], 7)
    assert (calm.rung, calm.step) == ("heels-raised", 5)


def test_pain_twice_running_calls_nothing_easier_that_stays_as_it_is() -> None:
    plan = replace(PLAN, grips=(Grip.NEUTRAL,))
    lowest = [make_session(on(one), plan.ladder, Position(0, 0), grip=Grip.NEUTRAL) for one in (0, 3)]
    said = [pain(0, 4, hour=20), pain(3, 4, hour=20)]
    again = next_session(History(tuple(lowest), tuple(said)), plan, on(7))
    assert (again.rung, again.step) == ("inverted-row", 1)
    text = again.reasons[0].text
    assert "no rung is easier" in text
    assert "the same grip" in text
    assert "an easier rung" not in text
    assert again.prescription is not None
    assert again.prescription.grip is Grip.NEUTRAL


def test_with_pain_of_four_neither_a_lay_off_nor_a_placement_makes_harder() -> None:
    long_ago = ask(train(0, 3), [pain(20, 4)], 20)
    assert (long_ago.rung, long_ago.reasons[0].rule) == ("feet-on-floor", "pain")
    up = Placement(said_utc_us=utc_us(on(6)), day=on(6), rung="pull-up", by="Ada Brunn")
    assert ask(train(0, 3), [pain(6, 4, hour=8), up], 7).rung == "heels-raised"


def test_warning_signs_stop_until_a_clinician_says_so() -> None:
    # Nye et al. 2021, CSMR 20:169: dark urine, swelling, weakness out of proportion
    signs = Signs(said_utc_us=utc_us(on(4)), day=on(4), any=True)
    clear = Signs(said_utc_us=utc_us(on(5)), day=on(5), any=False)
    said = ask(train(0, 3), [signs, clear, release(6, Role.COACH)], 7)
    assert said.prescription is None
    assert "Seek medical care now" in said.reasons[0].text
    assert ask(train(0, 3), [signs, release(6, Role.CLINICIAN)], 7).prescription is not None
    assert ask(train(0, 3), [clear], 7).prescription is not None


def test_pain_before_the_first_session_stops_it_too() -> None:
    assert ask([], [pain(0, 8)], 0).prescription is None
    assert ask([], [pain(0, 8), pain(1, 1, 2)], 1).rung == "feet-on-floor"
