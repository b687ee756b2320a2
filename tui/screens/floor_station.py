"""One station of the floor: what is done there now, its ridge as it grows, what was done, what was said."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.reactive import reactive

from tui.floor.desk import FloorDesk
from tui.floor.needs import Need
from tui.floor.view import OpenView
from tui.screens.floor_words import WORD_KEYS, FloorWords
from tui.widgets.block_digits import BlockText
from tui.widgets.canvas import Ink, Rows, spread
from tui.widgets.drawing import Column, Drawing, Line
from tui.widgets.key_line import KeyLine, Keys
from tui.widgets.labels import joined, seconds_words
from tui.widgets.lines import Lines, Text
from tui.widgets.phase_band import PhaseBand, Progress
from tui.widgets.ridge import Ridge, RidgeView

if TYPE_CHECKING:
    from tui.app import RungwiseApp

FRAMES_PER_S = 20.0
"""Stations tell ten states a second: what comes is drawn within a twentieth of one."""
_KEYS: Keys = (("q", "back"), ("?", "help"), *WORD_KEYS)
_MOST_SETS = 6


class _Head(Drawing):
    view: reactive[OpenView | None] = reactive(None)

    def draw(self, width: int, height: int) -> Rows:
        """Say whose station this is, in which set they are, and how the link is or why it needs a look."""
        if self.view is None:
            return ()
        tile = self.view.tile
        who = ((f" {joined(tile.name, tile.trainee)}", Ink.STRONG), (f" · {joined(tile.where, tile.rung)}", Ink.TEXT))
        needs = tile.look.need < Need.NONE
        right = f"◆ {tile.look.words} " if needs else f"{tile.link} "
        return (spread(who, ((right, Ink.ATTENTION if needs else Ink.MUTED),), width),)


class StationScreen(FloorWords):
    """A station.

    Parameters
    ----------
    desk
        What is seen, and takes what is said.
    name
        Of the station.
    """

    if TYPE_CHECKING:
        app: RungwiseApp
    DEFAULT_CSS = """
    StationScreen _Head { height: 1; }
    StationScreen Lines { height: auto; }
    StationScreen #main { height: 25%; min-height: 5; margin: 1 0; }
    StationScreen #number { width: 50%; margin-left: 2; }
    StationScreen #beside { width: 1fr; }
    StationScreen #beside Lines { height: 2; }
    StationScreen PhaseBand { height: 1fr; margin-right: 1; }
    StationScreen Ridge { height: 1fr; min-height: 4; max-height: 16; margin: 0 1 1 1; }
    StationScreen #done { max-height: 6; }
    StationScreen #said { max-height: 6; }
    StationScreen KeyLine { height: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,q", "app.leave", "back")]

    def __init__(self, desk: FloorDesk, name: str) -> None:
        super().__init__(desk)
        self._station = name
        self.head, self.others, self.asked = _Head(), Lines(id="others"), Lines(id="asked")
        self.number, self.words, self.band = BlockText(id="number"), Lines(), PhaseBand()
        self.ridge, self.done, self.said = Ridge(), Lines(id="done"), Lines(id="said")

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        yield self.head
        yield self.others
        yield self.asked
        yield Line(self.number, Column(self.words, self.band, id="beside"), id="main")
        yield self.ridge
        yield self.done
        yield self.said
        yield self.said_line
        yield KeyLine(self.keys())

    def keys(self) -> Keys:
        """Return the keys that do something here."""
        return (*_KEYS, ("g", "go to")) if self.app.occasion.rooms else _KEYS

    def about(self) -> str:
        """Return this station."""
        return self._station

    def on_mount(self) -> None:
        """Begin to look."""
        self.desk.name = self._station
        self.look()
        self.set_interval(1 / FRAMES_PER_S, self._frame)

    def _frame(self) -> None:
        if self.is_current:
            self.look()

    def look(self) -> None:
        """Show the station as it is now."""
        view = self.desk.opened(self._station)
        self.tell(view.broker, "")
        self.others.text = ((view.others, Ink.ATTENTION),) if view.others else ()
        self.head.view = view
        self.asked.text = ((view.asked, Ink.MUTED),) if view.asked else ()
        self.number.text = view.number
        self.words.text = _words(view)
        progress = Progress(view.phase_s, view.phase_target_s, seconds_words(view.phase_s, view.phase_target_s))
        self.band.progress = progress if view.phase_s else None
        self.ridge.view = _ridge(view)
        turns = ((view.turns, Ink.MUTED),) if view.turns else ()
        self.done.text = (*turns, *((line, Ink.TEXT) for line in view.done[-_MOST_SETS:]))
        said = ((line, Ink.STRONG if at == 0 else Ink.MUTED) for at, line in enumerate(view.said))
        self.said.text = ((view.records, Ink.MUTED), *said) if view.records else tuple(said)


def _words(view: OpenView) -> Text:
    phase = view.phase.value.upper() if view.phase_s else ""
    return ((joined(view.number_word, phase), Ink.STRONG), (view.cue, Ink.ATTENTION))


def _ridge(view: OpenView) -> RidgeView | None:
    tile = view.tile
    if tile.target is None:
        return None
    return RidgeView(hills=tile.hills, target=tile.target, planned=tile.planned, phase=view.phase, phase_s=view.phase_s)
