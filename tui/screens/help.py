"""The keys, and how to read the hills."""

from __future__ import annotations

from functools import cache
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.geometry import Size

from tui.screens.ground import GroundScreen
from tui.session.messages import Hill
from tui.widgets.canvas import Ink, Rows
from tui.widgets.drawing import Drawing
from tui.widgets.hill import draw
from tui.widgets.key_line import Keys
from tui.widgets.lines import Text, draw_lines

_HILL = Hill(up_s=1.0, top_s=0.8, down_s=1.2, bottom_s=0.6)
_TARGET = Hill(up_s=1.0, top_s=1.4, down_s=1.6, bottom_s=0.0)
_LEGEND = (
    "A rep is a hill: wide is time, high is travel.",
    "Left flank up, flat top the hold, right flank down.",
    "Dots: the rep as prescribed. Steep: hurried.",
    "●: now, on the rep as prescribed.",
    "Striped or light: top reached, not counted yet.",
    "▒ frayed: not sure.  No hill: not measurable.",
    "Under a hill: × off, ? unsure, ½ partial, – no answer.",
)
_EXAMPLE_WIDTH, _EXAMPLE_HEIGHT, _MARGIN = 30, 5, "  "


class _Text(Drawing):
    """The keys, an example of a hill, how to read it: one drawing, since each widget more is felt in the key for it."""

    DEFAULT_CSS = "_Text { height: auto; }"

    def __init__(self, keys: Text, legend: Text) -> None:
        super().__init__()
        self._keys, self._legend = keys, legend

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """Return the number of lines at this width."""
        return len(self.draw(width, 0))

    def draw(self, width: int, height: int) -> Rows:
        """Return the lines."""
        return (*draw_lines(self._keys, width), (), *_example(), (), *draw_lines(self._legend, width))


@cache
def _example() -> Rows:
    hill = draw(_HILL, _TARGET, _EXAMPLE_WIDTH, _EXAMPLE_HEIGHT)
    return tuple(((_MARGIN, Ink.BLANK), *row) for row in hill)


class HelpScreen(GroundScreen[None]):
    """An overlay; any of the keys it names closes it.

    Parameters
    ----------
    keys
        Of the screen below.
    has_rooms
        Whether there are rooms to go to.
    legend
        How to read what else is drawn there.
    """

    DEFAULT_CSS = """
    HelpScreen { align: center middle; }
    HelpScreen > VerticalScroll { width: 62; max-width: 96%; height: auto; max-height: 92%; border: round $secondary; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,question_mark,q,enter", "leave", "back"),
        Binding("up", "scroll_text(-1)", "up"),
        Binding("down", "scroll_text(1)", "down"),
        Binding("pageup", "scroll_text(-10)", "up"),
        Binding("pagedown", "scroll_text(10)", "down"),
    ]

    def __init__(self, keys: Keys, has_rooms: bool = False, legend: tuple[str, ...] = ()) -> None:
        super().__init__()
        self._keys, self._has_rooms = keys, has_rooms
        self._legend = legend

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        with VerticalScroll(can_focus=False):
            keys = tuple((f"{key:>7}  {words}", Ink.TEXT) for key, words in self._shown())
            yield _Text(keys, tuple((line, Ink.TEXT) for line in (*_LEGEND, *self._legend)))

    def _shown(self) -> Keys:
        rooms = (("g", "go to another room"), ("ctrl+p", "everything by its name")) if self._has_rooms else ()
        own = tuple(one for one in self._keys if one[0] != "g")
        return (*own, *rooms, ("b", "bright or dark"), ("esc", "back from here"))

    def action_scroll_text(self, by: int) -> None:
        """Move the text where it is longer than the screen."""
        self.query_one(VerticalScroll).scroll_relative(y=by, animate=False)

    def action_leave(self) -> None:
        """Go back."""
        self.dismiss()
