"""Hills: inside their box, true to time and height, and readable without colour."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.training.verdict import Outcome
from tui.session.messages import Hill
from tui.widgets.canvas import Canvas, Ink, plain
from tui.widgets.hill import LOW, draw, duration_s, fill, height_at, outline, silhouette

SECONDS = st.one_of(st.none(), st.floats(0.0, 20.0))
HILLS = st.builds(
    Hill,
    up_s=SECONDS,
    top_s=SECONDS,
    down_s=SECONDS,
    bottom_s=SECONDS,
    height=st.floats(0.0, 1.5),
    two_summits=st.booleans(),
    counted=st.booleans(),
    provisional=st.booleans(),
    outcome=st.sampled_from([None, *Outcome]),
)
PLAIN = Hill(up_s=1.0, top_s=2.0, down_s=3.0, bottom_s=1.0)


@given(hill=HILLS, target=st.one_of(st.none(), HILLS), width=st.integers(0, 80), height=st.integers(0, 20))
def test_a_hill_fills_exactly_its_box(hill: Hill, target: Hill | None, width: int, height: int) -> None:
    rows = plain(draw(hill, target, width, height))
    assert len(rows) == height
    assert {len(row) for row in rows} <= {width}


@given(hill=HILLS, left=st.integers(0, 5), width=st.integers(1, 30), height=st.integers(1, 8))
def test_nothing_is_drawn_beside_or_above_the_box(hill: Hill, left: int, width: int, height: int) -> None:
    canvas = Canvas(left + width + 5, height + 4)
    fill(canvas, hill, None, left, width, height + 1, height)
    outside = [
        canvas.at(x, y)
        for y in range(canvas.height)
        for x in range(canvas.width)
        if not (left <= x < left + width and 2 <= y <= height + 1)
    ]
    assert set(outside) == {(" ", Ink.BLANK)}


@given(up=st.integers(1, 9), top=st.integers(0, 9), down=st.integers(1, 9))
def test_each_phase_is_as_wide_as_its_time(up: int, top: int, down: int) -> None:
    """At ten cells a second the flanks and the top are countable in the lowest and highest row."""
    hill = Hill(up_s=up, top_s=top, down_s=down, bottom_s=0.0)
    height = 40
    rows = plain(draw(hill, None, 10 * (up + top + down), height))
    high = [column for column, char in enumerate(rows[0]) if char != " "]
    assert high[0] == pytest.approx(10 * up, abs=2)
    assert high[-1] == pytest.approx(10 * (up + top), abs=2)


@given(hill=HILLS, at_s=st.floats(0.0, 60.0))
def test_no_height_passes_the_hills_own(hill: Hill, at_s: float) -> None:
    most = min(1.0, hill.height if hill.counted else min(hill.height, LOW))
    assert 0.0 <= height_at(outline(hill), at_s)[0] <= most + 1e-9


def test_a_column_is_as_high_as_the_rep_at_its_middle() -> None:
    """One eighth of a cell is the finest step; a straight flank of ten columns over ten rows rises a row a column."""
    rows = plain(draw(Hill(up_s=1.0, top_s=0.0, down_s=1.0, bottom_s=0.0), None, 20, 10))
    heights = [sum(" ▁▂▃▄▅▆▇█".index(row[column]) for row in rows) / 8 for column in range(20)]
    for column in range(9):
        assert heights[column] == pytest.approx(column + 0.5, abs=1 / 16)
    assert heights == heights[::-1]
    assert max(heights) == 10


def test_a_hurried_lowering_is_a_steeper_right_flank() -> None:
    slow, quick = (duration_s(outline(replace(PLAIN, down_s=down_s, bottom_s=0.0))) for down_s in (3.0, 1.0))
    assert slow - quick == pytest.approx(2.0)


def test_the_target_stands_out_where_the_hold_is_short_and_hides_where_it_is_kept() -> None:
    short = draw(replace(PLAIN, top_s=0.5), PLAIN, 40, 6)
    kept = draw(PLAIN, PLAIN, 40, 6)
    assert "·" in plain(short)[0]
    assert not any("·" in row for row in plain(kept))


def test_the_target_shows_as_dots_in_a_hill_that_goes_beyond_it() -> None:
    rows = draw(replace(PLAIN, top_s=4.0, down_s=5.0), replace(PLAIN, height=0.5), 60, 10)
    inside = [text for row in rows for text, ink in row if ink is Ink.INSIDE]
    assert inside
    assert set("".join(inside)) == {"·"}


def test_a_partial_rep_stays_below_the_line_on_every_mount() -> None:
    rows = plain(draw(replace(PLAIN, counted=False, height=1.0), None, 40, 10))
    assert not any(row.strip() for row in rows[:4])
    assert rows[5].strip()


def test_an_unmeasured_phase_is_frayed_and_nothing_measured_is_a_gap() -> None:
    frayed = plain(draw(replace(PLAIN, down_s=None), PLAIN, 40, 6))
    assert "▒" in frayed[-1]
    assert "█" in frayed[-1]
    gap = plain(draw(Hill(up_s=None, top_s=None, down_s=None, bottom_s=None), None, 40, 6))
    assert not any(row.strip() for row in gap)


def test_an_unsure_rep_has_frayed_edges_and_a_sure_one_has_none() -> None:
    unsure = plain(draw(replace(PLAIN, outcome=Outcome.UNSURE), None, 40, 6))[-1].rstrip(" ▁")
    assert unsure.lstrip(" ▁")[0] in "▒░"
    assert unsure[-1] in "▒░"
    assert "▒" not in plain(draw(replace(PLAIN, outcome=Outcome.MET), None, 40, 6))[-1]


def test_a_provisional_rep_is_hollow_and_has_no_right_flank() -> None:
    rows = plain(draw(Hill(up_s=1.0, top_s=1.0, down_s=None, bottom_s=None, provisional=True), PLAIN, 60, 6))
    assert "█" not in "".join(rows)
    assert rows[0].rindex("░") == rows[-1].rindex("░")


def test_a_one_and_a_half_rep_has_two_summits() -> None:
    rows = plain(draw(replace(PLAIN, two_summits=True, top_s=1.0, bottom_s=0.0), None, 60, 12))
    summits = rows[1].split()
    assert len(summits) == 2
    assert len(rows[-1].split()) == 1


def test_the_silhouette_is_dotted_and_keeps_off_filled_cells() -> None:
    canvas = Canvas(30, 6)
    canvas.put(10, 5, "█", Ink.HILL)
    silhouette(canvas, PLAIN, 0, 4.0, 5, 6)
    assert canvas.at(10, 5) == ("█", Ink.HILL)
    assert {char for row in plain(canvas.rows()) for char in row} == {" ", "·", "█"}
