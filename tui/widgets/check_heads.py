"""What stands above the reps of a check: the session in a few sentences, and the chosen set in figures."""

from __future__ import annotations

from collections.abc import Iterator

from textual.geometry import Size
from textual.reactive import reactive

from analysis.training.words import day
from tui.views.check_view import CheckSet, CheckView
from tui.widgets.canvas import Ink, Row, Rows, fitted, spread
from tui.widgets.check_table import draw_heads
from tui.widgets.drawing import Drawing
from tui.widgets.labels import joined, whole_parts
from tui.widgets.lines import draw_lines
from tui.widgets.small_ridges import small_ridges


def corrections_words(view: CheckView) -> str:
    """Say that there are corrections, and where; empty where there are none."""
    many = len(view.marks)
    return f"{many} {'correction' if many == 1 else 'corrections'} (h)" if many else ""


def draw_head(view: CheckView, width: int) -> Rows:
    """Return who, when and the verdict; what was asked; the summary in up to three sentences."""
    who = ((f" {view.trainee} · {day(view.day)}", Ink.STRONG),)
    judged = ((f"{joined(corrections_words(view), str(view.outcome or 'not judged'))} ", Ink.STRONG),)
    asked = fitted(((f" {whole_parts(joined(view.asked, *view.notes), width - 1)}", Ink.MUTED),), width)
    return spread(who, judged, width), asked, *draw_lines(tuple((text, Ink.TEXT) for text in view.summary), width)


class CheckHead(Drawing):
    """The session."""

    DEFAULT_CSS = "CheckHead { height: auto; margin-bottom: 1; }"
    view: reactive[CheckView] = reactive(None, layout=True)  # type: ignore[arg-type]

    def __init__(self, view: CheckView) -> None:
        super().__init__()
        self.set_reactive(CheckHead.view, view)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """Return the number of lines at this width."""
        return len(draw_head(self.view, width))

    def draw(self, width: int, height: int) -> Rows:
        """Return the lines."""
        return draw_head(self.view, width)


def draw_set_head(view: CheckView, one: CheckSet | None, listed: str, width: int) -> Rows:
    """Return the chosen set: its words, its ridge in one line, what was met and missed, corrections, column heads.

    Parameters
    ----------
    one
        None where the session has no set.
    listed
        Which reps are listed.
    """
    if one is None:
        return ()
    text: Row = ((f" {one.title}", Ink.STRONG),)
    ridge = (
        (fitted(((" ", Ink.BLANK), *small_ridges([(one.hills, one.target)], width - 2)), width),) if one.hills else ()
    )
    lines = draw_lines(((joined(*one.lines), Ink.TEXT),), width) if one.lines else ()
    said = draw_lines(tuple((text, Ink.TEXT) for text in _corrected_words(one)), width)
    heads = (fitted((("  ", Ink.BLANK), *draw_heads(view, width - 2)), width),) if one.reps else ()
    return spread(text, ((f"{listed} ", Ink.MUTED),), width), *ridge, *lines, *said, *heads


def _corrected_words(one: CheckSet) -> Iterator[str]:
    """Yield the last correction of a set, and how many there are beside it: they must not push the reps away."""
    if one.corrected:
        yield f"corrected {one.corrected[-1]}"
    earlier = len(one.corrected) - 1
    if earlier > 0:
        yield f"{earlier} {'correction' if earlier == 1 else 'corrections'} of this set before that: h"


class SetHead(Drawing):
    """The chosen set."""

    chosen: reactive[tuple[CheckSet | None, str]] = reactive((None, ""), layout=True)

    def __init__(self, view: CheckView) -> None:
        super().__init__(id="set")
        self._view = view

    def show(self, view: CheckView, one: CheckSet | None, listed: str) -> None:
        """Show another set, or the same one as it is now."""
        self._view = view
        self.chosen = (one, listed)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """Return the number of lines at this width."""
        return len(draw_set_head(self._view, *self.chosen, width))

    def draw(self, width: int, height: int) -> Rows:
        """Return the lines."""
        return draw_set_head(self._view, *self.chosen, width)
