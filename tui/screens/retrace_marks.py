"""Marks by keys, on the screen of a replay: put, walked, listed, written on, taken away, taken back."""

from __future__ import annotations

import asyncio
from dataclasses import replace
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.screen import Screen

from tui.retrace import marks
from tui.retrace import place as moves
from tui.retrace.desk import Desk
from tui.retrace.marks import Marking
from tui.retrace.place import Place
from tui.retrace.view import RetraceView
from tui.screens.pick import PickScreen
from tui.screens.write import WriteScreen, Written
from tui.widgets.canvas import Ink
from tui.widgets.key_line import Keys
from tui.widgets.lines import Text
from tui.widgets.retrace_words import mark_words


class MarkKeys(Screen[None]):
    """A screen on which moments are marked.

    Parameters
    ----------
    view
        What is looked at; its notes follow what is marked.
    place
        Where it stands.
    desk
        Keeps the marks; None where there is no place for them.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("m", "mark", "mark"),
        Binding("w", "write", "words"),
        Binding("x", "unmark", "take the mark away"),
        Binding("u", "back", "take back"),
        Binding("t", "mark_step(1)", "next mark"),
        Binding("T", "mark_step(-1)", "mark before"),
        Binding("a", "marks", "all marks"),
    ]

    def __init__(self, view: RetraceView, place: Place, desk: Desk | None) -> None:
        super().__init__()
        self._view, self._place, self.desk = view, place, desk
        self._who = view.who
        self._backs: list[Marking] = []
        self._keeping = asyncio.Lock()

    def go(self, place: Place) -> None:
        """Show another place."""
        raise NotImplementedError

    def say(self, text: Text) -> None:
        """Say something until the next key."""
        raise NotImplementedError

    def mark_keys(self) -> Keys:
        """Return the keys of marks that do something now, the one that is needed most first."""
        if not self.desk:
            return ()
        near = marks.note_near(self._view.notes, self._place.head_s)
        walk = (("t T", "next mark"), ("a", "all marks")) if self._view.notes else ()
        change = (("w", "words"), *((("x", "take mark away"),) if near else ()))
        return (("m", "mark"), *walk, *change, *((("u", "take back"),) if self._backs else ()))

    def action_mark(self) -> None:
        """Mark this moment, at once."""
        self._change(marks.put(self._view.notes, self._place.head_s))

    def action_unmark(self) -> None:
        """Take the mark away that is near."""
        self._change(marks.taken_away(self._view.notes, self._place.head_s))

    def action_back(self) -> None:
        """Take back what was marked, written or taken away last."""
        if self.desk and self._backs:
            self.run_worker(self._keep(self.desk, self._backs.pop(), is_back=True), exit_on_error=False)

    def action_write(self) -> None:
        """Write words to the mark that is near, or to this moment."""
        if self.desk:
            self.go(replace(self._place, playing=False))
            near = marks.note_near(self._view.notes, self._place.head_s)
            asked = "Words to this mark" if near else "Words to this moment"
            who, text = (near.who or self._who, near.text) if near else (self._who, "")
            self.app.push_screen(WriteScreen(asked, who, text), self._written)

    def _written(self, written: Written | None) -> None:
        if written:
            self._who = written.who
            self._change(marks.written(self._view.notes, self._place.head_s, written.text, written.who))

    def action_mark_step(self, by: int) -> None:
        """Go to the next mark, or to the one before."""
        self.go(moves.note_stepped(self._place, self._view, by))

    def action_marks(self) -> None:
        """List all marks; one of them may be gone to."""
        names = [mark_words(self._view, note) for note in self._view.notes]
        if names:
            near = marks.note_near(self._view.notes, self._place.head_s, within_s=float("inf"))
            marked = self._view.notes.index(near) if near else 0
            self.app.push_screen(PickScreen("Go to which mark?", names, marked), self._chosen_mark)

    def _chosen_mark(self, index: int | None) -> None:
        if index is not None:
            self.go(moves.moved_to(self._place, self._view, self._view.notes[index].at_s))

    def _change(self, made: Marking | None) -> None:
        if self.desk and made:
            self.run_worker(self._keep(self.desk, made), exit_on_error=False)

    async def _keep(self, desk: Desk, made: Marking, *, is_back: bool = False) -> None:
        async with self._keeping:  # one after another: what is taken back is what held before
            back = marks.back(self._view.notes, made)
            try:
                notes = await asyncio.to_thread(desk.keep, made)
            except Exception as error:
                self.say(((f"The mark was not kept: {error or type(error).__name__}", Ink.ATTENTION),))
                return
            if not is_back:
                self._backs.append(back)
            self._view = replace(self._view, notes=notes)
            self.go(self._place)
