"""What a replay draws; every expectation follows from where the made-up reps are."""

from __future__ import annotations

from dataclasses import replace

import pytest
from retrace_feed import FIRST_S, REP_S, SECOND_S, seen_rep, seen_set, signals, view

from analysis.motion.events import Phase
from tui.retrace import place as moves
from tui.retrace.live import Live
from tui.retrace.skyline import skyline
from tui.retrace.view import Fault, RetraceView
from tui.widgets.braille import draw_signal
from tui.widgets.canvas import Canvas, plain
from tui.widgets.retrace import RetracePicture, draw_retrace, heights, sight_columns
from tui.widgets.retrace_ridge import draw_ground, draw_hills, rest_words
from tui.widgets.retrace_rows import draw_live, draw_refined
from tui.widgets.retrace_scale import Scale
from tui.widgets.retrace_traces import draw_edges
from tui.widgets.retrace_words import exact_clock, live_words, phase_at, place_words

VIEW = view()
EDGE = skyline(tuple(VIEW.reps), VIEW.target)


def test_dots_are_where_unicode_has_them() -> None:
    """Unicode 16, block 2800: dots 1-3 and 7 on the left from above, 4-6 and 8 on the right."""
    canvas = Canvas(2, 1)
    draw_signal(canvas, [(3.0, 3.0), (2.0, 2.0), (0.0, 3.0), None], 0.0, 3.0, x=0, y=0, height=1)
    assert plain(canvas.rows()) == ("⠑⡇",)


def test_a_steep_signal_stays_one_line() -> None:
    canvas = Canvas(1, 2)
    draw_signal(canvas, [(0.0, 0.0), (7.0, 7.0)], 0.0, 7.0, x=0, y=0, height=2)
    assert plain(canvas.rows()) == ("⢸", "⡸")


def test_a_scale_puts_moments_into_columns() -> None:
    scale = Scale(10.0, 20.0, 40, 5)
    assert (scale.column(10.0), scale.column(15.0), scale.kept(99.0), scale.kept(0.0)) == (5, 25, 44, 5)
    assert list(scale.columns(11.0, 11.1)) == [9]
    assert list(scale.columns(19.5, 30.0)) == [43, 44]
    assert not list(scale.columns(20.0, 30.0))


def test_hills_stand_where_the_reps_were() -> None:
    canvas = Canvas(80, 3)
    draw_hills(canvas, VIEW, EDGE, Scale(FIRST_S, FIRST_S + 4 * REP_S, 80), 2, 3)
    for index in range(4):
        top = FIRST_S + index * REP_S + 1.5
        column = Scale(FIRST_S, FIRST_S + 4 * REP_S, 80).column(top)
        assert canvas.at(column, 0)[0] == "█", index


def test_from_far_the_ridge_is_as_high_as_the_highest_rep_of_each_column() -> None:
    """Closed form: in columns of 5 s every one with a summit, 1 s long and whole, is full, and rests are empty."""
    levels = EDGE.levels(0.0, 100.0, 20)
    tops = [rep.start_s + 1.5 for rep in VIEW.reps]
    assert [levels[int(top / 5)] for top in tops] == pytest.approx([1.0] * len(tops))
    assert levels[6:12] == (0.0,) * 6


def test_a_rest_is_as_wide_as_it_was_long_and_named() -> None:
    canvas = Canvas(100, 1)
    draw_ground(canvas, VIEW, Scale(0.0, 100.0, 100), 0, ())
    (row,) = plain(canvas.rows())
    assert "▁ 34 s ▁" in row  # the first set ends after 3 × 4.5 + 2.8 s
    assert 27 < row.index("34 s") < 60
    assert rest_words(182.0) == "3:02"


def test_a_gap_is_a_gap() -> None:
    canvas = Canvas(100, 1)
    draw_ground(canvas, VIEW, Scale(0.0, 100.0, 100), 0, (Fault(70.0, 75.0, ""),))
    (row,) = plain(canvas.rows())
    assert row[70:75] == " " * 5
    assert row[69] == row[75] == "▁"


@pytest.mark.parametrize(("sd_s", "signs"), [(0.01, "│"), (0.04, "╎"), (0.2, "░"), (None, "?┊")])
def test_a_boundary_frays_with_its_sigma(sd_s: float | None, signs: str) -> None:
    """At ten cells a second one sigma of 0.01 s is a tenth of a cell, 0.2 s are two on either side."""
    rep = seen_rep(1, 2.0, sd_s=sd_s)
    one = replace(seen_set("1", 2.0, 2), reps=(rep,))
    canvas = Canvas(80, 3)
    draw_edges(canvas, view(sets=(one,)), Scale(0.0, 8.0, 80), range(3))
    drawn = "".join(plain(canvas.rows()))
    assert all(sign in drawn for sign in signs)
    assert drawn.count("░") == (16 - 4) * 3 if sd_s == 0.2 else "░" not in drawn


def test_boundaries_too_close_to_be_told_apart_are_left_out() -> None:
    canvas = Canvas(40, 1)
    draw_edges(canvas, VIEW, Scale(0.0, 100.0, 40), range(1))
    assert plain(canvas.rows())[0].strip() == ""


def test_live_and_refined_rows_number_the_reps() -> None:
    scale = Scale(FIRST_S, 36.0, 104)
    canvas = Canvas(104, 2)
    draw_live(canvas, VIEW.live, 100.0, scale, 0)
    draw_refined(canvas, VIEW, scale, 1)
    live, refined = plain(canvas.rows())
    assert [sign for sign in live if sign in "1234×"] == ["1", "2", "3", "4", "×"]
    assert [sign for sign in refined if sign in "1234×"] == ["1", "2", "3", "4"]
    assert refined.startswith("╱╱╱╱▔▔▔1╲╲╲╲")


def test_the_inside_of_a_one_and_a_half_rep_is_no_top_hold() -> None:
    """At the top for .5 s of the 1 s until the last lowering begins: the rest is down and up again."""
    plain_rep = seen_rep(1, 0.0)
    halved = replace(plain_rep, hill=replace(plain_rep.hill, two_summits=True, top_s=0.5))
    begins = {edge.phase: edge.at_s for edge in halved.edges}
    assert halved.half_way_s == (begins[Phase.TOP] + 0.5, begins[Phase.DOWN])
    assert plain_rep.half_way_s is None
    canvas = Canvas(80, 1)
    one = replace(seen_set("1", 0.0, 1), reps=(halved,))
    draw_refined(canvas, view(sets=(one,)), Scale(0.0, 8.0, 80), 0)
    row = plain(canvas.rows())[0]
    assert row.index("▔") < row.index("∨") < row.index("╲")
    inside_s = begins[Phase.DOWN] - 0.1
    assert (phase_at(plain_rep, inside_s), phase_at(halved, inside_s)) == ("top", "half-way down and up")


def test_from_far_each_rep_is_one_sign() -> None:
    canvas = Canvas(60, 1)
    draw_refined(canvas, VIEW, Scale(0.0, 200.0, 60), 0)
    assert set(plain(canvas.rows())[0]) == {" ", "▪"}


@pytest.mark.parametrize(
    ("at_s", "words"),
    [
        (2.0, "0:02.0 of 1:40 · before the first set"),
        (FIRST_S + 1.5, "0:11.5 of 1:40 · set 1 · rep 1 · top"),
        (FIRST_S + REP_S + 3.0, "0:17.5 of 1:40 · set 1 · rep 2 · down"),
        (50.0, "0:50.0 of 1:40 · after set 1"),
    ],
)
def test_where_it_is_in_words(at_s: float, words: str) -> None:
    assert place_words(VIEW, moves.moved_to(moves.opened(VIEW), VIEW, at_s)) == words


def test_a_session_of_hours_says_them() -> None:
    assert exact_clock(3723.44) == "1:02:03.4"


@pytest.mark.parametrize(
    ("at_s", "words"),
    [
        (FIRST_S + 1.0, "live: later counted as 1, 0.4 s after its end; refined by 0.1 s"),
        (SECOND_S + 4 * REP_S + 1.0, "live: not seen; found once the set was seen whole"),
        (31.0, "live: later 5 was taken back, it never came down; seen whole, no rep"),
        (34.3, "live: 5 was taken back, it never came down; seen whole, no rep"),
        (FIRST_S + 1.5, "live: top told, later counted as 1, 0.4 s after its end; refined by 0.1 s"),
        (FIRST_S + 4.4, "live: counted as 1, 0.4 s after its end; refined by 0.1 s"),
        (50.0, ""),
    ],
)
def test_why_it_was_counted(at_s: float, words: str) -> None:
    assert live_words(VIEW, at_s) == words


@pytest.mark.parametrize("height", range(18, 62))
def test_the_parts_fill_the_screen_and_no_more(height: int) -> None:
    place = moves.opened(VIEW)
    picture = RetracePicture(VIEW, EDGE, place, signals().sight(0.0, 100.0, sight_columns(80)))
    rows = draw_retrace(picture, 80, height)
    assert len(rows) == height
    assert all(len(row) == 80 for row in plain(rows))
    shared = heights(height)
    assert min(shared.hills, shared.position, shared.acceleration) >= 2 if height >= 23 else True


@pytest.mark.parametrize(
    "odd",
    [view(sets=(), live=Live(), notes=()), view(sets=(), target=None, end_s=1.0, live=Live(), faults=(), notes=())],
    ids=["nothing counted", "one second"],
)
def test_whatever_there_is_can_be_drawn(odd: RetraceView) -> None:
    edge = skyline(tuple(odd.reps), odd.target)
    for width in (0, 1, 13, 14, 80):
        for height in (0, 1, 5, 24):
            draw_retrace(RetracePicture(odd, edge, moves.opened(odd), None), width, height)
