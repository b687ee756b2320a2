"""A shared bar in words and letters: who is next, and a line for everybody; pure."""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Sequence

from textual.reactive import reactive

from tui.training.turns import called
from tui.views.turn_view import TurnRow, TurnsView
from tui.widgets.canvas import Ink, Row, Rows, fitted
from tui.widgets.drawing import Drawing
from tui.widgets.labels import rest_digits, set_in_brief

_LEAST_NAME, _SETS, _REST, _INDENT = 8, len("sets 12 of 12  "), len("ready for 112 s  "), 5


def block_name(name: str, names: Sequence[str]) -> str:
    """Return what a name is in block letters: the first one, as far as it tells somebody apart; without accents."""
    plain = unicodedata.normalize("NFKD", called(name, names))
    return "".join(char for char in plain if not unicodedata.combining(char)).upper()


def next_name(view: TurnsView) -> str:
    """Return who is next in block letters; empty where nobody is."""
    return block_name(view.next, [row.name for row in view.rows]) if view.next else ""


def rest_of_next(view: TurnsView) -> str:
    """Return what is left of the rest of who is next, in block letters: seconds, or that they are ready."""
    row = next((row for row in view.rows if row.name == view.next), None)
    if row is None or row.rest_left_s is None or row.rest_left_s <= 0:
        return "READY"
    return f"REST {rest_digits(row.rest_left_s)}"


def draw_turns(view: TurnsView, width: int, *, in_full: bool = True) -> Rows:
    """Return a line for everybody: name, sets done, what is left of the rest or why they do not rest, the last set.

    Why somebody does not train is told in full, on as many lines as that takes; else as far as a line goes.
    """
    longest = max((len(row.name) for row in view.rows), default=0)
    name_width = min(longest, max(_LEAST_NAME, width - _SETS - 16))
    people = (_lines(row, view, name_width, width) for row in view.rows)
    return tuple(fitted(line, width) for lines in people for line in (lines if in_full else (_joined(lines),)))


def _lines(row: TurnRow, view: TurnsView, name_width: int, width: int) -> Rows:
    is_next = row.name == view.next
    mark = " ▸ " if is_next else "   "
    name = row.name if len(row.name) <= name_width else f"{row.name[: name_width - 1]}…"
    ink = Ink.STRONG if is_next else Ink.TEXT if row.state in ("", "in a set") else Ink.MUTED
    sets = f"sets {row.done} of {row.asked}" if row.asked else f"sets {row.done}" if row.done else ""
    head = f"{mark}{name:<{name_width}}  {sets:<{_SETS}}"
    first, *more = _wrapped(row.state, len(head), width) if row.state else (_rest(row),)
    last = set_in_brief(row.last.number, row.last.verdict) if row.last and not more else ""
    brief = f"{' ' * max(2, _REST - len(first))}{last}"
    has_room = len(head) + len(first) + len(brief) < width  # half of a verdict is none
    return (
        ((head, ink), (first, ink), *(((brief, ink),) if last and has_room else ())),
        *(((line, ink),) for line in more),
    )


def _joined(lines: Rows) -> Row:
    """Return the lines of one person as one, to be cut where it must be."""
    first, *more = lines
    return (*first, *((f" {text.strip()}", ink) for line in more for text, ink in line))


def _wrapped(state: str, head: int, width: int) -> Sequence[str]:
    lines = textwrap.wrap(state, max(width - 1, head + 8), initial_indent=" " * head, subsequent_indent=" " * _INDENT)
    return (lines[0][head:], *lines[1:])


def _rest(row: TurnRow) -> str:
    if row.rest_left_s is None:
        return "ready"
    left = rest_digits(row.rest_left_s)
    return f"rest {left} s" if row.rest_left_s > 0 else f"ready for {left.removeprefix('+')} s"


class TurnTable(Drawing):
    """The lines for everybody."""

    view: reactive[TurnsView | None] = reactive(None)

    def draw(self, width: int, height: int) -> Rows:
        """Return the lines, reasons in full where that has room; the first ones where not even a line each has."""
        if self.view is None:
            return ()
        whole = draw_turns(self.view, width)
        return whole if len(whole) <= height else draw_turns(self.view, width, in_full=False)[:height]
