"""The ladder as a picture: its rungs from the ground up, with where somebody stands; pure."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import shorten

from tui.views.ladder_view import RungView, Tread
from tui.widgets.canvas import Canvas, Ink, Rows

_INNER = 8
"""Cells between the rails."""
_LEFT = 1
_LABEL = _LEFT + _INNER + 3
_RUNGS = {
    Tread.CLIMBED: ("━", Ink.HILL),
    Tread.PASSED: ("─", Ink.GROUND),
    Tread.HERE: ("┄", Ink.TARGET),
    Tread.AHEAD: ("┄", Ink.TARGET),
}
_WORDS = {Tread.CLIMBED: "climbed", Tread.PASSED: "begun above it", Tread.AHEAD: ""}


def draw_rungs(rungs: Sequence[RungView], width: int, height: int) -> Rows:
    """Draw the ladder; where it is higher than the box, the part around the present rung.

    A rung that was climbed is solid, one that is still to come dotted, and the present one solid up to the step.

    Parameters
    ----------
    rungs
        The lowest first.

    Returns
    -------
    `height` rows of `width` cells, the ground the last of them.
    """
    canvas = Canvas(width, height)
    if not rungs or height < 2:
        return canvas.rows()
    each = max(1, min(4, (height - 2) // len(rungs)))
    low = _lowest_shown(rungs, (height - 2) // each)
    shown = rungs[low : low + max(1, (height - 2) // each)]
    for row in range(height - 1 - each * len(shown) - 1, height - 1):
        for x in (_LEFT, _LEFT + _INNER + 1):
            canvas.put(x, row, "┃", Ink.GROUND)
    for above, rung in enumerate(shown, start=1):
        _rung(canvas, rung, height - 1 - above * each, each)
    canvas.write(0, height - 1, "▔" * (_LABEL - 1), Ink.GROUND)
    return canvas.rows()


def _lowest_shown(rungs: Sequence[RungView], fit: int) -> int:
    """Return the number of the lowest rung to show, so that the present one stands in the middle."""
    here = next((number for number, one in enumerate(rungs) if one.tread is Tread.HERE), 0)
    return max(0, min(len(rungs) - fit, here - fit // 2))


def _rung(canvas: Canvas, rung: RungView, row: int, each: int) -> None:
    here = rung.tread is Tread.HERE
    char, ink = _RUNGS[rung.tread]
    canvas.write(_LEFT, row, f"┣{char * _INNER}┫", ink)
    if here:
        at = _place(rung)
        canvas.write(_LEFT + 1, row, "━" * at, Ink.HILL)
        canvas.put(_LEFT + 1 + at, row, "●", Ink.WALKER)
    room = max(4, canvas.width - _LABEL)
    name = rung.name if len(rung.name) <= room else f"{rung.name[: room - 1]}…"
    canvas.write(_LABEL, row, name, Ink.STRONG if here else Ink.TEXT)
    if each > 1:
        words = f"step {rung.step} of {rung.steps}" if here else _WORDS[rung.tread]
        canvas.write(_LABEL, row + 1, shorten(words, room, placeholder="…"), Ink.TEXT if here else Ink.MUTED)


def _place(rung: RungView) -> int:
    """Return the cell of the step on its rung."""
    return round((_INNER - 1) * (rung.step - 1) / max(1, rung.steps - 1))
