"""A whole session as one line of small hills, its sets side by side; pure."""

from __future__ import annotations

from collections.abc import Sequence

from analysis.training.verdict import Outcome
from tui.session.messages import Hill
from tui.widgets.canvas import Canvas, Ink, Row
from tui.widgets.hill import duration_s, fill, is_gap, outline
from tui.widgets.ridge import widths

APART = 3
"""Blank cells between sets."""
WIDEST = 6
"""Cells a hill on average, at most."""

SmallSet = tuple[Sequence[Hill], Hill]
"""The reps of a set, and the prescribed one."""


def small_ridges(sets: Sequence[SmallSet], width: int, *, share: int = 1) -> Row:
    """Draw the sets in one row.

    Parameters
    ----------
    share
        So many neighbours share a cell at least (`shared`): what stands in a list is drawn to one scale.

    Returns
    -------
    A row of `width` cells. Hills are as wide as their time where there are three cells a hill or more; with two, each
    is a pair of flanks, with one, a bar of its height. With less, neighbours share a bar, which is as high as the lower
    one.
    """
    canvas = Canvas(width, 1)
    share = max(share, shared(sets, width))
    sets = _joined(sets, share)
    reps = sum(len(hills) for hills, _ in sets)
    if reps == 0 or width <= 0:
        return canvas.rows()[0]
    room = min((WIDEST if share == 1 else 1) * reps, width - APART * (len(sets) - 1))
    total_s = sum(duration_s(outline(hill, target)) for hills, target in sets for hill in hills)
    x = 0
    for hills, target in sets:
        for hill, cells in zip(hills, _cells(hills, target, room // reps, room / max(0.1, total_s)), strict=True):
            _small(canvas, hill, target, x, cells)
            x += cells
        x += APART
    return canvas.rows()[0]


def shared(sets: Sequence[SmallSet], width: int) -> int:
    """Return how many neighbours have to share a cell, so that all reps find one; 1 where each has its own."""
    counts = [len(hills) for hills, _ in sets if hills]
    room = max(len(counts), width - APART * (len(sets) - 1))
    return next(share for share in range(1, 2 + sum(counts)) if sum(-(-count // share) for count in counts) <= room)


def _joined(sets: Sequence[SmallSet], share: int) -> Sequence[SmallSet]:
    if share == 1:
        return sets
    return [([_lowest(hills[at : at + share]) for at in range(0, len(hills), share)], target) for hills, target in sets]


def _lowest(hills: Sequence[Hill]) -> Hill:
    return min(hills, key=lambda hill: hill.height)


def _cells(hills: Sequence[Hill], target: Hill, each: int, cells_per_s: float) -> Sequence[int]:
    return widths(hills, target, cells_per_s, least=2) if each >= 3 else (max(1, each),) * len(hills)


def _small(canvas: Canvas, hill: Hill, target: Hill, x: int, cells: int) -> None:
    if cells == 2:
        canvas.write(x, 0, _pair(hill), Ink.HILL)
    else:
        fill(canvas, hill, target, x, cells, 0, 1)


def _pair(hill: Hill) -> str:
    """Return a hill of two cells: too narrow for a slope in eighths, wide enough for two flanks."""
    if is_gap(hill):
        return "  "
    if not hill.counted:
        return "▗▖"
    return "▞▚" if hill.outcome is Outcome.UNSURE else "▟▙"
