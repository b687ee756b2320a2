"""The check of a session as it is drawn: a row a rep with its hill over the target, a ridge a set; pure."""

from __future__ import annotations

from analysis.training.verdict import Outcome, PhaseVerdict
from tui.session.messages import Hill
from tui.views.check_view import CheckRep, CheckSet, CheckView, Filter
from tui.widgets.canvas import Ink, Row, Rows, fitted, spread
from tui.widgets.hill import draw
from tui.widgets.labels import joined, set_marks, whole_parts
from tui.widgets.ridge import RidgeView, draw_ridge
from tui.words.check_words import PHASES, figure, named, target, why

NUMBER = 4
FIGURE = 11
VERDICT = 15
SIGMA = "± one sigma"
SET_LINES = 5
"""Lines of a set in the list, the blank one included."""


def hill_cells(width: int) -> int:
    """Return how wide the hill of a rep is in a row of `width` cells."""
    return max(len(SIGMA), min(24, width - NUMBER - 2 - FIGURE * len(PHASES) - VERDICT))


def draw_heads(view: CheckView, width: int) -> Row:
    """Return the line above the reps: what was asked of each phase."""
    heads = "".join(f"{f'{name} {target(view, name)}':<{FIGURE}}" for name in PHASES)
    return fitted(((f"{f'rep  {SIGMA}':<{NUMBER + hill_cells(width) + 2}}{heads}verdict", Ink.MUTED),), width)


def draw_rep(rep: CheckRep, target_hill: Hill, width: int, height: int) -> Rows:
    """Return a rep in `height` lines, two or three: its hill, its phases and verdict, what was off, what else was seen.

    Parameters
    ----------
    target_hill
        The prescribed rep.
    """
    cells = hill_cells(width)
    hill = draw(rep.hill, target_hill, cells, height)
    figures: Row = tuple(_figure(named(rep, name)) for name in PHASES)
    verdict = (str(rep.outcome), Ink.ATTENTION if rep.outcome is Outcome.MISSED else Ink.TEXT)
    mark = "corrected" if rep.corrected else ""
    off, seen = joined(*why(rep), mark), joined(*rep.beside)
    beside = [text for text in (off, seen) if text] if height > 2 else [joined(off, seen)]
    blank = [""] * (height - 1 - len(beside))
    room = width - NUMBER - cells - 2
    texts: list[Row] = [(*figures, verdict), *(((whole_parts(text, room), Ink.TEXT),) for text in (*beside, *blank))]
    numbers = (f"{rep.number:>{NUMBER - 1}} ", *(" " * NUMBER,) * (height - 1))
    return tuple(
        fitted(((number, Ink.STRONG), *row, ("  ", Ink.BLANK), *text), width)
        for number, row, text in zip(numbers, hill, texts, strict=False)
    )


def _figure(phase: PhaseVerdict | None) -> tuple[str, Ink]:
    off = phase is not None and bool(phase.target_s) and phase.outcome is Outcome.MISSED
    return f"{figure(phase):<{FIGURE}}", Ink.ATTENTION if off else Ink.TEXT


def draw_set(done: CheckSet, width: int, chosen: Filter) -> Rows:
    """Return a set of the list: its words, its ridge with the marks of its reps, and how many reps a filter leaves."""
    left = f"{len(done.shown(chosen))} {chosen}" if chosen is not Filter.ALL and done.reps else ""
    head = spread(((done.title, Ink.STRONG),), ((left, Ink.TEXT),), width) if left else ((done.title, Ink.STRONG),)
    if not done.hills:
        return fitted(head, width), fitted((("no motion of this set", Ink.MUTED),), width)
    view = RidgeView(hills=done.hills, target=done.target, marks=set_marks(done.verdict) if done.reps else ())
    return fitted(head, width), *draw_ridge(view, width, SET_LINES - 2)
