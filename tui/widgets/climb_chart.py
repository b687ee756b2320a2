"""The climb of one rung: planned as dots, asked as a line, each session as a point; pure."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from analysis.training.climb import Climb
from analysis.training.verdict import Outcome
from tui.widgets.canvas import Canvas, Ink, Rows

_GUTTER = 8
"""Room for "step 12"."""
_WIDEST = 9
_BEYOND = 1
"""Rows above the highest and below the lowest planned value, for what was kept beyond it."""
LEGEND = "·· planned  ━ asked  ● met  ○ not met"


def draw_climb(climb: Climb, width: int, height: int) -> Rows:
    """Draw the climb over its weeks; the last row names them, the one above it shows today.

    Returns
    -------
    `height` rows of `width` cells.
    """
    canvas = Canvas(width, height)
    if width <= _GUTTER or height < 5:
        return canvas.rows()
    weeks = max(len(climb.planned), int(climb.week) + 1)
    cells = min(float(_WIDEST), (width - _GUTTER) / weeks)
    chart = _Chart(climb, cells, height - 2)
    for x, row in chart.planned(weeks):
        canvas.put(x, row, "·", Ink.TARGET)
    for x, row in chart.asked():
        canvas.put(x, row, "━", Ink.HILL)
    for one in climb.done:
        sign = "●" if one.outcome is Outcome.MET else "○"
        canvas.put(chart.x(one.week), chart.row(one.asked if one.kept is None else one.kept), sign, Ink.WALKER)
    for value in (climb.planned[0], climb.planned[-1]):
        canvas.write(0, chart.row(value), f"{value:g} s" if climb.of_rest else f"step {value:g}", Ink.MUTED)
    canvas.write(_GUTTER, height - 2, "▔" * round(weeks * cells), Ink.GROUND)
    canvas.put(chart.x(climb.week), height - 2, "▲", Ink.WALKER)
    _name_weeks(canvas, weeks, cells, height - 1)
    return canvas.rows()


def _name_weeks(canvas: Canvas, weeks: int, cells: float, row: int) -> None:
    canvas.write(0, row, "week", Ink.MUTED)
    every = next(step for step in (1, 2, 4, 8, 16, 10**6) if step * cells >= 3)
    for week in range(0, weeks, every):
        canvas.write(_GUTTER + int(week * cells), row, f"{week + 1}", Ink.MUTED)


class _Chart:
    """Where weeks and values stand in the grid."""

    def __init__(self, climb: Climb, cells: float, rows: int) -> None:
        self._climb, self._cells, self._rows = climb, cells, rows
        self._low, self._high = min(climb.planned), max(climb.planned)

    def x(self, week: float) -> int:
        """Return the column of a moment."""
        return _GUTTER + int(week * self._cells)

    def row(self, value: float) -> int:
        """Return the row of a value; beyond the planned ones, the nearest row outside of them."""
        room = self._rows - 1 - 2 * _BEYOND
        share = (self._high - value) / (self._high - self._low) if self._high > self._low else 0.5
        return min(self._rows - 1, max(0, _BEYOND + round(share * room)))

    def planned(self, weeks: int) -> Iterator[tuple[int, int]]:
        """Yield the cells of the plan: week by week, and the last step from then on."""
        for week in range(weeks):
            value = self._climb.planned[min(week, len(self._climb.planned) - 1)]
            yield from ((x, self.row(value)) for x in range(self.x(week), self.x(week + 1)))

    def asked(self) -> Iterator[tuple[int, int]]:
        """Yield the cells of what was asked: from each session to the next one, and to today."""
        done = self._climb.done
        ends = [*(later.week for _, later in pairwise(done)), self._climb.week]
        for one, end in zip(done, ends, strict=True):
            yield from ((x, self.row(one.asked)) for x in range(self.x(one.week), self.x(end) + 1))
