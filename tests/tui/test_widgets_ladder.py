"""The drawings of the ladder screen. What is expected was counted out by hand on squared paper, cell by cell."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from analysis.training.climb import Climb, Climbed
from analysis.training.ladder import Method
from analysis.training.verdict import Outcome
from tui.views.ladder_view import DayMark, DayView, RungView, Tread
from tui.widgets.calendar import draw_calendar
from tui.widgets.canvas import Ink, plain
from tui.widgets.climb_chart import draw_climb
from tui.widgets.rungs import draw_rungs
from tui.widgets.slope import draw_slope

RUNGS = (
    RungView(name="rows", tread=Tread.PASSED, steps=1),
    RungView(name="floor", tread=Tread.CLIMBED, steps=7),
    RungView(name="heels", tread=Tread.HERE, step=3, steps=8),
    RungView(name="pull-up", tread=Tread.AHEAD, steps=6),
)


def test_the_ladder_stands_on_the_ground_with_the_lowest_rung_at_the_bottom() -> None:
    assert [line.rstrip() for line in plain(draw_rungs(RUNGS, 27, 10))] == [
        " ┃        ┃",
        " ┣┄┄┄┄┄┄┄┄┫ pull-up",
        " ┃        ┃",
        " ┣━━●┄┄┄┄┄┫ heels",
        " ┃        ┃ step 3 of 8",
        " ┣━━━━━━━━┫ floor",
        " ┃        ┃ climbed",
        " ┣────────┫ rows",
        " ┃        ┃ begun above it",
        "▔▔▔▔▔▔▔▔▔▔▔",
    ]


@pytest.mark.parametrize(("step", "cell"), [(1, 0), (8, 7)])
def test_the_first_step_is_at_the_left_rail_and_the_last_one_at_the_right(step: int, cell: int) -> None:
    (line,) = [
        line
        for line in plain(draw_rungs((RungView(name="x", tread=Tread.HERE, step=step, steps=8),), 24, 8))
        if "●" in line
    ]
    assert line.index("●") - 2 == cell


def test_of_a_ladder_higher_than_the_box_the_present_rung_stays_in_view() -> None:
    many = [RungView(name=f"rung {n}", tread=Tread.CLIMBED if n < 20 else Tread.AHEAD, steps=4) for n in range(40)]
    many[20] = RungView(name="rung 20", tread=Tread.HERE, step=1, steps=4)
    lines = plain(draw_rungs(many, 24, 12))
    assert len(lines) == 12
    assert sum("┣" in line for line in lines) == 10
    assert any("rung 20" in line for line in lines)


def test_a_long_name_is_cut_and_nothing_is_drawn_into_no_room() -> None:
    long = RungView(name="a-rung-with-a-long-name", tread=Tread.AHEAD, steps=4)
    assert any(line.endswith("a-rung-with…") for line in plain(draw_rungs((long,), 24, 6)))
    assert plain(draw_rungs(RUNGS, 0, 1)) == ("",)


CLIMB = Climb(
    rung="floor",
    method=Method.OWN,
    of_rest=True,
    planned=(90.0, 80.0, 70.0),
    week=1.5,
    done=(Climbed(0.0, 90.0, 90.0, Outcome.MET), Climbed(1.0, 90.0, 120.0, Outcome.MISSED)),
)


def test_the_climb_shows_what_was_planned_asked_and_kept() -> None:
    # Three weeks in 12 cells after a gutter of 8; a row for each planned rest, one above and one below them.
    assert [line.rstrip() for line in plain(draw_climb(CLIMB, 20, 7))] == [
        "            ○",  # 120 s kept: beyond the plan, so on the row above it
        "90 s    ●━━━━━━",
        "            ····",
        "70 s            ····",
        "",
        "        ▔▔▔▔▔▔▲▔▔▔▔▔",
        "week    1   2   3",
    ]


def test_a_climb_that_outlasts_its_plan_goes_on_at_the_last_step() -> None:
    done = (Climbed(0.0, 1.0, 1.0, Outcome.MET),)
    late = Climb(rung="x", method=Method.OWN, of_rest=False, planned=(1.0, 2.0), week=5.2, done=done)
    lines = plain(draw_climb(late, 38, 7))
    assert lines[1].count("·") == 25  # weeks 2 to 6, five cells each; more is asked higher up
    assert lines[1].startswith("step 2")
    assert lines[3].startswith("step 1  ●━━━")
    assert plain(draw_climb(late, 5, 7)) == (" " * 5,) * 7


@pytest.mark.parametrize(
    ("slope", "margin", "line"),
    [
        # Zero is the ninth of 17 cells, the farther end seven cells from it: 0.5 of 1.5 is 2.3 cells, 1.0 is 4.7.
        (1.0, 0.5, "        ┊ ━━━●━━"),
        (-1.0, 0.5, " ━━●━━━ ┊"),
        (0.5, 1.0, "      ──┼─●─────"),
        (0.0, 0.0, "        ●"),
    ],
)
def test_a_trend_is_a_bar_against_zero(slope: float, margin: float, line: str) -> None:
    assert "".join(text for text, _ in draw_slope(slope, margin, 17)).rstrip() == line


def test_what_may_be_scatter_is_drawn_thin() -> None:
    assert any(ink is Ink.HILL and "━" in text for text, ink in draw_slope(1.0, 0.5, 17))
    assert not any(ink is Ink.HILL for _, ink in draw_slope(0.5, 1.0, 17))


def test_the_calendar_begins_today_and_tells_what_is_asked_on_which_day() -> None:
    first = date(2026, 3, 3)
    marks = {0: DayMark.DONE, 3: DayMark.NEXT, 7: DayMark.COMING}
    days = [
        DayView(first + timedelta(days=n), marks.get(n, DayMark.FREE), "3 × 15, rest 60 s" if n in (3, 7) else "")
        for n in range(14)
    ]
    assert [line.rstrip() for line in plain(draw_calendar(days, 42))] == [
        "Tue   Wed   Thu   Fri   Sat   Sun   Mon",
        " 3 ▟▙  4 ·   5 ·   6 ●   7 ·   8 ·   9 ·",
        "10 ○  11 ·  12 ·  13 ·  14 ·  15 ·  16 ·",
        "● Fri 06 Mar  3 × 15, rest 60 s",
        "○ Tue 10 Mar  3 × 15, rest 60 s",
    ]
