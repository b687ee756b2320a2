"""A change a week with its uncertainty, as a bar against zero; pure."""

from __future__ import annotations

from tui.widgets.canvas import Canvas, Ink, Row

LEGEND = "┊ no change: left of it falling, right of it rising; a bar across it is scatter"


def draw_slope(slope: float, margin: float, width: int) -> Row:
    """Draw the interval from `slope` − `margin` to `slope` + `margin`, zero in the middle, to a scale of its own.

    Returns
    -------
    A row of `width` cells; the scale is that at which the farther end reaches its edge.
    """
    canvas = Canvas(width, 1)
    middle = width // 2
    far = abs(slope) + margin
    cells = 0.0 if far == 0 else (middle - 1) / far
    low, at, high = (middle + round(value * cells) for value in (slope - margin, slope, slope + margin))
    surely = abs(slope) > margin
    for x in range(low, high + 1):
        canvas.put(x, 0, "━" if surely else "─", Ink.HILL if surely else Ink.MUTED)
    canvas.put(middle, 0, "┊" if not low < middle < high else "┼", Ink.TEXT)
    canvas.put(at, 0, "●", Ink.WALKER)
    return canvas.rows()[0]
