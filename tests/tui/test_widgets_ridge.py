"""Ridges: the whole set, in order, newest right, proportional to time."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from screen_feed import FULL, HILLS, TARGET, hill, set_verdict, short_hold

from analysis.motion.events import Phase
from analysis.training.verdict import Outcome
from tui.session.messages import Hill
from tui.widgets.canvas import Ink, plain
from tui.widgets.labels import set_marks
from tui.widgets.ridge import LEAST_CELLS, RidgeView, draw_ridge, sign_of, widths
from tui.widgets.small_ridges import shared, small_ridges

TIMES = st.lists(st.floats(0.1, 6.0), max_size=40)


def of_times(times_s: list[float]) -> tuple[Hill, ...]:
    return tuple(Hill(up_s=s, top_s=s, down_s=s, bottom_s=0.2) for s in times_s)


@given(times_s=TIMES, planned=st.integers(0, 40), width=st.integers(0, 130), height=st.integers(0, 14))
def test_a_ridge_fills_exactly_its_box(times_s: list[float], planned: int, width: int, height: int) -> None:
    rows = plain(draw_ridge(RidgeView(hills=of_times(times_s), target=TARGET, planned=planned), width, height))
    assert len(rows) == height
    assert {len(row) for row in rows} <= {width}


@given(times_s=TIMES, cells_per_s=st.floats(1.0, 8.0))
def test_widths_are_proportional_to_time_and_errors_do_not_add_up(times_s: list[float], cells_per_s: float) -> None:
    hills = of_times(times_s)
    cells = widths(hills, TARGET, cells_per_s, least=0)
    exact = [(3 * s + 0.2) * cells_per_s for s in times_s]
    assert all(abs(one - wanted) <= 1.0 for one, wanted in zip(cells, exact, strict=True))
    assert abs(sum(cells) - sum(exact)) <= 0.5 + 1e-6


@pytest.mark.parametrize("width", [60, 78, 118])
def test_every_rep_of_an_ordinary_set_has_its_own_hill(width: int) -> None:
    rows = plain(draw_ridge(RidgeView(hills=FULL, target=TARGET), width, 6))
    assert len(rows[3].split()) == len(FULL)


def test_reps_to_come_stand_as_silhouettes_and_vanish_one_by_one() -> None:
    dots = [
        sum(row.count("·") for row in plain(draw_ridge(RidgeView(hills=FULL[:n], target=TARGET, planned=10), 118, 10)))
        for n in (0, 5, 10)
    ]
    assert dots[0] > dots[1] > dots[2]


def test_a_set_too_long_for_the_screen_leaves_at_the_left() -> None:
    times = of_times([0.4] * 60)
    last = replace(times[-1], outcome=Outcome.MISSED)
    rows = plain(draw_ridge(RidgeView(hills=(*times[:-1], last), target=TARGET), 40, 6))
    assert rows[-1].rstrip().endswith("×")
    assert len(rows[-1].rstrip()) > 40 - 2 * LEAST_CELLS


def test_a_partial_rep_does_not_take_one_of_those_to_come() -> None:
    partial = replace(hill(0), counted=False)
    assert RidgeView(hills=(partial,), target=TARGET, planned=10).to_come == 10
    assert RidgeView(hills=(hill(0),), target=TARGET, planned=10).to_come == 9


def test_words_stand_under_their_reps_and_do_not_run_into_each_other() -> None:
    plain_reps = tuple(hill(index) for index in range(10))
    view = RidgeView(hills=plain_reps, target=TARGET, marks=("early word",) * 10)
    marks = plain(draw_ridge(view, 78, 6))[-1]
    assert marks.count("early word") >= 3
    assert "early wordearly" not in marks


def test_no_word_hides_the_sign_of_another_rep() -> None:
    hills = tuple(short_hold(index) for index in range(10))
    marks = plain(draw_ridge(RidgeView(hills=hills, target=TARGET, marks=("short top",) * 10), 78, 6))[-1]
    assert marks.count("×") + marks.count("short top") == 10


def test_a_mark_that_has_no_room_becomes_a_sign() -> None:
    hills = (short_hold(0), short_hold(1), hill(2), short_hold(3))
    view = RidgeView(hills=hills, target=TARGET, marks=("short top",) * 4, planned=10)
    marks = plain(draw_ridge(view, 60, 6))[-1].split()
    assert marks == ["×", "×", "short", "top"]


def test_each_outcome_has_its_own_sign() -> None:
    signs = {sign_of(replace(hill(0), outcome=outcome)) for outcome in Outcome}
    assert len(signs) == len(Outcome)
    assert sign_of(replace(hill(0), counted=False)) == "½"


def test_the_marks_say_what_was_missed_once_a_run() -> None:
    hills = (hill(0), short_hold(1), short_hold(2), hill(3), short_hold(4))
    assert set_marks(set_verdict(hills)) == ("", "short top", "", "", "short top")


@pytest.mark.parametrize(("phase", "phase_s"), [(Phase.UP, 0.5), (Phase.TOP, 0.5), (Phase.DOWN, 1.0)])
def test_the_dot_walks_from_left_to_right_through_the_rep(phase: Phase, phase_s: float) -> None:
    places = []
    for elapsed_s in (0.0, phase_s, 99.0):
        rows = draw_ridge(RidgeView(hills=HILLS, target=TARGET, planned=10, phase=phase, phase_s=elapsed_s), 118, 8)
        walkers = [(y, row.index("●")) for y, row in enumerate(plain(rows)) if "●" in row]
        assert len(walkers) == 1
        places.append(walkers[0][1])
    assert places == sorted(places)
    assert any(ink is Ink.WALKER for row in rows for _, ink in row)


def test_nobody_walks_between_reps() -> None:
    rows = plain(draw_ridge(RidgeView(hills=HILLS, target=TARGET, planned=10, phase=Phase.BOTTOM), 118, 8))
    assert not any("●" in row for row in rows)


def test_the_hold_of_a_provisional_rep_grows() -> None:
    last = Hill(up_s=1.0, top_s=None, down_s=None, bottom_s=None, provisional=True)
    wide = []
    for phase_s in (0.2, 2.0):
        view = RidgeView(hills=(last,), target=TARGET, planned=3, phase=Phase.TOP, phase_s=phase_s)
        wide.append(plain(draw_ridge(view, 78, 6))[4].count("░"))
    assert wide[0] < wide[1]


@pytest.mark.parametrize(("width", "each"), [(140, 4), (80, 2), (40, 1)])
def test_a_session_in_one_line_keeps_a_place_for_every_rep(width: int, each: int) -> None:
    line = "".join(run for run, _ in small_ridges([(FULL, TARGET)] * 3, width))
    assert len(line) == width
    assert len([part for part in line.split("   ") if part.strip()]) == 3
    assert len(line.rstrip()) >= each * 30


@given(times_s=st.lists(TIMES, max_size=4), width=st.integers(0, 130))
def test_a_session_in_one_line_fills_its_box(times_s: list[list[float]], width: int) -> None:
    line = "".join(text for text, _ in small_ridges([(of_times(one), TARGET) for one in times_s], width))
    assert len(line) == width


def test_of_more_reps_than_cells_neighbours_share_a_bar_as_high_as_the_lower_one() -> None:
    # Two sets of six with three cells between them: into eleven cells go four each, so two reps share one.
    low = replace(TARGET, height=0.5)
    sets = [((TARGET,) * 5 + (low,), TARGET), ((TARGET,) * 6, TARGET)]
    assert [shared(sets, width) for width in (15, 14, 9, 8, 5)] == [1, 2, 2, 3, 6]
    line = "".join(text for text, _ in small_ridges(sets, 11))
    assert line == "██▄   ███  "
    alone = "".join(text for text, _ in small_ridges(sets[1:], 11, share=2))
    assert alone == "███        "  # drawn beside the others, to their scale
    assert shared([], 5) == 1
