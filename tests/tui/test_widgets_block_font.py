"""The block font: every sign apart from every other, crisp, as large as the box allows."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tui.widgets.block_digits import draw_block
from tui.widgets.block_font import SMALL, TALL, Face, block_rows, enlarged, fit
from tui.widgets.canvas import plain

DIGITS = "0123456789"


@pytest.mark.parametrize(("face", "scale"), [(SMALL, 1), (SMALL, 2), (SMALL, 3), (TALL, 3), (TALL, 4)])
def test_every_two_digits_differ_in_a_twentieth_of_their_pixels(face: Face, scale: int) -> None:
    for one, other in combinations(DIGITS, 2):
        pixels = [sum(enlarged(face, char, scale), ()) for char in (one, other)]
        differing = sum(a != b for a, b in zip(*pixels, strict=True))
        assert differing >= len(pixels[0]) / 20, f"{one} and {other} look alike"


@pytest.mark.parametrize(("face", "scale"), [(SMALL, 1), (SMALL, 2), (TALL, 3)])
def test_every_two_glyphs_differ(face: Face, scale: int) -> None:
    drawn = {char: enlarged(face, char, scale) for char in face.glyphs}
    assert all(drawn[one] != drawn[other] for one, other in combinations(drawn, 2))


def test_every_digit_is_as_wide_as_any_other() -> None:
    # The count must not jump sideways from rep to rep.
    for face in (SMALL, TALL):
        assert len({face.width(digit, 3) for digit in DIGITS}) == 1


@pytest.mark.parametrize(("height", "ink_rows"), [(3, 3), (5, 5), (8, 8), (11, 11), (14, 14), (18, 18)])
def test_a_digit_fills_the_heights_it_is_meant_for(height: int, ink_rows: int) -> None:
    rows = plain(draw_block("8", 60, height))
    assert len([row for row in rows if row.strip()]) == ink_rows


@given(text=st.text(alphabet="0123456789 ABCDEFGHIJKLMNOPQRSTUVWXYZ+-×.,:/?'", min_size=1), scale=st.integers(1, 6))
def test_a_line_has_the_size_that_was_foretold(text: str, scale: int) -> None:
    rows = block_rows(text, SMALL, scale)
    assert len(rows) == SMALL.height(scale)
    assert {len(row) for row in rows} == {SMALL.width(text, scale)}


@given(text=st.text(min_size=1, max_size=12), width=st.integers(0, 130), height=st.integers(0, 30))
def test_what_fits_fits(text: str, width: int, height: int) -> None:
    chosen = fit(text, width, height)
    if chosen is not None:
        face, scale = chosen
        assert face.width(text, scale) <= width
        assert face.height(scale) <= height


def test_the_plain_word_is_shown_where_no_block_letter_fits() -> None:
    assert plain(draw_block("HOLD THE TOP", 20, 3)) == ("HOLD THE TOP        ",)
    assert plain(draw_block("HOLD THE TOP", 8, 3)) == ("HOLD TH…",)


def test_a_provisional_number_has_less_than_two_thirds_of_the_ink() -> None:
    solid, striped = (
        sum(char == "█" for row in plain(draw_block("8", 40, 11, striped=mode)) for char in row)
        for mode in (False, True)
    )
    assert striped < solid / 1.5
    assert plain(draw_block("8", 40, 11, striped=True)) != plain(draw_block("8", 40, 11))


def test_a_provisional_number_too_small_for_stripes_says_so_with_a_sign() -> None:
    assert plain(draw_block("8", 40, 3, striped=True)) == plain(draw_block("+8", 40, 3))
