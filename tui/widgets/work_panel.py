"""A set in progress, and the rest after it: a large number, a word, a band, one thing to be told, the ridge."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical

from tui.messages import Snapshot, Stage
from tui.widgets.block_digits import BlockText
from tui.widgets.canvas import Ink
from tui.widgets.labels import (
    PHASE_WORDS,
    cue_words,
    phase_progress,
    rest_digits,
    rest_progress,
    rest_word,
    set_line,
    set_marks,
    target_words,
    to_go_words,
)
from tui.widgets.lines import Lines, Text
from tui.widgets.phase_band import PhaseBand
from tui.widgets.ridge import Ridge, RidgeView


class WorkPanel(Vertical):
    """The panel of the stages SET and REST. The large number is in the same place in both."""

    SCOPED_CSS = False  # the height of the screen decides, and the screen is outside
    DEFAULT_CSS = """
    WorkPanel { height: 1fr; }
    WorkPanel #main { height: 46vh; min-height: 3; }
    WorkPanel #number { width: 1fr; margin-left: 2; }
    WorkPanel #aside { width: 54%; padding-right: 1; }
    WorkPanel.-long #aside { width: 28; }
    WorkPanel #word { height: 3; }
    WorkPanel #band { height: 3; margin: 1 0; }
    WorkPanel #more { height: 3; }
    WorkPanel #cue, WorkPanel #after { height: 3; margin-left: 2; }
    WorkPanel #after { margin-left: 0; }
    WorkPanel #ridge { height: 1fr; max-height: 13; margin: 1 1 0 1; }
    .-tall WorkPanel #word { height: 5; }
    .-tall WorkPanel #band { height: 4; }
    .-tall WorkPanel #more { height: 5; }
    .-tall WorkPanel #cue, .-tall WorkPanel #after { height: 5; margin-top: 1; }
    .-low WorkPanel #band { margin: 0; height: 2; }
    .-low WorkPanel #ridge { margin-top: 0; }
    .-low WorkPanel #cue, .-low WorkPanel #after { height: 1; }
    """

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        with Horizontal(id="main"):
            yield BlockText(id="number")
            with Vertical(id="aside"):
                yield BlockText(id="word")
                yield PhaseBand(id="band")
                yield BlockText(id="more")
        yield BlockText(id="cue")
        yield Lines(id="after")
        yield Ridge(id="ridge")

    def show(self, snapshot: Snapshot) -> None:
        """Show a snapshot of stage SET or REST."""
        resting = snapshot.stage is Stage.REST
        self.query_one("#after").display = resting
        self.query_one("#cue").display = not resting
        if resting:
            self._show_rest(snapshot)
        else:
            self._show_set(snapshot)
        self.query_one(Ridge).view = _ridge_view(snapshot)

    def _show_set(self, snapshot: Snapshot) -> None:
        self._number(str(snapshot.count + snapshot.provisional), provisional=snapshot.provisional)
        self._aside(PHASE_WORDS[snapshot.phase], to_go_words(snapshot))
        self.query_one(PhaseBand).progress = phase_progress(snapshot)
        cue = self.query_one("#cue", BlockText)
        cue.text, cue.ink = cue_words(snapshot), Ink.ATTENTION

    def _show_rest(self, snapshot: Snapshot) -> None:
        self._number(rest_digits(snapshot.rest_left_s), provisional=False)
        self._aside(rest_word(snapshot.rest_left_s), f"SET {snapshot.set_number}")
        self.query_one(PhaseBand).progress = rest_progress(snapshot)
        self.query_one("#after", Lines).text = _after(snapshot)

    def _number(self, text: str, *, provisional: bool) -> None:
        number = self.query_one("#number", BlockText)
        number.text, number.striped = text, provisional
        self.set_class(len(text) > 2, "-long")

    def _aside(self, word: str, more: str) -> None:
        self.query_one("#word", BlockText).text = word
        self.query_one("#more", BlockText).text = more


def _after(snapshot: Snapshot) -> Text:
    """Say what was, and what comes next; a missing sensor before either."""
    last = snapshot.closed[-1] if snapshot.closed else None
    missing = cue_words(snapshot) if snapshot.cue.upper() != cue_words(snapshot) else ""
    lines = [
        (missing.capitalize(), Ink.ATTENTION),
        (set_line(len(snapshot.closed), last) if last else "", Ink.TEXT),
        (last.remark if last else "", Ink.STRONG),
        (f"next: {target_words(snapshot.prescription)}", Ink.MUTED),
    ]
    return tuple(line for line in lines if line[0])


def _ridge_view(snapshot: Snapshot) -> RidgeView:
    running = snapshot.stage is Stage.SET
    return RidgeView(
        hills=snapshot.hills,
        target=snapshot.target,
        planned=snapshot.prescription.reps if running else 0,
        marks=() if running else set_marks(snapshot.closed[-1] if snapshot.closed else None),
        phase=snapshot.phase,
        phase_s=round(snapshot.phase_s, 1) if running else 0.0,
    )
