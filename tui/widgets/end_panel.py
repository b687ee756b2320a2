"""After the last set: what was done, what it says, what comes next."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import VerticalScroll

from tui.session.messages import Snapshot
from tui.widgets.block_digits import BlockText
from tui.widgets.canvas import Ink
from tui.widgets.drawing import Column
from tui.widgets.labels import set_line, set_marks
from tui.widgets.lines import Lines, Text
from tui.widgets.ridge import Ridge, RidgeView


class EndPanel(Column):
    """The panel of the stage DONE; the arrow keys scroll it where it is longer than the screen."""

    SCOPED_CSS = False  # the height of the screen decides, and the screen is outside
    DEFAULT_CSS = """
    EndPanel { height: 1fr; }
    EndPanel #end { height: 3; margin: 1 0 0 2; }
    EndPanel VerticalScroll { height: 1fr; margin-top: 1; }
    EndPanel Lines { height: auto; }
    EndPanel #end-ridge { display: none; }
    .-tall EndPanel #end { height: 5; }
    .-tall EndPanel #end-ridge { display: block; height: 10; margin: 0 1; }
    .-huge EndPanel #end { height: 8; }
    .-huge EndPanel #end-ridge { display: block; height: 16; margin: 0 1; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.end = BlockText(id="end")
        self.end.text = "SESSION DONE"
        self.told = Lines()
        self.ridge = Ridge(id="end-ridge")

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        yield self.end
        yield VerticalScroll(self.told, can_focus=False)
        yield self.ridge

    def show(self, snapshot: Snapshot) -> None:
        """Show a snapshot of stage DONE."""
        self.told.text = summary(snapshot)
        last = snapshot.closed[-1] if snapshot.closed else None
        self.ridge.view = RidgeView(hills=snapshot.hills, target=snapshot.target, marks=set_marks(last))


def summary(snapshot: Snapshot) -> Text:
    """Return the session in words: verdict, next session, sets, cautions."""
    verdict = snapshot.session_verdict
    lines: list[tuple[str, Ink]] = []
    if verdict:
        lines += [(f"Prescription: {verdict.outcome}", Ink.STRONG), *((text, Ink.TEXT) for text in verdict.summary)]
    if snapshot.next_text:
        lines += [("", Ink.BLANK), (f"Next: {snapshot.next_text[0].removeprefix('next: ')}", Ink.STRONG)]
        lines += [(text, Ink.TEXT) for text in snapshot.next_text[1:]]
    if snapshot.closed:
        lines.append(("", Ink.BLANK))
    for number, closed in enumerate(snapshot.closed, 1):
        lines.append((set_line(number, closed), Ink.TEXT))
        lines += [(f"  {closed.remark}", Ink.MUTED)] if closed.remark else []
    if snapshot.cautions:
        lines += [("", Ink.BLANK), *((caution, Ink.MUTED) for caution in snapshot.cautions)]
    return tuple(lines)
