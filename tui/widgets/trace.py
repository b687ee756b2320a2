"""A live line that shows the sensor being touched, in braille: newest at the right; pure but for the widget."""

from __future__ import annotations

import math
from collections.abc import Sequence

from textual.reactive import reactive

from tui.widgets.braille import ACROSS, draw_signal
from tui.widgets.canvas import Canvas, Rows
from tui.widgets.drawing import Drawing

LEAST_M_S2, MOST_M_S2 = 0.05, 10.0
"""From no height to all of it, by the logarithm: the noise of a sensor at rest, and a knock of one g."""


def swing(value_m_s2: float) -> float:
    """Return the share, 0 to 1, of the height that a departure of the force takes."""
    if value_m_s2 <= LEAST_M_S2:
        return 0.0
    return min(1.0, math.log(value_m_s2 / LEAST_M_S2) / math.log(MOST_M_S2 / LEAST_M_S2))


def draw_trace(values_m_s2: Sequence[float], width: int, height: int) -> Rows:
    """Draw the line: as thick as the force departs, about the middle; two values a cell."""
    shown = [swing(value) for value in values_m_s2[-ACROSS * width :]] if width > 0 else []
    canvas = Canvas(width, height)
    columns = [None] * (ACROSS * canvas.width - len(shown)) + [(-share, share) for share in shown]
    draw_signal(canvas, columns, -1.0, 1.0, x=0, y=0, height=canvas.height)
    return canvas.rows()


class Trace(Drawing):
    """The line of a sensor between sets."""

    values_m_s2: reactive[tuple[float, ...]] = reactive(())

    def draw(self, width: int, height: int) -> Rows:
        """Return the line."""
        return draw_trace(self.values_m_s2, width, height)
