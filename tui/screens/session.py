"""What the live screen and the replay have in common: a live view, a line of notes, a line of keys."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.reactive import var

from tui.screens.ground import GroundScreen
from tui.session.messages import Snapshot
from tui.widgets.key_line import KeyLine, Keys
from tui.widgets.live_view import LiveView
from tui.widgets.note_line import NoteLine


class SessionScreen(GroundScreen[None]):
    """A screen that shows snapshots."""

    VERTICAL_BREAKPOINTS = [(0, "-low"), (22, "-middle"), (36, "-tall"), (52, "-huge")]  # noqa: RUF012

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("pageup", "scroll_text(-5)", "text up"),
        Binding("pagedown", "scroll_text(5)", "text down"),
    ]

    snapshot: var[Snapshot | None] = var(None)
    note: var[str] = var("")
    is_ready = False

    def __init__(self) -> None:
        super().__init__()
        self.live = LiveView()
        self.note_line = NoteLine()
        self.key_line = KeyLine()

    def keys(self) -> Keys:
        """Return the keys that do something now."""
        raise NotImplementedError

    def look(self) -> None:
        """Read what changed beside the snapshots, and show it; the app calls this with each frame."""
        raise NotImplementedError

    def on_mount(self) -> None:
        """Show what came before there was anything to show it on."""
        self.is_ready = True
        self.watch_snapshot(self.snapshot)
        self.watch_note(self.note)

    def action_scroll_text(self, by: int) -> None:
        """Move a text that is longer than its place."""
        for text in self.query(VerticalScroll):
            text.scroll_relative(y=by, animate=False)

    def watch_snapshot(self, snapshot: Snapshot | None) -> None:
        """Hand the snapshot down."""
        if self.is_ready:
            self.live.snapshot = snapshot
            self.note_line.aside = snapshot.link_to_coach if snapshot else ""
            self.key_line.keys = self.keys()

    def watch_note(self, note: str) -> None:
        """Hand the note down."""
        self.note_line.text = note
