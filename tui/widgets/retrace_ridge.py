"""The reps of a stretch of time as one ridge, each where it was; pure.

Close up each is a hill over its prescribed silhouette, as everywhere. Where a rep has hardly a cell, the ridge is the
highest that was reached within each column.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from statistics import median

from tui.retrace.skyline import Skyline
from tui.retrace.view import Fault, Note, RetraceView
from tui.session.messages import Hill
from tui.widgets.canvas import Canvas, Ink
from tui.widgets.hill import fill, is_gap, silhouette
from tui.widgets.labels import clock_words
from tui.widgets.retrace_scale import Scale
from tui.widgets.ridge import LEAST_CELLS, sign_of

_EIGHTHS = "▁▁▂▃▄▅▆▇█"
_PLACES = (0.5, 0.25, 0.75)
"""Where in a rest its words may stand, as shares of it, best first."""
_ROOM = 2
"""Cells that a rest needs beside its words to be told."""


def draw_hills(
    canvas: Canvas,
    view: RetraceView,
    skyline: Skyline,
    scale: Scale,
    base: int,
    height: int,
    *,
    over: Hill | None = None,
) -> None:
    """Draw the reps in sight into rows up to `base`.

    Parameters
    ----------
    skyline
        Of all reps: their upper edge.
    over
        What stands behind each as a silhouette, in the place of the prescribed rep.
    """
    seen = [rep for rep in view.reps if rep.until_s > scale.from_s and rep.start_s < scale.to_s]
    if not seen or height <= 0:
        return
    target = over or view.target
    if median(rep.until_s - rep.start_s for rep in seen) * scale.cells_per_s < LEAST_CELLS:
        _far(canvas, skyline, scale, base, height)
        return
    for rep in seen:
        first = scale.column(rep.start_s)
        fill(canvas, rep.hill, target, first, max(1, scale.column(rep.until_s) - first), base, height)
    for rep in seen:
        if target and not is_gap(rep.hill):
            silhouette(canvas, target, scale.column(rep.start_s), scale.cells_per_s, base, height, inside=True)


def draw_signs(canvas: Canvas, view: RetraceView, scale: Scale, row: int) -> None:
    """Put the sign of each rep in sight under its middle: off, unsure, partial."""
    for rep in view.reps:
        middle = (rep.start_s + rep.end_s) / 2
        sign = sign_of(rep.hill)
        if sign and scale.has(middle):
            canvas.put(scale.kept(middle), row, sign, Ink.MUTED if sign == "?" else Ink.ATTENTION)


def draw_marks(canvas: Canvas, notes: Sequence[Note], scale: Scale, row: int) -> None:
    """Put each mark in sight into a row."""
    for note in notes:
        if scale.has(note.at_s):
            canvas.put(scale.kept(note.at_s), row, "◆", Ink.STRONG)


def _far(canvas: Canvas, skyline: Skyline, scale: Scale, base: int, height: int) -> None:
    for column, level in enumerate(skyline.levels(scale.from_s, scale.to_s, scale.width), start=scale.x):
        full, rest = divmod(round(level * height * 8), 8)
        for row in range(full):
            canvas.put(column, base - row, "█", Ink.HILL)
        if rest and full < height:
            canvas.put(column, base - full, _EIGHTHS[rest], Ink.HILL)


def draw_ground(canvas: Canvas, view: RetraceView, scale: Scale, base: int, faults: Sequence[Fault]) -> None:
    """Draw the ground under the hills: broken where nothing is known, with the length of each rest where it fits."""
    for column in range(scale.x, scale.x + scale.width):
        canvas.put(column, base, "▁", Ink.GROUND)
    for fault in faults:
        for column in scale.columns(fault.start_s, fault.end_s):
            canvas.put(column, base, " ", Ink.BLANK)
    for one, after in pairwise(view.sets):
        _tell_rest(canvas, f" {rest_words(after.start_s - one.end_s)} ", scale, (one.end_s, after.start_s), base)


def _tell_rest(canvas: Canvas, words: str, scale: Scale, span: tuple[float, float], base: int) -> None:
    """Write the length of a rest on its ground, in its middle or beside a gap that is there."""
    first, last = scale.column(span[0]), scale.column(span[1])
    if last - first < len(words) + _ROOM:
        return
    for share in _PLACES:
        start = round(first + share * (last - first) - len(words) / 2)
        cells = [canvas.at(start + offset, base)[1] for offset in range(len(words))]
        if all(ink is Ink.GROUND for ink in cells):
            canvas.write(start, base, words, Ink.MUTED)
            return


def rest_words(rest_s: float) -> str:
    """Say how long a rest was."""
    return f"{rest_s:.0f} s" if rest_s < 100 else clock_words(rest_s)


def draw_whole(
    canvas: Canvas,
    view: RetraceView,
    skyline: Skyline,
    scale: Scale,
    window: tuple[float, float],
    head_s: float,
    rows: tuple[int, int],
) -> None:
    """Draw the whole session: the ridge in the rows above, and a row of set numbers, notes, faults, window and head.

    Parameters
    ----------
    skyline
        Of all reps: their upper edge.
    window
        Start and end of what the rest of the screen shows.
    rows
        The last row of the ridge, and how many it has.
    """
    base, height = rows
    draw_ground(canvas, view, scale, base, view.faults)
    draw_hills(canvas, view, skyline, scale, base, height)
    for column in scale.columns(*window):
        canvas.put(column, base + 1, "─", Ink.MUTED)
    for one in view.sets:
        middle = scale.kept((one.start_s + one.end_s) / 2)
        canvas.write(middle - len(one.label) // 2, base + 1, one.label, Ink.TEXT)
    for fault in view.faults:
        canvas.put(scale.kept((fault.start_s + fault.end_s) / 2), base + 1, "!", Ink.ATTENTION)
    draw_marks(canvas, view.notes, scale, base + 1)
    canvas.put(scale.kept(head_s), base + 1, "▲", Ink.WALKER)
