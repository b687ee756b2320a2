"""The end of a shared bar: everybody's session, as much of each as there is room for."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

from textual.reactive import reactive

from analysis.training.verdict import Outcome
from tui.session.messages import Snapshot
from tui.views.turn_view import TurnEnd, TurnsView
from tui.widgets.block_digits import draw_block
from tui.widgets.canvas import Ink, Row, Rows, fitted, size, spread
from tui.widgets.drawing import Drawing

_TITLE = "ALL DONE"
_TITLE_ROWS = 3
_LEAST_NAME = 8
_NOT_YET = "From when the next sessions are is worked out as these are closed: by e, or ten minutes after the last set."


def draw_ends(view: TurnsView, width: int, height: int) -> Rows:
    """Return everybody's session in the fullest of the forms that has room; nobody is left out for another's words.

    The forms: a blank line between people, a line of its own for the next session, the note to its end; then the date
    beside the name; then the note on one line; at last a line each.
    """
    title: Rows = ((), *(((("  ", Ink.BLANK), *row)) for row in draw_block(_TITLE, width - 2, _TITLE_ROWS)), ())
    foot: Rows = () if view.is_closed else ((), *(((line, Ink.MUTED),) for line in _wrapped(_NOT_YET, width, 1)))
    full = [_full(end, width) for end in view.ends]
    whole, cut = ([_beside(end, view.ends, width, in_full=in_full) for end in view.ends] for in_full in (True, False))
    forms = (
        (*title, *_apart(full), *foot),
        (*title, *_joined(full), *foot),
        (*title, *_joined(whole), *foot),
        (*title, *_joined(whole)),
        _joined(whole),
        _joined(cut),
        tuple(rows[0] for rows in cut),
    )
    return next((form for form in forms if len(form) <= height), forms[-1][:height])


def _full(end: TurnEnd, width: int) -> Rows:
    coming = ". ".join(text for text in (f"Next: {end.next}" if end.next else "", end.asked) if text)
    first, *more = _done_lines(end, width, len(end.name) + 1)
    return (
        fitted(((f" {end.name}", Ink.STRONG), (first, Ink.TEXT), *_outcome(end)), width),
        *(((line, Ink.TEXT),) for line in (*more, *_wrapped(end.note, width, 3))),
        *(((line, Ink.STRONG),) for line in _wrapped(coming, width, 3)),
    )


def _beside(end: TurnEnd, ends: Sequence[TurnEnd], width: int, *, in_full: bool) -> Rows:
    """Return name, sets and date on one line, and the note below it: to its end, or as far as one line goes."""
    sets = max((len(one.done) + size(_outcome(one)) for one in ends if one.outcome), default=0)
    room = max(_LEAST_NAME, width - sets - max(size(_date(one)) for one in ends) - 5)
    longest = min(room, max(len(one.name) for one in ends))
    name = end.name if len(end.name) <= longest else f"{end.name[: longest - 1]}…"
    first, *reason = _done_lines(end, width, longest + 1)
    left: Row = ((f" {name:<{longest}}", Ink.STRONG), (first, Ink.TEXT), *_outcome(end))
    notes = [*reason, *_wrapped(end.note, width, 3)]
    below = notes if in_full else _one(notes, width)
    return (spread(left, _date(end), width), *(((line, Ink.TEXT),) for line in below))


def _date(end: TurnEnd) -> Row:
    return ((f"next {end.next.split(', ')[0]} ", Ink.STRONG),) if end.next else ()


def _done_lines(end: TurnEnd, width: int, taken: int) -> tuple[str, ...]:
    """Return what was done as lines, the first of them to stand behind so many cells; a reason may need several."""
    head = " " * taken
    lines = textwrap.wrap(end.done, max(width - 1, taken + 10), initial_indent=f"{head}  ", subsequent_indent="   ")
    return (lines[0][taken:], *lines[1:])


def _one(lines: Sequence[str], width: int) -> Iterator[str]:
    """Yield the first of several lines, marked as going on where it does."""
    for line in lines[:1]:
        yield line if len(lines) == 1 else f"{line[: width - 3]} …"


def _outcome(end: TurnEnd) -> Row:
    if end.outcome is None:
        return ()
    return ((f" · {end.outcome}", Ink.TEXT if end.outcome is Outcome.MET else Ink.STRONG),)


def _wrapped(text: str, width: int, indent: int) -> list[str]:
    head = " " * indent
    return textwrap.wrap(text, max(16, width - 1), initial_indent=head, subsequent_indent=f"{head}  ")


def _joined(each: Sequence[Rows]) -> Rows:
    return tuple(row for rows in each for row in rows)


def _apart(each: Sequence[Rows]) -> Rows:
    return tuple(row for place, rows in enumerate(each) for row in (*(((),) if place else ()), *rows))


class TurnEndPanel(Drawing):
    """The panel of a shared bar on which nobody has sets to do."""

    DEFAULT_CSS = "TurnEndPanel { height: 1fr; }"

    view: reactive[TurnsView | None] = reactive(None)

    def draw(self, width: int, height: int) -> Rows:
        """Return the lines."""
        return draw_ends(self.view, width, height) if self.view else ()

    def show(self, snapshot: Snapshot) -> None:
        """Show what everybody's session was."""
        self.view = snapshot.turns
