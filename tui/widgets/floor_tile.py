"""One station as a tile; pure.

What a coach is to see from across the room stands where the eye goes first: why somebody needs a look under the name,
and in block letters where a tile has room for them.
"""

from __future__ import annotations

from functools import lru_cache

from analysis.motion.events import Phase
from tui.floor.needs import Need
from tui.floor.view import TileView
from tui.session.messages import Hill
from tui.widgets.block_digits import draw_block
from tui.widgets.block_font import fit
from tui.widgets.canvas import Ink, Row, Rows, fitted
from tui.widgets.labels import joined
from tui.widgets.ridge import RidgeView, draw_ridge

_HEAD = 4
"""Lines of a tile beside its ridge."""
_LARGE = ((13, 5), (10, 3))
"""From so many lines of a tile on, block letters take so many of them."""
_KEPT = 512


def draw_tile(view: TileView, width: int, height: int, *, chosen: bool = False) -> Rows:
    """Return the lines of a tile.

    Parameters
    ----------
    chosen
        Whether it is the one that keys are about.
    """
    needs = view.look.need < Need.NONE
    where: Row = ((f" {joined(view.where, view.word or view.rung)}", Ink.STRONG if view.word else Ink.TEXT),)
    why: Row = ((f" ◆ {view.look.words}", Ink.ATTENTION),)
    large = _loudest(view, width - 1, next((rows for least, rows in _LARGE if height >= least), 0))
    rows: list[Row] = [
        _rule(view, width, chosen=chosen),
        fitted(why if needs else where, width),
        *large,
        fitted(((f" {view.doing}", Ink.STRONG),), width),
        *_ridge(view.hills, view.target, view.planned, width, max(1, height - _HEAD - len(large))),
        fitted(where if needs else ((f" {view.link}", Ink.MUTED),), width),
    ]
    return tuple(rows[:height])


def _loudest(view: TileView, width: int, height: int) -> Rows:
    """Return what is to be read from farthest away: why it needs a look, else (or where that is long) rest or count."""
    needs = view.look.need < Need.NONE
    why = view.look.words.upper() if needs else ""
    doing = view.doing.partition(" · ")[0].removeprefix("rest ").upper()
    ink = Ink.ATTENTION if needs else Ink.STRONG
    return _large(why, ink, width, height) or _large(doing, ink, width, height)


@lru_cache(maxsize=_KEPT)
def _large(text: str, ink: Ink, width: int, height: int) -> Rows:
    """Return a text in block letters; nothing where it is too long for them."""
    if fit(text, width - 1, height) is None:
        return ()
    rows = draw_block(text, width - 1, height, ink=ink)
    blank = ((),) * (height - len(rows))
    return tuple(fitted(((" ", Ink.BLANK), *row), width + 1) for row in (*rows, *blank))


def _rule(view: TileView, width: int, *, chosen: bool) -> Row:
    """Return the line that holds the names, and shows where a tile begins."""
    line = "━" if chosen else "─"
    mark = "▸" if chosen else line
    needs = view.look.need < Need.NONE
    ink = Ink.ATTENTION if needs else Ink.STRONG if chosen else Ink.MUTED
    who = (f" {view.trainee}" if view.trainee else "", Ink.ATTENTION if needs else Ink.TEXT)
    cut = fitted(((f"{mark} ", ink), (view.name, Ink.ATTENTION if needs else Ink.STRONG), who), max(1, width - 3))
    text, blank = cut[-1]
    if blank is Ink.BLANK:
        return (*cut[:-1], (" ", Ink.BLANK), (line * (len(text) - 1 + 2), ink), (" ", Ink.BLANK))
    return (*cut, (" ", Ink.BLANK), (line, ink), (" ", Ink.BLANK))


@lru_cache(maxsize=_KEPT)
def _ridge(hills: tuple[Hill, ...], target: Hill | None, planned: int, width: int, height: int) -> Rows:
    """Return the set so far; drawn anew only as it changes."""
    if target is None or not (hills or planned):
        return (fitted((), width),) * height
    view = RidgeView(hills=hills, target=target, planned=planned, phase=Phase.AWAY)
    drawn = draw_ridge(view, max(1, width - 2), height)
    return tuple(fitted(((" ", Ink.BLANK), *row), width) for row in drawn)
