"""A set as a ridge of hills, newest right, with the reps still to come as dotted silhouettes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import accumulate, pairwise

from textual.reactive import reactive

from analysis.motion.events import Phase
from analysis.training.verdict import Outcome
from tui.session.messages import Hill
from tui.widgets.canvas import Canvas, Ink, Rows
from tui.widgets.drawing import Drawing
from tui.widgets.hill import duration_s, fill, is_gap, outline, silhouette, walker

_SIGNS = {Outcome.MISSED: "×", Outcome.UNSURE: "?", Outcome.NOT_MEASURABLE: "–"}
LEAST_CELLS = 3
"""Narrowest hill that still shows a slope; a longer set moves out on the left instead."""
MOST_CELLS_PER_S = 6.0
SLACK = 1.2
"""Room for each rep to come, in shares of its prescribed time: pauses between reps are seldom prescribed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RidgeView:
    """What a ridge shows.

    Attributes
    ----------
    planned
        Prescribed reps; those not yet done stand at the right as silhouettes (0: none).
    marks
        A short word under a rep, "" for none; may be shorter than `hills`.
    phase, phase_s
        Where the trainee is now: a dot on the silhouette of the rep in progress.
    """

    hills: tuple[Hill, ...] = ()
    target: Hill
    planned: int = 0
    marks: tuple[str, ...] = ()
    phase: Phase = Phase.AWAY
    phase_s: float = 0.0

    @property
    def to_come(self) -> int:
        """Silhouettes to draw after the last hill."""
        return max(0, self.planned - sum(hill.counted for hill in self.hills))


def widths(hills: Sequence[Hill], target: Hill, cells_per_s: float, least: int = LEAST_CELLS) -> tuple[int, ...]:
    """Return each hill's cells: proportional to its time, rounded so that errors do not add up."""
    ends = [0.0, *accumulate(duration_s(outline(hill, target)) * cells_per_s for hill in hills)]
    return tuple(max(least, round(end) - round(start)) for start, end in pairwise(ends))


def scale(view: RidgeView, width: int) -> float:
    """Return cells per second at which hills and silhouettes together fit `width`."""
    done_s = sum(duration_s(outline(hill, view.target)) for hill in view.hills)
    each_s = max(0.1, duration_s(outline(view.target))) * SLACK
    whole_s = max(done_s + view.to_come * each_s, view.planned * each_s, 0.1)
    return min(MOST_CELLS_PER_S, width / whole_s)


def draw_ridge(view: RidgeView, width: int, height: int) -> Rows:
    """Draw the ridge; the last row holds marks where there are at least three rows."""
    marked = height >= 3
    base = height - 1 - marked
    if width <= 0 or base < 0:
        return Canvas(width, height).rows()
    view = _held(view)
    still = _still(replace(view, phase=Phase.AWAY, phase_s=0.0), width, height, base)
    canvas = still.canvas.copied()
    _walk(canvas, view, still.starts, still.cells_per_s, base)
    if marked:
        _mark(canvas, view, still.centres, height - 1)
    return canvas.rows()


@dataclass(frozen=True, slots=True)
class _Still:
    """A ridge without the one who walks on it."""

    canvas: Canvas
    starts: tuple[int, ...]
    centres: tuple[int, ...]
    cells_per_s: float


@lru_cache(maxsize=4)
def _still(view: RidgeView, width: int, height: int, base: int) -> _Still:
    """Draw what stays from frame to frame; nothing is drawn on it afterwards."""
    canvas = Canvas(width, height)
    cells_per_s = scale(view, width)
    cells = widths(view.hills, view.target, cells_per_s)
    step = max(LEAST_CELLS, int(duration_s(outline(view.target)) * SLACK * cells_per_s))
    x = min(0, width - sum(cells) - step * min(1, view.to_come))
    starts = [x, *accumulate(cells, initial=x)][1:]
    for hill, start, size in zip(view.hills, starts, cells, strict=False):
        fill(canvas, hill, view.target, start, size, base, base + 1)
    coming = [starts[-1] + index * step for index in range(view.to_come)]
    seen = [start for hill, start in zip(view.hills, starts, strict=False) if not is_gap(hill)]
    for start in [*seen, *coming]:
        silhouette(canvas, view.target, start, cells_per_s, base, base + 1)
    centres = tuple(start + size // 2 for start, size in zip(starts, cells, strict=False))
    return _Still(canvas, tuple(starts), centres, cells_per_s)


def _held(view: RidgeView) -> RidgeView:
    """Let the hold in progress grow."""
    last = view.hills[-1] if view.hills else None
    if last and last.provisional and last.top_s is None and view.phase is Phase.TOP:
        return replace(view, hills=(*view.hills[:-1], replace(last, top_s=view.phase_s)))
    return view


def _walk(canvas: Canvas, view: RidgeView, starts: Sequence[int], cells_per_s: float, base: int) -> None:
    """Show the trainee's place: phases done as prescribed, plus the time in this one, waiting at its end."""
    up_s, top_s, down_s = (piece or 0.0 for piece in (view.target.up_s, view.target.top_s, view.target.down_s))
    before_s, most_s = {
        Phase.UP: (0.0, up_s),
        Phase.TOP: (up_s, top_s),
        Phase.DOWN: (up_s + top_s, down_s),
    }.get(view.phase, (0.0, 0.0))
    if most_s <= 0 and view.phase is not Phase.TOP:
        return
    begun = bool(view.hills) and view.hills[-1].provisional
    at_s = before_s + min(view.phase_s, most_s * 0.999)
    walker(canvas, view.target, at_s, starts[-2] if begun else starts[-1], cells_per_s, base, base + 1)


def _mark(canvas: Canvas, view: RidgeView, centres: Sequence[int], row: int) -> None:
    """Put a sign under each rep that has one; from the newest to the oldest, a word takes its place where it fits."""
    signs = {centre: sign_of(hill) for centre, hill in zip(centres, view.hills, strict=True)}
    for centre, sign in signs.items():
        canvas.write(centre, row, sign, Ink.MUTED if sign == "?" else Ink.ATTENTION)
    taken = {centre for centre, sign in signs.items() if sign}
    for centre, word in reversed(list(zip(centres, view.marks, strict=False))):
        start = min(centre - len(word) // 2, canvas.width - len(word))
        cells = set(range(start - 1, start + len(word) + 1))
        if word and start >= 0 and not cells & (taken - {centre}):
            canvas.put(centre, row, " ", Ink.BLANK)
            canvas.write(start, row, word, Ink.ATTENTION)
            taken |= cells


def sign_of(hill: Hill) -> str:
    """Return the one-character mark of a rep; empty for one that was met, or is not judged yet."""
    if not hill.counted:
        return "½" if hill.height > 0 else "–"
    return _SIGNS.get(hill.outcome, "") if hill.outcome else ""


class Ridge(Drawing):
    """The ridge of one set."""

    view: reactive[RidgeView | None] = reactive(None)

    def draw(self, width: int, height: int) -> Rows:
        """Return the ridge, or nothing while there is none."""
        return draw_ridge(self.view, width, height) if self.view else ()
