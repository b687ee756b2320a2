"""The replay of a session: the whole as one ridge, under it the stretch in sight, and what is said of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from textual.reactive import reactive

from tui.retrace.place import Place
from tui.retrace.signals import Sight
from tui.retrace.skyline import Skyline
from tui.retrace.view import RetraceView
from tui.session.messages import Hill
from tui.widgets.canvas import Canvas, Ink, Rows, fitted, spread
from tui.widgets.drawing import Drawing
from tui.widgets.labels import whole_parts
from tui.widgets.retrace_ridge import draw_ground, draw_hills, draw_marks, draw_signs, draw_whole
from tui.widgets.retrace_rows import draw_live, draw_raw, draw_refined, live_name
from tui.widgets.retrace_scale import Scale
from tui.widgets.retrace_traces import draw_band, draw_edges
from tui.widgets.retrace_words import draw_words

GUTTER = 13
"""Cells left of the stretch in sight: names and values."""
_WORDS = 4
_ROWS = 3
"""Raw, live and refined answer."""
_READING = "reading the motion …"


@dataclass(frozen=True, slots=True)
class RetracePicture:
    """What the drawing shows.

    Attributes
    ----------
    skyline
        The upper edge of the view's reps.
    sight
        The motion in sight, in `sight_columns` columns; None while it is read.
    over, compared
        Drawn behind each rep in the place of the prescribed one, and how the rep at the head differs from it.
    """

    view: RetraceView
    skyline: Skyline
    place: Place
    sight: Sight | None
    over: Hill | None = None
    compared: str = ""


@dataclass(frozen=True, slots=True)
class Heights:
    """Rows of each part."""

    whole: int
    hills: int
    position: int
    acceleration: int


def heights(height: int) -> Heights:
    """Share out the rows of a screen: what is left after the fixed ones goes to the pictures in turn."""
    spare = height - 2 - 1 - 1 - _ROWS - _WORDS  # title, window row, signs, thin rows, words
    whole = max(1, min(4, spare // 6))
    hills = max(2, (spare - whole) // 3)
    position = max(2, (spare - whole - hills + 1) // 2)
    return Heights(whole, hills, position, max(2, spare - whole - hills - position))


def sight_columns(width: int) -> int:
    """Return the dot columns that a screen of `width` cells has for the stretch in sight."""
    return 2 * max(0, width - GUTTER)


def draw_retrace(picture: RetracePicture, width: int, height: int) -> Rows:
    """Return the whole picture."""
    view, place = picture.view, picture.place
    rows = heights(height)
    canvas = Canvas(width, max(0, height - 2 - _WORDS))
    whole = Scale(view.start_s, view.end_s, width)
    window, above = (place.from_s, place.to_s), (rows.whole - 1, rows.whole)
    draw_whole(canvas, view, picture.skyline, whole, window, place.head_s, above)
    near = Scale(place.from_s, place.to_s, max(0, width - GUTTER), GUTTER)
    top = rows.whole + 1
    _near(canvas, picture, near, top, rows)
    title = spread(((view.title, Ink.STRONG),), ((_counts(view), Ink.TEXT),), width)
    return (
        title,
        fitted(((whole_parts(view.asked, width), Ink.MUTED),), width),
        *canvas.rows(),
        *draw_words(view, place, width, picture.compared),
    )


def _near(canvas: Canvas, picture: RetracePicture, scale: Scale, top: int, rows: Heights) -> None:
    view, place, sight = picture.view, picture.place, picture.sight
    base = top + rows.hills - 1
    draw_ground(canvas, view, scale, base, view.faults)
    draw_hills(canvas, view, picture.skyline, scale, base, rows.hills, over=picture.over)
    draw_signs(canvas, view, scale, base + 1)
    first = base + 2
    below = range(first, first + rows.position + rows.acceleration)
    draw_edges(canvas, view, scale, below)
    _head(canvas, place.head_s, scale, range(base + 1, below.stop + _ROWS))
    draw_marks(canvas, view.notes, scale, base + 1)
    if sight is None:
        canvas.write(scale.x, first, _READING, Ink.MUTED)
    else:
        if sight.position:
            draw_band(canvas, sight.position, scale, first, rows.position)
        draw_band(canvas, sight.acceleration, scale, first + rows.position, rows.acceleration)
        draw_raw(canvas, sight.ways, scale, below.stop)
    draw_live(canvas, view.live, place.head_s, scale, below.stop + 1)
    draw_refined(canvas, view, scale, below.stop + 2)
    for row, name in enumerate(("raw", live_name(view.live, place.head_s), "refined")):
        canvas.write(max(0, scale.x - 1 - len(name)), below.stop + row, name, Ink.MUTED)
    _clear_gutter(canvas, top, base + 1)


def _head(canvas: Canvas, head_s: float, scale: Scale, rows: Sequence[int]) -> None:
    """Draw the head as a line where nothing else stands, a pointer at its foot."""
    if scale.has(head_s):
        for row in rows:
            canvas.put(scale.kept(head_s), row, "┃", Ink.WALKER)


def _clear_gutter(canvas: Canvas, top: int, end: int) -> None:
    """Take away what hills that begin out of sight left in the gutter."""
    for row in range(top, end + 1):
        for column in range(GUTTER):
            canvas.put(column, row, " ", Ink.BLANK)


def _counts(view: RetraceView) -> str:
    """Say the reps of each set, ? where they cannot be relied on; of holds the seconds."""
    held = [f"{one.held_s:.0f}" for one in view.sets if one.held_s is not None]
    if held and len(held) == len(view.sets):
        return f"{', '.join(held)} s held"
    reps = [(sum(rep.hill.counted for rep in one.reps), "" if one.measured else "?") for one in view.sets]
    return f"{', '.join(f'{count}{doubt}' for count, doubt in reps)} reps" if reps else "no set"


class Retrace(Drawing):
    """The picture of a replay."""

    picture: reactive[RetracePicture | None] = reactive(None)

    def draw(self, width: int, height: int) -> Rows:
        """Return the rows."""
        return draw_retrace(self.picture, width, height) if self.picture else ()
