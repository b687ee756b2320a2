"""A group as it is drawn: a row a person, and under it why that person needs a look; pure."""

from __future__ import annotations

from tui.views.group_view import GroupView, PersonRow
from tui.widgets.canvas import Ink, Row, Rows, fitted
from tui.widgets.labels import joined

LINES = 2
"""Lines of a person."""
_APART = "  "


def columns(view: GroupView) -> tuple[int, int, int]:
    """Return the widths of name, place and last session."""
    name, place, last = (
        max((len(text) for text in texts), default=0)
        for texts in zip(*((one.name, one.place, one.last) for one in view.rows), strict=True)
    )
    return name, place, max(last, len("last"))


def draw_heads(view: GroupView, width: int) -> Row:
    """Return the line above the people."""
    name, place, last = columns(view)
    text = _APART.join((" " * name, " " * place, f"{'last':<{last}}", "next"))
    return fitted(((f"  {text}", Ink.MUTED),), width)


def draw_person(row: PersonRow, view: GroupView, width: int) -> Rows:
    """Return a person in two lines."""
    name, place, last = columns(view)
    rest = _APART.join((f"{row.place:<{place}}", f"{row.last:<{last}}", row.due))
    head: Row = ((f"{row.name:<{name}}{_APART}", Ink.STRONG), (rest, Ink.TEXT))
    looks = joined(*row.looks) or "nothing to look at"
    return fitted(head, width), fitted(((f"  {looks}", Ink.TEXT if row.looks else Ink.MUTED),), width)
