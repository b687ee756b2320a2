"""The time in the present phase against its target, as a band that fills and then grows thick."""

from __future__ import annotations

from dataclasses import dataclass

from textual.reactive import reactive

from tui.widgets.canvas import Canvas, Ink, Row, Rows
from tui.widgets.drawing import Drawing


@dataclass(frozen=True, slots=True)
class Progress:
    """How much of how much.

    Attributes
    ----------
    done_s, target_s
        Seconds; a target of None or 0 gives no band, only the number.
    words
        What stands under the band.
    """

    done_s: float
    target_s: float | None
    words: str = ""

    @property
    def met(self) -> bool:
        """Whether the target's time has passed."""
        return bool(self.target_s) and self.done_s >= (self.target_s or 0.0)


def draw_band(progress: Progress, width: int, height: int) -> Rows:
    """Draw the band.

    While the target is not reached it is a thin line that grows along a track towards an upright; once reached, it is a
    solid block of the band's whole height.

    Returns
    -------
    `height` rows: the band, and under it the words (over it nothing).
    """
    tall = max(1, height - 1) if height > 1 else height
    canvas = Canvas(width, tall)
    if progress.target_s and width > 1:
        _fill(canvas, progress)
    rows = canvas.rows()
    return (*rows, _caption(progress)) if height > 1 else rows


def _fill(canvas: Canvas, progress: Progress) -> None:
    last = canvas.width - 1
    share = min(1.0, max(0.0, progress.done_s / (progress.target_s or 1.0)))
    for y in range(canvas.height):
        for x in range(canvas.width):
            if progress.met:
                canvas.put(x, y, "█", Ink.HILL)
            elif x == last:
                canvas.put(x, y, "▐", Ink.TEXT)
            elif y == canvas.height - 1:
                reached = x < int(share * last)
                canvas.put(x, y, "▄" if reached else "▁", Ink.HILL if reached else Ink.TARGET)


def _caption(progress: Progress) -> Row:
    return ((progress.words, Ink.TEXT),)


class PhaseBand(Drawing):
    """The band of one phase, or of a rest."""

    progress: reactive[Progress | None] = reactive(None)

    def draw(self, width: int, height: int) -> Rows:
        """Return the band; nothing outside a phase."""
        return draw_band(self.progress, width, height) if self.progress else ()
