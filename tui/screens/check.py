"""The check of a session: its sets, the reps of the chosen one, what was met and missed; corrections by keys."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.screen import Screen

from tui.book.correcting import Teller, Wish
from tui.rooms import Enter
from tui.screens.check_marks import CheckMarksScreen
from tui.screens.fixing import Fixing
from tui.screens.say import SayScreen
from tui.trouble import Trouble
from tui.views.check_view import CheckDesk, CheckRep, CheckSet, CheckView, Filter, Speaker
from tui.widgets.canvas import Ink, Rows
from tui.widgets.check_heads import CheckHead, SetHead
from tui.widgets.check_table import SET_LINES, draw_rep, draw_set
from tui.widgets.key_line import KeyLine, Keys
from tui.widgets.lines import Lines
from tui.widgets.pick_list import PickList
from tui.words.check_words import filter_words, no_set_words, nothing_words

if TYPE_CHECKING:
    from tui.app import RungwiseApp

_TALL = 34
"""Lines from which on a rep takes three instead of two."""
_WIDE, _BROAD = 110, 160
"""Columns from which on the sets stand beside the reps, and from which on they have more room."""


class CheckScreen(Screen[None]):
    """One session, rep by rep.

    Parameters
    ----------
    desk
        Reads it again and corrects it.
    view
        As it stood when it was opened.
    speaker
        Who corrects, remembered from one session to the next.
    replay
        Returns the way into the replay at a moment of the sensor's clock; None: there is none.
    """

    if TYPE_CHECKING:
        app: RungwiseApp
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (_WIDE, "-wide"), (_BROAD, "-broad")]  # noqa: RUF012
    DEFAULT_CSS = """
    CheckScreen #top { height: auto; }
    CheckScreen Horizontal { height: 1fr; }
    CheckScreen #sets { width: 32; height: 1fr; display: none; }
    CheckScreen.-wide #sets, CheckScreen.-broad #sets { display: block; }
    CheckScreen.-broad #sets { width: 56; }
    CheckScreen #set { height: auto; }
    CheckScreen #reps { height: 1fr; }
    CheckScreen #nothing { height: 1fr; }
    CheckScreen #said { height: auto; max-height: 4; }
    CheckScreen KeyLine { height: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q", "app.leave", "back"),
        Binding("left", "set(-1)", "set before"),
        Binding("right", "set(1)", "next set"),
        Binding("f", "filter", "filter"),
        Binding("c", "correct", "correct"),
        Binding("u", "undo", "take back"),
        Binding("h", "marks", "corrections"),
        Binding("enter", "replay", "replay", show=False),
    ]

    def __init__(
        self,
        desk: CheckDesk,
        view: CheckView,
        speaker: Speaker,
        replay: Callable[[float], Enter] | None = None,
    ) -> None:
        super().__init__()
        self._desk, self._view, self._speaker = desk, view, speaker
        self._replay = replay if view.recorded else None
        self._at = 0
        self._filter = Filter.ALL
        self.head = CheckHead(view)
        self.set_head = SetHead(view)
        self.sets = PickList(len(view.sets), self._set_item, SET_LINES, id="sets")
        self.sets.can_focus = False
        self.reps = PickList(0, self._rep_item, 2, id="reps")
        self.nothing = Lines((), id="nothing")
        self.said = Lines((), id="said")
        self.key_line = KeyLine(self.keys())

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        yield self.head
        with Horizontal():
            yield self.sets
            with Vertical():
                yield self.set_head
                yield self.reps
                yield self.nothing
                yield self.said
        yield self.key_line

    def on_mount(self) -> None:
        """Show the first set."""
        self._show()
        self.watch(self.reps, "marked", self._tell)

    def on_resize(self, event: events.Resize) -> None:
        """Set the reps apart for the new height."""
        self.call_after_refresh(self._space)

    def keys(self) -> Keys:
        """Return the keys that do something now."""
        reps = (("↑ ↓", "rep"),) if self._shown else ()
        moves = (*reps, ("← →", "set")) if self._view.sets else ()
        replay = (("enter", "replay"),) if self._replay and self._at_s is not None else ()
        fix = (("f", "filter"), ("c", "correct")) if self._view.sets else ()
        undo = (("u", "take the last back"), ("h", "all corrections")) if self._view.marks else ()
        return (("q", "back"), ("?", "help"), *moves, *replay, *fix, *undo)

    @property
    def _set(self) -> CheckSet | None:
        return self._view.sets[self._at] if self._view.sets else None

    @property
    def _shown(self) -> Sequence[CheckRep]:
        return self._set.shown(self._filter) if self._set else ()

    @property
    def _rep(self) -> CheckRep | None:
        return self._shown[self.reps.marked] if self._shown else None

    @property
    def _at_s(self) -> float | None:
        """When the marked rep began, or the set that has none; None where no sensor saw it."""
        return self._rep.at_s if self._rep else self._set.at_s if self._set else None

    def _show(self) -> None:
        """Show the chosen set under the chosen filter."""
        one = self._set
        self.head.view = self._view
        self.set_head.show(self._view, one, filter_words(self._view, self._filter))
        self.sets.count, self.sets.marked = len(self._view.sets), self._at
        self.reps.count = len(self._shown)
        self.reps.marked = min(self.reps.marked, max(0, self.reps.count - 1))
        self.reps.display = bool(self._shown)
        self.nothing.display = not self._shown
        self.nothing.text = ((nothing_words(one, self._filter) if one else no_set_words(self._view), Ink.TEXT),)
        self.key_line.keys = self.keys()
        self.sets.refresh()
        self._tell()
        self.call_after_refresh(self._space)

    def _tell(self) -> None:
        """Say of the marked rep who corrected it, when, why, and what was measured."""
        said = self._rep.corrected if self._rep else ()
        self.said.text = tuple((f"corrected {text}", Ink.TEXT) for text in said)
        self.said.display = bool(said)

    @property
    def _lines(self) -> int:
        """Lines of a rep."""
        return 3 if self.size.height >= _TALL else 2

    def _space(self) -> None:
        """Set the reps apart where all of them still fit, so that one hill does not stand on the next."""
        apart = (self._lines + 1) * self.reps.count <= self.reps.size.height
        self.reps.item_height = self._lines + apart
        self.reps.refresh()

    def _set_item(self, index: int, width: int) -> Rows:
        return draw_set(self._view.sets[index], width, self._filter)

    def _rep_item(self, index: int, width: int) -> Rows:
        assert self._set is not None  # only its reps are counted
        return draw_rep(self._shown[index], self._set.target, width, self._lines)

    def action_set(self, by: int) -> None:
        """Go to another set."""
        self._at = max(0, min(len(self._view.sets) - 1, self._at + by))
        self.reps.marked = 0
        self._show()

    def action_filter(self) -> None:
        """List other reps; where the set has none of them, go to the next one that has."""
        self._filter = self._filter.following
        sets = self._view.sets
        round_ = [*range(self._at, len(sets)), *range(self._at)]
        self._at = next((at for at in round_ if sets[at].shown(self._filter)), self._at)
        self.reps.marked = 0
        self._show()

    def action_replay(self) -> None:
        """Play the recording from the marked rep on; from the set on, where it has none."""
        if self._replay and self._at_s is not None:
            self.app.visit("replay", self._replay(self._at_s))

    def on_pick_list_taken(self) -> None:
        """Play the recording from the marked rep on."""
        self.action_replay()

    def action_correct(self) -> None:
        """Ask what to correct, and do it."""
        if self._view.sets or self._view.unconfirmed:
            self.run_worker(self._ask(), exclusive=True, exit_on_error=False)

    async def _ask(self) -> None:
        asked = await Fixing(self.app, self._view, self._speaker).ask(self._set, self._rep)
        if asked:
            await self._do(*asked)

    def action_undo(self) -> None:
        """Take the last correction back."""
        if self._view.marks:
            self.run_worker(self._undo(""), exclusive=True, exit_on_error=False)

    def action_marks(self) -> None:
        """List all corrections; one of them may be taken back."""
        self.app.push_screen(CheckMarksScreen(self._view.marks), self._take_back)

    def _take_back(self, letters: str | None) -> None:
        if letters:
            self.run_worker(self._undo(letters), exclusive=True, exit_on_error=False)

    async def _undo(self, letters: str) -> None:
        teller = await Fixing(self.app, self._view, self._speaker).teller("undo")
        if teller:
            await self._do(Wish("undo", letters), teller)

    async def _do(self, wish: Wish, teller: Teller) -> None:
        """Correct beside the screen, show what stands then, and say what follows."""
        try:
            lines = await asyncio.to_thread(self._desk.correct, wish, teller)
            self._view = await asyncio.to_thread(self._desk.read)
        except Trouble as trouble:
            self.app.push_screen(SayScreen("Not corrected", (trouble.format_message(),), Ink.ATTENTION))
            return
        self._at = max(0, min(self._at, len(self._view.sets) - 1))
        self._show()
        self.app.push_screen(SayScreen("As it stands now", lines))
