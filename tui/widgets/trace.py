"""A live line that shows the sensor being touched, in braille: newest at the right; pure but for the widget."""

from __future__ import annotations

import math
from collections.abc import Sequence

from textual.reactive import reactive

from tui.widgets.canvas import Ink, Rows
from tui.widgets.drawing import Drawing

LEAST_M_S2, MOST_M_S2 = 0.05, 10.0
"""From no height to all of it, by the logarithm: the noise of a sensor at rest, and a knock of one g."""
_DOTS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
"""Bits of a braille cell, from the top, left and right (Unicode 15, chapter 21.1)."""


def swing(value_m_s2: float) -> float:
    """Return the share, 0 to 1, of the height that a departure of the force takes."""
    if value_m_s2 <= LEAST_M_S2:
        return 0.0
    return min(1.0, math.log(value_m_s2 / LEAST_M_S2) / math.log(MOST_M_S2 / LEAST_M_S2))


def draw_trace(values_m_s2: Sequence[float], width: int, height: int) -> Rows:
    """Draw the line: as thick as the force departs, about the middle; two values a cell."""
    shown = [swing(value) for value in values_m_s2[-2 * width :]] if width > 0 else []
    blank = [None] * (2 * width - len(shown))
    columns = [*blank, *shown]
    return tuple(
        (("".join(_cell(columns[2 * x : 2 * x + 2], y, height) for x in range(width)), Ink.HILL),)
        for y in range(height)
    )


def _cell(pair: Sequence[float | None], y: int, height: int) -> str:
    middle = 2 * height - 0.5
    bits = 0
    for dot in range(4):
        away = abs(4 * y + dot - middle)
        for side, share in enumerate(pair):
            if share is not None and away <= max(0.5, share * 2 * height):
                bits |= _DOTS[dot][side]
    return chr(0x2800 + bits) if bits else " "


class Trace(Drawing):
    """The line of a sensor between sets."""

    values_m_s2: reactive[tuple[float, ...]] = reactive(())

    def draw(self, width: int, height: int) -> Rows:
        """Return the line."""
        return draw_trace(self.values_m_s2, width, height)
