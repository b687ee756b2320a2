"""The time line of a recording: sets as blocks, rests as lines, gaps as gaps, and where the replay stands."""

from __future__ import annotations

from dataclasses import dataclass

from textual.reactive import reactive

from tui.session.control import PlayState, Span, SpanKind
from tui.widgets.canvas import Canvas, Ink, Row, Rows, spread
from tui.widgets.drawing import Drawing
from tui.widgets.hill import LEAST_S
from tui.widgets.labels import clock_words

_LOOKS = {SpanKind.SET: ("▄", Ink.HILL), SpanKind.REST: ("╌", Ink.MUTED), SpanKind.GAP: (" ", Ink.BLANK)}


@dataclass(frozen=True, slots=True)
class TimelineView:
    """What a time line shows."""

    spans: tuple[Span, ...]
    state: PlayState


def cell_of(at_s: float, duration_s: float, width: int) -> int:
    """Return the column of a moment; the last one for the end."""
    if duration_s < LEAST_S or width <= 0:
        return 0
    return min(width - 1, max(0, int(at_s / duration_s * width)))


def draw_timeline(view: TimelineView, width: int) -> Rows:
    """Return three rows: the line, the labels of its stretches with the place of the replay, the numbers."""
    canvas = Canvas(width, 2)
    duration_s = view.state.duration_s
    for x in range(width):
        canvas.put(x, 0, "▁", Ink.GROUND)
    for span in view.spans:
        first, last = cell_of(span.start_s, duration_s, width), cell_of(span.end_s, duration_s, width)
        char, ink = _LOOKS[span.kind]
        for x in range(first, max(first + 1, last)):
            canvas.put(x, 0, char, ink)
        canvas.write((first + last - len(span.label)) // 2 + 1, 1, span.label, Ink.MUTED)
    canvas.put(cell_of(view.state.position_s, duration_s, width), 1, "▲", Ink.WALKER)
    return (*canvas.rows(), _numbers(view, width))


def _numbers(view: TimelineView, width: int) -> Row:
    state = view.state
    here = f"{clock_words(state.position_s)} of {clock_words(state.duration_s)}{_name_of(view)}"
    pace = f"{'playing' if state.playing else 'paused'} at {state.speed:g}×"
    return spread(((here, Ink.TEXT),), ((pace, Ink.STRONG),), width)


def _name_of(view: TimelineView) -> str:
    here = [span for span in view.spans if span.start_s <= view.state.position_s < span.end_s]
    return f" · {here[-1].kind} {here[-1].label}".rstrip() if here else ""


class Timeline(Drawing):
    """The time line of a replay."""

    view: reactive[TimelineView | None] = reactive(None)

    def draw(self, width: int, height: int) -> Rows:
        """Return the rows."""
        return draw_timeline(self.view, width) if self.view else ()
