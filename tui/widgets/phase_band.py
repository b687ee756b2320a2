"""The time in the present phase against its target: a band that fills, then grows thick and says what comes now."""

from __future__ import annotations

from dataclasses import dataclass

from textual.reactive import reactive

from tui.widgets.block_digits import draw_block
from tui.widgets.canvas import Canvas, Ink, Row, Rows, size
from tui.widgets.drawing import Drawing

LEAST_BLOCK = 6
"""Cells of the band that stay a solid block beside a word."""
LEAST_LETTER = 3
"""Rows of a letter that is read at three metres."""
GAP = 2


@dataclass(frozen=True, slots=True)
class Progress:
    """How much of how much.

    Attributes
    ----------
    done_s, target_s
        Seconds; a target of None or 0 gives no band, only the number.
    words
        What stands under the band.
    then
        What to do once the target is met, in capitals; empty where there is nothing to say.
    """

    done_s: float
    target_s: float | None
    words: str = ""
    then: str = ""

    @property
    def met(self) -> bool:
        """Whether the target's time has passed."""
        return bool(self.target_s) and self.done_s >= (self.target_s or 0.0)


def draw_band(progress: Progress, width: int, height: int) -> Rows:
    """Draw the band.

    While the target is not reached it is a thin line that grows along a track towards an upright; once reached, it is a
    solid block of the band's whole height, and what to do now stands beside it in letters as high.

    Returns
    -------
    `height` rows: the band, and under it the words (over it nothing).
    """
    tall = max(1, height - 1) if height > 1 else height
    canvas = Canvas(width, tall)
    if progress.target_s and width > 1:
        _fill(canvas, progress)
    rows = _with_word(canvas, progress) if progress.met else canvas.rows()
    return (*rows, _caption(progress)) if height > 1 else rows


def _with_word(canvas: Canvas, progress: Progress) -> Rows:
    """Put what to do now in the place of the band's right end, where both have room."""
    word = draw_block(progress.then, canvas.width - LEAST_BLOCK - GAP, canvas.height)
    cells = max(map(size, word), default=0)
    if not cells or len(word) < LEAST_LETTER:
        return canvas.rows()
    above = (canvas.height - len(word)) // 2
    for y in range(canvas.height):
        canvas.write(canvas.width - cells - GAP, y, " " * (cells + GAP), Ink.BLANK)
    for y, ((text, ink),) in enumerate(word):
        canvas.write(canvas.width - cells, above + y, text, ink)
    return canvas.rows()


def _fill(canvas: Canvas, progress: Progress) -> None:
    last, ground = canvas.width - 1, canvas.height - 1
    share = min(1.0, max(0.0, progress.done_s / (progress.target_s or 1.0)))
    if progress.met:
        for y in range(canvas.height):
            canvas.write(0, y, "█" * canvas.width, Ink.HILL)
        return
    reached = int(share * last)
    canvas.write(0, ground, "▄" * reached, Ink.HILL)
    canvas.write(reached, ground, "▁" * (last - reached), Ink.TARGET)
    for y in range(canvas.height):
        canvas.put(last, y, "▐", Ink.TEXT)


def _caption(progress: Progress) -> Row:
    return ((progress.words, Ink.TEXT),)


class PhaseBand(Drawing):
    """The band of one phase, or of a rest."""

    progress: reactive[Progress | None] = reactive(None)

    def draw(self, width: int, height: int) -> Rows:
        """Return the band; nothing outside a phase."""
        return draw_band(self.progress, width, height) if self.progress else ()
