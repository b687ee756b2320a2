"""One rep as a hill, drawn in cells; pure.

Width is time, height is travel. Left flank = up, flat top = top hold, right flank = down, the ground after it = bottom
pause. Behind it stands the prescribed rep as a dotted silhouette. What was not measured is frayed, a rep that has only
reached its top is hollow and has no right flank yet (its hold as long as prescribed, while it is not known), a partial
rep stays low, and where nothing is known there is a gap.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

from analysis.training.verdict import Outcome
from tui.session.messages import Hill
from tui.widgets.canvas import Canvas, Ink, Rows

NOMINAL_S = 1.0
"""Drawn width of a flank that was neither measured nor prescribed (the ordinary tempo of common practice)."""
LEAST_S = 0.001
"""What is shorter in all has no width to draw."""
LOW = 0.55
"""A partial rep is drawn no higher than this share, whatever its mount shows, so that it stays below the line."""
SADDLE = 0.5
"""Height between the two summits of a one-and-a-half rep."""
_EIGHTHS = " ▁▂▃▄▅▆▇█"
_ALIKE = 1e-6
_GROUND = 1.5 / 8
"""Rows; what is lower is drawn as ground."""
_FILLED = (Ink.HILL, Ink.HOLLOW, Ink.FRAY)


@dataclass(frozen=True, slots=True)
class Stretch:
    """A straight piece of the outline: `duration_s` wide, from height `start` to height `end` (0–1)."""

    duration_s: float
    start: float
    end: float
    measured: bool = True


Outline = tuple[Stretch, ...]


def outline(hill: Hill, target: Hill | None = None) -> Outline:
    """Return the pieces of `hill` from left to right; unmeasured ones are as wide as those of `target`."""
    top = hill.height if hill.counted else min(hill.height, LOW)
    top = min(1.0, max(0.0, top))
    pieces = [_piece(hill.up_s, target.up_s if target else None, 0.0, top), *_summit(hill, target, top)]
    if hill.provisional:
        return tuple(replace(piece, measured=True) for piece in pieces)
    pieces.append(_piece(hill.down_s, target.down_s if target else None, top, 0.0))
    if hill.bottom_s:
        pieces.append(Stretch(hill.bottom_s, 0.0, 0.0))
    return tuple(pieces)


def _piece(measured_s: float | None, fallback_s: float | None, start: float, end: float) -> Stretch:
    if measured_s is not None:
        return Stretch(max(0.0, measured_s), start, end)
    return Stretch(NOMINAL_S if fallback_s is None else fallback_s, start, end, measured=False)


def _summit(hill: Hill, target: Hill | None, top: float) -> list[Stretch]:
    fallback_s = target.top_s if target and target.top_s is not None else 0.0
    flat = _piece(hill.top_s, fallback_s, top, top)
    if not hill.two_summits:
        return [flat]
    # Half of the way down and half of the way up again: the pause between them is not part of a `Hill`.
    down_s = (NOMINAL_S if hill.down_s is None else hill.down_s) / 2
    up_s = (NOMINAL_S if hill.up_s is None else hill.up_s) / 2
    return [flat, Stretch(down_s, top, SADDLE * top), Stretch(up_s, SADDLE * top, top)]


def duration_s(pieces: Outline) -> float:
    """Return the width of an outline in seconds."""
    return sum(piece.duration_s for piece in pieces)


def is_gap(hill: Hill) -> bool:
    """Whether nothing at all is known of the rep."""
    return hill.up_s is None and hill.top_s is None and hill.down_s is None


def height_at(pieces: Outline, at_s: float) -> tuple[float, bool]:
    """Return height (0–1) and whether it was measured, `at_s` seconds after the start; 0 outside."""
    start_s = 0.0
    for piece in pieces:
        if start_s <= at_s < start_s + piece.duration_s:
            share = (at_s - start_s) / piece.duration_s
            return piece.start + share * (piece.end - piece.start), piece.measured
        start_s += piece.duration_s
    return 0.0, True


def knees(pieces: Outline) -> tuple[tuple[float, float], ...]:
    """Return (seconds, height) where the pieces join, both ends included."""
    points = [(0.0, pieces[0].start if pieces else 0.0)]
    for piece in pieces:
        points.append((points[-1][0] + piece.duration_s, piece.end))
    return tuple(points)


def fill(canvas: Canvas, hill: Hill, target: Hill | None, x: int, width: int, base: int, height: int) -> None:
    """Fill a hill into columns `x` … `x + width`, rows above and including `base`, `height` rows at most."""
    pieces = outline(hill, target)
    total_s = duration_s(pieces)
    if is_gap(hill) or width <= 0 or height <= 0 or total_s < LEAST_S:
        return
    levels = _levels(pieces, width, total_s)
    filled = [column for column, (level, _) in enumerate(levels) if level * height > _GROUND]
    edges = (filled[0], filled[-1]) if filled and hill.outcome is Outcome.UNSURE else ()
    for column, (level, measured) in enumerate(levels):
        ink = Ink.FRAY if not measured or column in edges else Ink.HOLLOW if hill.provisional else Ink.HILL
        _column(canvas, x + column, base, level * height, ink)


def _levels(pieces: Outline, width: int, total_s: float) -> list[tuple[float, bool]]:
    """Height of each column and whether it was measured: that of its middle, and a crest as high as the rep was."""
    cell_s = total_s / width
    middles = [height_at(pieces, (column + 0.5) * cell_s) for column in range(width)]
    if width <= 2:
        # Too narrow for a slope: the summit first, then the ground, so that neighbours stay apart.
        return [(max(height for _, height in knees(pieces)), middles[0][1]), (0.0, middles[-1][1])][:width]
    beyond = [0.0, *(level for level, _ in middles), 0.0]
    raised = []
    for column, (level, measured) in enumerate(middles):
        crest = level + _ALIKE >= max(beyond[column], beyond[column + 2])
        near = (column * cell_s - cell_s / 2, (column + 1) * cell_s + cell_s / 2)
        tops = [height for at_s, height in knees(pieces) if near[0] < at_s < near[1]] if crest else []
        raised.append((max([level, *tops]), measured))
    return raised


def _texture(ink: Ink, x: int, row: int) -> str:
    if ink is Ink.FRAY:
        return "▒" if (x + row) % 2 == 0 else "░"
    return "░" if ink is Ink.HOLLOW else "█"


def _column(canvas: Canvas, x: int, base: int, level: float, ink: Ink) -> None:
    """Fill one column up to `level` rows; its last row shows eighths where the hill is solid."""
    if level <= _GROUND:
        canvas.put(x, base, "▁", Ink.GROUND)
        return
    full, rest = divmod(round(level * 8), 8)
    for row in range(full):
        canvas.put(x, base - row, _texture(ink, x, row), ink)
    if rest and ink is Ink.HILL:
        canvas.put(x, base - full, _EIGHTHS[rest], ink)
    elif rest >= 4 or not full:
        canvas.put(x, base - full, _texture(ink, x, full), ink)


def silhouette(
    canvas: Canvas, target: Hill, x: int, cells_per_s: float, base: int, height: int, *, inside: bool = False
) -> None:
    """Draw the dotted outline of the prescribed rep from column `x` on, wherever it stands clear of what is filled.

    Parameters
    ----------
    inside
        Also draw it as dots in a filled hill that goes beyond it.
    """
    for column, row in _path(outline(target), x, cells_per_s, base, height):
        if canvas.at(column, row)[0] == " ":
            if not _touches(canvas, column, row):
                canvas.put(column, row, "·", Ink.TARGET)
        elif inside and _is_deep(canvas, column, row):
            canvas.put(column, row, "·", Ink.INSIDE)


def _touches(canvas: Canvas, column: int, row: int) -> bool:
    """Whether the cell leans on a filled one: a dot there would only blur the edge."""
    return any(canvas.at(column + side, row)[1] in _FILLED for side in (-1, 1))


def _is_deep(canvas: Canvas, column: int, row: int) -> bool:
    around = ((column, row), (column, row - 1), (column - 1, row), (column + 1, row))
    return all(canvas.at(*cell)[1] in (Ink.HILL, Ink.INSIDE) for cell in around)


def _path(pieces: Outline, x: int, cells_per_s: float, base: int, height: int) -> list[tuple[int, int]]:
    """Cells on the outline, one a column where it is flat, one a row where it is steep."""
    cells: dict[tuple[int, int], None] = {}
    for (start_s, start), (end_s, end) in pairwise(knees(pieces)):
        steps = round(max((end_s - start_s) * cells_per_s, abs(end - start) * height))
        for step in range(steps):
            share = (step + 0.5) / steps
            column = x + int((start_s + share * (end_s - start_s)) * cells_per_s)
            cells[(column, _row(start + share * (end - start), base, height))] = None
    return list(cells)


def _row(level: float, base: int, height: int) -> int:
    return base - min(height - 1, int(level * height))


def walker(canvas: Canvas, target: Hill, at_s: float, x: int, cells_per_s: float, base: int, height: int) -> None:
    """Put a dot on the outline, `at_s` seconds into the prescribed rep: where its pace would be now."""
    level, _ = height_at(outline(target), at_s)
    canvas.put(x + int(at_s * cells_per_s), _row(level, base, height), "●", Ink.WALKER)


def draw(hill: Hill, target: Hill | None, width: int, height: int) -> Rows:
    """Draw one hill over its target, both to the scale at which the longer fills the width.

    Parameters
    ----------
    target
        The prescribed rep; None draws the hill alone.
    width, height
        Cells.

    Returns
    -------
    `height` rows of `width` cells.
    """
    canvas = Canvas(width, height)
    own_s = duration_s(outline(hill, target))
    longest_s = max(own_s, duration_s(outline(target)) if target else 0.0)
    if longest_s >= LEAST_S and width > 0 and height > 0:
        cells_per_s = width / longest_s
        fill(canvas, hill, target, 0, round(own_s * cells_per_s), height - 1, height)
        if target:
            silhouette(canvas, target, 0, cells_per_s, height - 1, height, inside=True)
    return canvas.rows()
