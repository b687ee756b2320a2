"""A signal in braille dots: two columns and four rows a cell; pure."""

from __future__ import annotations

from collections.abc import Sequence

from tui.widgets.canvas import Canvas, Ink

ACROSS, DOWN = 2, 4
_DOTS = ((0x01, 0x02, 0x04, 0x40), (0x08, 0x10, 0x20, 0x80))
"""Bit of each dot, by column and by row from above (Unicode 16, block 2800)."""
_BETWEEN = tuple(
    tuple(tuple(sum(column[upper : lower + 1]) for lower in range(DOWN)) for upper in range(DOWN)) for column in _DOTS
)
"""Bits of the dots of a cell from an upper to a lower one, by column."""
_BLANK = 0x2800


def draw_signal(
    canvas: Canvas,
    columns: Sequence[tuple[float, float] | None],
    low: float,
    high: float,
    *,
    x: int,
    y: int,
    height: int,
) -> None:
    """Draw an envelope, a dot column each, from least to greatest; neighbours are joined.

    Parameters
    ----------
    columns
        Least and greatest value, `ACROSS` for each cell; None leaves a gap.
    low, high
        Values at the lowest and the highest dot.
    x, y, height
        Left and upper edge, and rows.
    """
    bits: dict[tuple[int, int], int] = {}
    before: tuple[int, int] | None = None
    for column, one in enumerate(columns):
        here = None if one is None else (_dot(one[1], low, high, height), _dot(one[0], low, high, height))
        if here is not None:
            upper, lower = _joined(here, before)
            across, bits_of = column // ACROSS, _BETWEEN[column % ACROSS]
            for row in range(upper // DOWN, lower // DOWN + 1):
                one_cell = bits_of[max(upper - row * DOWN, 0)][min(lower - row * DOWN, DOWN - 1)]
                bits[across, row] = bits.get((across, row), 0) | one_cell
        before = here
    for (cell_x, cell_y), dots in bits.items():
        canvas.put(x + cell_x, y + cell_y, chr(_BLANK + dots), Ink.HILL)


def _dot(value: float, low: float, high: float, height: int) -> int:
    """Return the row of dots of a value, 0 the highest."""
    last = height * DOWN - 1
    share = (value - low) / (high - low) if high > low else 0.5
    return last - round(min(1.0, max(0.0, share)) * last)


def _joined(here: tuple[int, int], before: tuple[int, int] | None) -> tuple[int, int]:
    """Let a column reach to the one before it, so that a steep signal stays one line."""
    upper, lower = here
    if before is None:
        return here
    if before[0] > lower:
        return upper, before[0] - 1
    return (before[1] + 1, lower) if before[1] < upper else here
