"""Who needs a look, and that tiles move only when that changes."""

from __future__ import annotations

from typing import Any

import pytest
from floor_feed import HILL, LINK, NOW

from tui.floor.needs import CALM_S, HANDS_OFF_S, Look, Need, Order, look_at
from tui.floor.seen import Sensor, now_of
from tui.floor.view import sensor_line
from tui.words.link_news import LOW_PERCENT

REST = {"stage": "rest", "rest_left_s": 30.0}
SHORT = [{"count": 6, "asked": 8, "outcome": "missed", "remark": ""}]


def look(here: bool = True, silent_s: float | None = None, **changed: Any) -> Look:
    return look_at(now_of({**NOW, **changed}), here=here, silent_s=silent_s)


@pytest.mark.parametrize(
    ("changed", "need", "words"),
    [
        ({}, Need.NONE, ""),
        ({"pain": 3}, Need.NONE, ""),  # up to 3 of 10 is acceptable (analysis.training.pain)
        ({"pain": 4}, Need.STOP, "pain 4"),
        ({"stop": "see a clinician", "ended": True}, Need.STOP, "stop: see a clinician"),
        ({"ended": True}, Need.FAILED, "ended early"),
        ({"hills": [HILL, {**HILL, "counted": False}]}, Need.FAILED, "failed attempt"),
        ({**REST, "closed": SHORT}, Need.FAILED, "6 of 8 reps"),
        ({"closed": SHORT}, Need.NONE, ""),
        ({"link": {**LINK, "state": "lost"}}, Need.LINK, "sensor lost"),
        ({"link": {**LINK, "state": "lent"}}, Need.NONE, ""),
        ({"stage": "searching", "link": {**LINK, "state": "searching", "sensor": ""}}, Need.NONE, ""),
        ({"stage": "done", "link": {**LINK, "state": "lost"}}, Need.NONE, ""),
        ({"hills": [{**HILL, "outcome": "missed"}], "cue": "fast down"}, Need.FORM, "fast down"),
        ({"hills": [{**HILL, "outcome": "missed"}, HILL]}, Need.FORM, "1 of 2 reps off"),
        ({**REST, "closed": [{**SHORT[0], "count": 8}]}, Need.FORM, "set missed"),
    ],
)
def test_why(changed: dict[str, Any], need: Need, words: str) -> None:
    assert look(**changed) == Look(need, words)


def test_a_station_that_went_or_fell_silent_is_looked_at_unless_it_was_done() -> None:
    assert look(here=False) == Look(Need.LINK, "station gone")
    assert look(silent_s=20.0) == Look(Need.LINK, "no word for 0:20")
    assert look(here=False, stage="done") == Look(Need.AWAY)
    assert look(here=False, stage="done", pain=6) == Look(Need.STOP, "pain 6")
    assert look_at(None, here=False, silent_s=None) == Look(Need.AWAY)
    assert look_at(None, here=True, silent_s=None) == Look(Need.NONE)


def test_tiles_stand_by_need_then_name() -> None:
    needs = {
        "rack-2": Need.NONE,
        "rack-10": Need.AWAY,
        "rack-12": Need.NONE,
        "rack-1": Need.NONE,
        "rack-3": Need.FORM,
        "rack-4": Need.STOP,
    }
    assert Order().settle(needs, 0.0) == ("rack-4", "rack-3", "rack-1", "rack-2", "rack-12", "rack-10")


def test_what_is_more_urgent_moves_at_once_and_back_only_after_a_while() -> None:
    order, calm = Order(), {"a": Need.NONE, "b": Need.NONE}
    assert order.settle(calm, 0.0) == ("a", "b")
    assert order.settle({**calm, "b": Need.LINK}, 1.0) == ("b", "a")
    assert order.settle(calm, 2.0) == ("b", "a")
    assert order.settle({**calm, "b": Need.LINK}, 4.0) == ("b", "a")  # it flaps: the while begins anew
    assert order.settle(calm, 5.0) == ("b", "a")
    assert order.settle(calm, 5.0 + CALM_S - 0.1) == ("b", "a")
    assert order.settle(calm, 5.0 + CALM_S) == ("a", "b")


def test_nothing_moves_under_the_keys_but_who_comes_is_shown() -> None:
    order, calm = Order(), {"a": Need.NONE, "b": Need.NONE}
    order.settle(calm, 0.0)
    urgent = {**calm, "b": Need.STOP}
    assert order.settle(urgent, 1.0, key_s=0.5) == ("a", "b")
    assert order.settle({**urgent, "c": Need.NONE}, 1.1, key_s=0.5) == ("b", "a", "c")
    assert order.settle(urgent, 0.5 + HANDS_OFF_S + 1, key_s=0.5) == ("b", "a")


@pytest.mark.parametrize(
    ("battery", "told"),
    [(None, ""), (LOW_PERCENT + 1, ""), (LOW_PERCENT, f", battery {LOW_PERCENT} %")],
)
def test_a_battery_is_told_to_the_coach_as_low_as_to_the_trainee(battery: int | None, told: str) -> None:
    sensor = Sensor(state="connected", name="clip-07", battery=battery, loss=0.0, missing_s=0.0, lost_s=0.0)
    assert sensor_line(sensor) == f"sensor good{told}"
