"""What stands beside the ladder: the next session, two weeks, the climb, the last sessions, the trends; pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from textual.geometry import Size
from textual.reactive import reactive

from analysis.training.climb import Climb
from analysis.training.verdict import Outcome
from tui.views.ladder_view import LadderView, NextView
from tui.views.rows import LogRow
from tui.widgets import calendar, climb_chart, slope
from tui.widgets.calendar import draw_calendar
from tui.widgets.canvas import Ink, Row, Rows, fitted
from tui.widgets.climb_chart import draw_climb
from tui.widgets.drawing import Drawing
from tui.widgets.labels import done_words
from tui.widgets.lines import draw_lines
from tui.widgets.slope import draw_slope
from tui.widgets.small_ridges import SmallSet, shared, small_ridges

TWO_COLUMNS = 84
"""From this width on the sections stand in two columns."""
_APART = 3
_CHART, _HIGH_CHART = 9, 11
"""Rows in one column, and in two."""
_SLOPE = 40
_SESSION_HEAD = 17
"""Cells of day and verdict."""
_SHORT = {Outcome.MET: "met", Outcome.MISSED: "missed", Outcome.UNSURE: "unsure", Outcome.NOT_MEASURABLE: "–"}


def draw_panel(view: LadderView, width: int) -> Rows:
    """Return all sections, as high as they need to be: in one column the pictures before the reasons."""
    if width < TWO_COLUMNS:
        ahead, behind = _ahead(view, width), _behind(view, width, _CHART)
        return _stacked([*ahead[:1], *behind[:1], *ahead[1:2], *behind[1:], *ahead[2:]])
    left = (width - _APART) // 2
    return _beside(_stacked(_ahead(view, left)), _stacked(_behind(view, width - _APART - left, _HIGH_CHART)), left)


def _stacked(sections: Sequence[Rows]) -> Rows:
    rows: list[Row] = []
    for section in sections:
        rows += [*([()] if rows else []), *section]
    return tuple(rows)


def _beside(left: Rows, right: Rows, width: int) -> Rows:
    count = max(len(left), len(right))
    padded = [(*rows, *[()] * (count - len(rows))) for rows in (left, right)]
    return tuple((*fitted(one, width), (" " * _APART, Ink.BLANK), *other) for one, other in zip(*padded, strict=True))


def _ahead(view: LadderView, width: int) -> tuple[Rows, ...]:
    """Return what comes: the next session, the calendar, why."""
    coming = view.coming
    if coming is None:
        return ()
    days = _in(draw_calendar(view.days, width - 1))
    legend = calendar.LEGEND if any(one.what for one in view.days) else calendar.NOTHING
    return (
        (*_head("Next session"), *draw_lines(tuple(_next(coming)), width)),
        (*_head("Two weeks"), *days, *draw_lines(((legend, Ink.MUTED),), width)),
        (*_head("Why"), *draw_lines(tuple(_why(coming)), width)),
    )


def _next(coming: NextView) -> Iterator[tuple[str, Ink]]:
    yield coming.head, Ink.STRONG
    yield from ((line, Ink.TEXT) for line in coming.asked)
    if coming.cue:
        yield coming.cue, Ink.ATTENTION
    if coming.reasons:
        yield coming.reasons[0].text, Ink.TEXT


def _why(coming: NextView) -> Iterator[tuple[str, Ink]]:
    for reason in coming.reasons:
        yield f"▸ {reason.text}", Ink.TEXT
        yield from ((f"  {line}", Ink.MUTED) for line in reason.evidence)


def _behind(view: LadderView, width: int, chart: int) -> tuple[Rows, ...]:
    """Return what was: the climb, in a chart of so many rows, the last sessions, the trends."""
    if view.climb is None:
        return ()
    climbed = f"{'Rest' if view.climb.of_rest else 'Steps'} on {view.climb.rung}, week by week"
    return (
        (*_head(climbed), *_climb(view, view.climb, width, chart)),
        (*_head("Last sessions"), *_sessions(view.sessions, width)),
        (*_head("From week to week"), *_trends(view, width)),
    )


def _climb(view: LadderView, climb: Climb, width: int, height: int) -> Rows:
    chart = _in(draw_climb(climb, width - 1, height))
    gates = (
        (f"opens the next rung: {one.gate}", Ink.TEXT) for one in view.rungs if one.name == climb.rung and one.gate
    )
    below = ((climb_chart.LEGEND, Ink.MUTED), (view.climb_words, Ink.TEXT), *gates)
    return (*chart, *draw_lines(below, width))


def _sessions(rows: Sequence[LogRow], width: int) -> Rows:
    """Return the sessions, a line each, their hills to one scale."""
    drawn = [[(one.hills, one.target) for one in row.done if one.hills] for row in rows]
    room = max(0, width - _SESSION_HEAD)
    share = max((shared(sets, room) for sets in drawn), default=1)
    return tuple(_session(row, sets, room, share) for row, sets in zip(rows, drawn, strict=True))


def _session(row: LogRow, sets: Sequence[SmallSet], room: int, share: int) -> Row:
    """Return one session: its day, its verdict, its small hills, or its counts where none were recorded."""
    judged = _SHORT[row.outcome] if row.outcome else "–"
    head: Row = ((f" {row.date:%d %b}  ", Ink.TEXT), (f"{judged:<8}", Ink.MUTED))
    if sets:
        return (*head, *small_ridges(sets, room, share=share))
    return (*head, *fitted(((done_words(row), Ink.MUTED),), room))


def _trends(view: LadderView, width: int) -> Rows:
    rows: list[Row] = []
    for one in view.trends:
        rows += draw_lines(((f"{one.what}: {one.words}", Ink.TEXT),), width)
        rows += _in((draw_slope(one.slope, one.margin, min(_SLOPE, width - 2)),))
    legend = ((slope.LEGEND, Ink.MUTED),) if rows else ()
    return (*rows, *draw_lines((*legend, (view.trends_note, Ink.MUTED)), width))


def _head(words: str) -> Rows:
    return (((f" {words}", Ink.STRONG),),)


def _in(rows: Rows) -> Rows:
    """Put a drawing one cell in from the left, as lines are."""
    return tuple(((" ", Ink.BLANK), *row) for row in rows)


class LadderPanel(Drawing):
    """The sections, as high as they need to be."""

    view: reactive[LadderView | None] = reactive(None, layout=True)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """Return the number of lines at this width."""
        return len(draw_panel(self.view, width)) if self.view else 0

    def draw(self, width: int, height: int) -> Rows:
        """Return the sections."""
        return draw_panel(self.view, width) if self.view else ()
