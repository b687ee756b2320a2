"""The sensor before a set: what is said of it and why, on the board's own path, and how its line is drawn."""

from __future__ import annotations

from dataclasses import replace

import pytest
from board_told import Told, bout
from hypothesis import given
from hypothesis import strategies as st
from screen_feed import FELT, TOUCHED, snapshot

from analysis.motion.mounts import Mount
from analysis.motion.results import Why
from analysis.motion.touch import Felt
from analysis.training.records import SetRecord
from tui.session.messages import Stage
from tui.session.sensor_check import GOOD, STILL, sensor_check
from tui.widgets.canvas import plain
from tui.widgets.plan_panel import advice
from tui.widgets.trace import LEAST_M_S2, MOST_M_S2, draw_trace, swing

WALKED = Felt(steps_s=5)


def done(why: Why | None) -> SetRecord:
    told = Told()
    told.connect()
    told.do(replace(bout(0, 10.0), measured=why is None, why=why))
    return told.board.all_sets[-1]


@pytest.mark.parametrize(
    ("why", "words"),
    [
        (Why.SLIPPED, "Clip moved: fasten it tighter before the next set."),
        (Why.TOO_STIFF, "Bar too stiff here: move the clip 20 cm from the middle."),
        (Why.SWINGING, "The sensor was swinging: fasten it so that it cannot."),
    ],
)
def test_what_the_last_set_showed_of_the_clip_is_said_before_the_next(why: Why, words: str) -> None:
    check = sensor_check(Felt(), Mount.FIXED_BAR, done(why))
    assert (check.words, check.good) == (words, False)


@pytest.mark.parametrize("why", [None, Why.NO_SET, Why.GAP])
def test_what_is_no_fault_of_the_clip_is_not_said_of_it(why: Why | None) -> None:
    assert sensor_check(Felt(), Mount.FIXED_BAR, done(why)).words == GOOD


@pytest.mark.parametrize("mount", [Mount.FIXED_BAR, Mount.MOVING_BAR, Mount.SUSPENSION])
def test_steps_on_a_bar_or_strap_tell_that_it_is_worn(mount: Mount) -> None:
    check = sensor_check(WALKED, mount, None)
    assert check.words.startswith("Steps are felt")
    assert not check.good


@pytest.mark.parametrize("mount", [Mount.BODY, Mount.LIMB])
def test_whoever_wears_it_may_walk(mount: Mount) -> None:
    assert sensor_check(WALKED, mount, None).good


def test_a_few_steps_are_bumps_against_the_bar() -> None:
    assert sensor_check(Felt(steps_s=2), Mount.FIXED_BAR, None).good


def test_a_sensor_that_nothing_moves_asks_to_be_touched() -> None:
    assert sensor_check(Felt(still_s=20), Mount.BODY, None) == replace(FELT, trace_m_s2=(), words=STILL)


def test_it_is_said_while_ready_and_a_lost_sensor_comes_first() -> None:
    assert (FELT.words, "strong") in advice(snapshot(Stage.READY))
    assert all("touch" not in text for text, _ in advice(snapshot(Stage.SEARCHING, check=FELT)))


def test_a_touch_shows_as_a_swing_of_the_line_at_its_place() -> None:
    rows = plain(draw_trace(TOUCHED, 125, 2))
    assert [len(row) for row in rows] == [125, 125]
    dots = [sum((ord(row[x]) & 0xFF).bit_count() for row in rows if row[x] != " ") for x in range(125)]
    assert set(dots[:75]) == {4}  # two values a cell, each one dot on either side of the middle
    assert dots[76] > 8
    assert dots[76:] == sorted(dots[76:], reverse=True)


def test_a_short_past_stands_at_the_right() -> None:
    (row,) = plain(draw_trace((1.0,) * 4, 10, 1))
    assert row[:8] == " " * 8
    assert " " not in row[8:]


@given(st.lists(st.floats(0.0, 100.0), max_size=300), st.integers(0, 100), st.integers(0, 6))
def test_the_line_keeps_within_its_box(values: list[float], width: int, height: int) -> None:
    rows = plain(draw_trace(values, width, height))
    assert len(rows) == height
    assert all(len(row) == width for row in rows)


@given(st.floats(0.0, 100.0), st.floats(0.0, 100.0))
def test_a_stronger_touch_never_swings_less(one: float, other: float) -> None:
    assert (swing(one) <= swing(other)) == (one <= other) or swing(one) == swing(other)


def test_the_ends_of_the_scale() -> None:
    assert (swing(0.0), swing(LEAST_M_S2), swing(MOST_M_S2), swing(99.0)) == (0.0, 0.0, pytest.approx(1.0), 1.0)
