"""All stations at a glance, those first that need a look; enter opens one."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.reactive import reactive

from tui.floor.desk import FloorDesk
from tui.floor.needs import Need
from tui.floor.view import FloorView
from tui.screens.floor_station import FRAMES_PER_S, StationScreen
from tui.screens.floor_words import WORD_KEYS, FloorWords
from tui.widgets.canvas import Ink, Row, Rows, spread
from tui.widgets.drawing import Drawing
from tui.widgets.floor_tiles import FloorTiles
from tui.widgets.key_line import KeyLine, Keys
from tui.widgets.lines import Lines, Text

if TYPE_CHECKING:
    from tui.app import RungwiseApp

_KEYS: Keys = (("q", "stop"), ("?", "help"))
_LEGEND = (
    "A tile is a station: who trains there, which set, the count, the phase with its seconds of those asked, or the "
    "rest. Then the set as hills, and how the link is.",
    "◆ and a word: it needs a look. Those stand first: pain or a stop, a failed attempt or a set that ended early, a "
    "lost link, form; then the others by name. A tile goes back once it was calm for a while.",
    "A note or a changed target is shown at the station in the rest, and takes effect at the next set; the tile says "
    "when it was shown.",
)


class _Title(Drawing):
    view: reactive[FloorView] = reactive(FloorView())
    seen: reactive[tuple[int, int]] = reactive((0, 0))

    def draw(self, width: int, height: int) -> Rows:
        """Say how many there are, how many need a look, and which of them have room."""
        count, need = len(self.view.tiles), self.view.need
        title = f" Floor: {need} of {count} {'needs' if need == 1 else 'need'} a look" if count else " Floor"
        return (spread(((title, Ink.STRONG),), self._others(), width),)

    def _others(self) -> Row:
        """Say what has no room; of those there who need a look, the first one by name."""
        (first, last), tiles = self.seen, self.view.tiles
        if last - first >= len(tiles):
            return ()
        shown = f"{first + 1}–{last} of {len(tiles)} shown, "
        for at, one in enumerate(tiles):
            if one.look.need < Need.NONE and not first <= at < last:
                way = "home" if at < first else "↓"
                return ((f"{shown}{way}: ", Ink.MUTED), (f"◆ {one.name} {one.look.words} ", Ink.ATTENTION))
        return ((f"{shown}↑ ↓ for the others ", Ink.MUTED),)


class FloorScreen(FloorWords):
    """The floor.

    Parameters
    ----------
    desk
        What is seen, and takes what is said.
    """

    if TYPE_CHECKING:
        app: RungwiseApp
    DEFAULT_CSS = """
    FloorScreen _Title { height: 1; }
    FloorScreen FloorTiles, FloorScreen #empty { height: 1fr; }
    FloorScreen #empty { margin-top: 1; }
    FloorScreen KeyLine { height: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = []

    def __init__(self, desk: FloorDesk) -> None:
        super().__init__(desk)
        self.title_line, self.tiles = _Title(), FloorTiles()
        self.empty, self.key_line = Lines(id="empty"), KeyLine(_KEYS)
        self._view = FloorView()

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        yield self.title_line
        yield self.tiles
        yield self.empty
        yield self.said_line
        yield self.key_line

    def keys(self) -> Keys:
        """Return the keys that do something now."""
        rooms: Keys = (("g", "go to"),) if self.app.occasion.rooms else ()
        if not self._view.tiles:
            return (*_KEYS, *rooms)
        return (*_KEYS, ("enter", "open"), ("↑ ↓ ← →", "move"), *WORD_KEYS, *rooms)

    def legend(self) -> tuple[str, ...]:
        """Say how a tile is read, and what came to know lately, the newest first."""
        return (*_LEGEND, *self.desk.news())

    def about(self) -> str:
        """Return the station of the chosen tile."""
        return self.tiles.chosen

    def on_mount(self) -> None:
        """Begin to look."""
        self.watch(self.tiles, "chosen", self._chosen)
        self.look()
        self.set_interval(1 / FRAMES_PER_S, self._frame)

    def on_screen_resume(self) -> None:
        """Stand on the station that was looked at last."""
        if self.desk.name:
            self.tiles.chosen = self.desk.name

    def _frame(self) -> None:
        if self.is_current:
            self.look()

    def look(self) -> None:
        """Show all stations as they are now."""
        before, self._view = self._view, self.desk.look()
        view = self._view
        self.title_line.view = view
        self.tiles.display, self.empty.display = bool(view.tiles), not view.tiles
        if view.tiles and not self.tiles.chosen:
            self.tiles.set_reactive(FloorTiles.chosen, view.tiles[0].name)
            self.desk.name = view.tiles[0].name
        self.tiles.tiles = view.tiles
        self.title_line.seen = self.tiles.seen() if view.tiles else (0, 0)
        if not view.tiles:
            self.empty.text = self._empty()
        if bool(view.tiles) != bool(before.tiles) or not self.key_line.keys[2:]:
            self.key_line.keys = self.keys()
            self.tiles.focus()
        self.tell(view.broker, view.trouble)

    def _chosen(self, name: str) -> None:
        self.desk.name = name
        self.desk.pressed()

    def _empty(self) -> Text:
        if self._view.broker:
            return ((self._view.broker, Ink.ATTENTION),)
        return (
            ("No station is here yet.", Ink.STRONG),
            (f"On the computer at a bar: `rungwise train --share {self.desk.where} --station rack-1`.", Ink.TEXT),
            ("Each shows up here by itself, with what was done there before.", Ink.TEXT),
        )

    def on_floor_tiles_taken(self, message: FloorTiles.Taken) -> None:
        """Open the chosen station."""
        self.app.push_screen(StationScreen(self.desk, message.name))
