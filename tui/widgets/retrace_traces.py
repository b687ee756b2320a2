"""Travel or tilt, and acceleration, with the boundaries of the phases on them; pure.

A boundary is a line where it is sure, broken where its sigma is seen within a cell, frayed over as many cells as two
sigma take where it is less sure, and dotted under a question mark where it cannot be told.
"""

from __future__ import annotations

from tui.retrace.signals import Band
from tui.retrace.view import Edge, RetraceView
from tui.widgets.braille import draw_signal
from tui.widgets.canvas import Canvas, Ink
from tui.widgets.retrace_scale import Scale

_LEAST_APART = 5
"""Cells between boundaries on average, from which on they are drawn: closer they would hide the signal."""
_SHARP = 0.25
_CELL = 1.0


def draw_edges(canvas: Canvas, view: RetraceView, scale: Scale, rows: range) -> None:
    """Draw the boundaries in sight; nothing where they stand too close to be told apart."""
    edges = [edge for rep in view.reps for edge in rep.edges if scale.has(edge.at_s)]
    if len(edges) * _LEAST_APART > scale.width:
        return
    for edge in edges:
        _edge(canvas, edge, scale, rows)


def _edge(canvas: Canvas, edge: Edge, scale: Scale, rows: range) -> None:
    column = scale.kept(edge.at_s)
    if edge.sd_s is None:
        for row in rows:
            canvas.put(column, row, "┊" if row > rows[0] else "?", Ink.FRAY)
        return
    across = 2 * edge.sd_s * scale.cells_per_s
    if across > _CELL:
        for one in scale.columns(edge.at_s - edge.sd_s, edge.at_s + edge.sd_s):
            for row in rows:
                canvas.put(one, row, "░", Ink.TARGET)
    for row in rows:
        canvas.put(column, row, "│" if across <= _SHARP else "╎", Ink.TARGET)


def draw_band(canvas: Canvas, band: Band, scale: Scale, top: int, height: int) -> None:
    """Draw a signal, and left of it its name and the values at its edges."""
    draw_signal(canvas, band.columns, band.low, band.high, x=scale.x, y=top, height=height)
    upper, lower = (">" if band.over else "", "<" if band.under else "")
    edges = (f"{upper}{_value(band.high, band.unit)}", f"{lower}{_value(band.low, band.unit)}")
    words = [edges[0], *[""] * (height - 2), edges[1]][:height]
    named = [band.name] if height < 3 else [words[0], band.name, *words[2:]]
    for row, text in enumerate(named):
        canvas.write(max(0, scale.x - 1 - len(text)), top + row, text, Ink.MUTED)


def _value(value: float, unit: str) -> str:
    digits = 2 if unit == "m" else 0 if abs(value) >= 10 else 1
    return f"{value:.{digits}f}{'' if unit == '°' else ' '}{unit}"
