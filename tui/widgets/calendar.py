"""The coming two weeks, a week a row; pure."""

from __future__ import annotations

from collections.abc import Sequence

from tui.views.ladder_view import DayMark, DayView
from tui.widgets.canvas import Canvas, Ink, Rows, fitted

WEEK = 7
_WIDEST = 8
_MARKS = {
    DayMark.FREE: ("·", Ink.MUTED),
    DayMark.DONE: ("▟▙", Ink.HILL),
    DayMark.NEXT: ("●", Ink.STRONG),
    DayMark.COMING: ("○", Ink.TEXT),
}
LEGEND = "● next  ○ if all goes as asked  ▟▙ done"
NOTHING = "no session to come; below it says why"


def draw_calendar(days: Sequence[DayView], width: int) -> Rows:
    """Draw the days in weeks that begin with the first of them, and below it what is asked on which."""
    cell = min(_WIDEST, width // WEEK)
    weeks = [days[first : first + WEEK] for first in range(0, len(days), WEEK)]
    canvas = Canvas(width, 1 + len(weeks))
    for column, one in enumerate(days[:WEEK]):
        canvas.write(column * cell, 0, f"{one.day:%a}"[: cell - 1], Ink.MUTED)
    for row, week in enumerate(weeks, start=1):
        for column, one in enumerate(week):
            mark, ink = _MARKS[one.mark]
            today = one is days[0]
            canvas.write(column * cell, row, f"{one.day.day:>2}", Ink.STRONG if today else Ink.TEXT)
            canvas.write(column * cell + 3, row, mark, ink)
    return (*canvas.rows(), *(_day(one, width) for one in days if one.what))


def _day(one: DayView, width: int) -> tuple[tuple[str, Ink], ...]:
    mark, ink = _MARKS[one.mark]
    return fitted(((f"{mark} ", ink), (f"{one.day:%a %d %b}  ", Ink.TEXT), (one.what, Ink.TEXT)), width)
