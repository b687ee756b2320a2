"""What holds in every half-year, whoever trains (`half_years`). The rules themselves: common practice, no source.

`python -m tests.analysis.training.test_half_years 5000` looks at more of them.
"""

from __future__ import annotations

import sys
from datetime import timedelta
from functools import cache
from itertools import pairwise

import pytest

from analysis.training.cautions import within_cap
from analysis.training.progression import next_session
from analysis.training.records import History, SessionRecord
from analysis.training.standing import met
from analysis.training.statements import Form, Pain, Question, Release
from tests.analysis.training.half_years import Told, half_year, harder

SEEDS = 100
BATCH = 50


@cache
def told_in(seed: int) -> tuple[Told, ...]:
    return tuple(half_year(seed))


@pytest.mark.parametrize("first", range(0, SEEDS, BATCH))
def test_every_half_year(first: int) -> None:
    for seed in range(first, first + BATCH):
        for told in told_in(seed):
            check(told, seed)


def check(told: Told, seed: int) -> None:
    said = told.said
    assert said.reasons, seed
    assert all(reason.rule and reason.text for reason in said.reasons), seed
    sessions = told.history.sessions
    assert (said.prescription is None) == (must_stop(told) or not told.plan.grips_allowed), (seed, said.reasons)
    if sessions:
        assert (said.due - sessions[-1].day).days > told.plan.days_between, seed
    if said.prescription is None:
        return
    assert 60 <= said.prescription.rest_s <= 180, seed
    if said.prescription.is_test:
        check_test(told, seed)
        return
    assert 3 <= said.prescription.sets <= 5, seed
    assert said.prescription.grip in told.plan.grips_on(told.plan.ladder.number(said.rung) or 0), seed
    check_cap(told, seed)
    steps = tuple(one for one in sessions if not one.prescription.is_test)
    if steps:  # a test moves nothing: what is asked next is measured by the session before it
        check_climb(told, steps, seed)
    if seed % 4:
        return
    shuffled = History(sessions[::-1], told.history.statements[::-1])
    assert next_session(shuffled, told.plan, told.today) == said, seed


def check_test(told: Told, seed: int) -> None:
    """A test stands where the plan wants one, beside nothing harder, and not in the weeks in which nothing may fail."""
    said, plan = told.said, told.plan
    assert said.prescription is not None
    assert plan.test_weeks is not None, seed
    assert said.reasons[0].rule == "test", seed
    steps = [one for one in told.history.sessions if not one.prescription.is_test]
    found = [name for name in harder(steps[-1], told) if name != "reps"]
    assert not found, (seed, found)
    assert met(steps[-1]), seed
    assert said.prescription.tempo == steps[-1].prescription.tempo, seed
    assert said.prescription.tempo.down_s < 2, seed
    assert not plan.high_blood_pressure, seed
    days = [one.day for one in told.history.sessions]
    assert (said.due - days[0]).days >= 14, seed
    tests = [one for one in told.history.sessions if one.prescription.is_test and one.rung == said.rung]
    assert not tests or (said.due - tests[-1].day).days >= 7 * plan.test_weeks, seed


def must_stop(told: Told) -> bool:
    """Tell from what was said alone, day by day, whether pain stops training."""
    stops: list[Pain] = []
    open_, needs_release = False, False
    last: Pain | None = None
    for one in sorted(told.history.statements, key=lambda said: said.said_utc_us):
        if isinstance(one, Release):
            open_ = False
        if not isinstance(one, Pain):
            continue
        if one.level > 5 or one.sharp:
            if not open_:
                again = bool(stops) and (one.day - stops[-1].day).days <= 28
                stops.append(one)
                needs_release = again
            open_, needs_release = True, needs_release or one.sharp
        elif open_ and one.level <= 3 and not needs_release and last is not None and one.day > last.day:
            open_ = False
        if one.level > 3 or one.sharp:
            last = one
    return open_


def check_cap(told: Told, seed: int) -> None:
    """In the first two weeks, and two weeks after 14 days off: at most 10 slow lowerings of at most 3 s."""
    days = [*(one.day for one in told.history.sessions), told.said.due]
    began = days[0]
    for before, after in pairwise(days):
        began = after if (after - before).days >= 14 else began
    assert told.said.prescription is not None
    position = told.plan.ladder.position(told.said.rung, told.said.prescription, told.said.method)
    assert position is not None
    if (told.said.due - began).days < 14:
        assert within_cap(told.plan.ladder.at(position)), seed


def check_climb(told: Told, sessions: tuple[SessionRecord, ...], seed: int) -> None:
    last, said = sessions[-1], told.said
    if said.reasons[0].rule == "placement":
        return  # the coach may ask for anything
    found = harder(last, told)
    assert len(found) <= 1, (seed, found, said.reasons)
    if said.reasons[0].rule in (
        "pain",
        "lay-off",
        "too hard",
        "skipped",
        "not met",
        "rest",
        "unsure",
        "not measurable",
    ):
        assert not found, (seed, found, said.reasons)
    if found == ["rung"]:
        size = min(told.plan.sessions_a_week, 2)
        week = sessions[-size:]
        assert all(met(one) and one.confirmed for one in week), seed
        assert all(answered(told, question) for question in Question), seed
    elif found:
        assert met(last) or said.reasons[0].rule == "stall", (seed, found)


def answered(told: Told, question: Question) -> bool:
    oldest = told.today - timedelta(days=14)
    said = [one for one in told.history.statements if isinstance(one, Form) and one.question is question]
    recent = [one for one in said if oldest <= one.day <= told.today]
    return bool(recent) and recent[-1].yes


def test_the_half_years_hold_all_that_is_to_be_looked_at() -> None:
    rules = {reason.rule for seed in range(SEEDS) for told in told_in(seed) for reason in told.said.reasons}
    beside = {"eccentric cap", "blood pressure", "grip", "days"}
    wanted = {"start", "pain", "lay-off", "too hard", "skipped", "stall", "not met", "rest", "unsure", "not measurable"}
    assert wanted | beside | {"week", "plateau", "test", "load", "gate", "step"} <= rules


if __name__ == "__main__":
    for number in range(int(sys.argv[1])):
        for each in half_year(number):
            check(each, number)
    print(f"{sys.argv[1]} half-years: all hold")  # noqa: T201
