"""A set in progress, and the rest after it: a large number, a word, a band, one thing to be told, the ridge."""

from __future__ import annotations

import math

from textual.app import ComposeResult

from tui.session.messages import Snapshot, Stage
from tui.widgets.block_digits import BlockText
from tui.widgets.block_font import TALL
from tui.widgets.canvas import Ink
from tui.widgets.drawing import Column, Line
from tui.widgets.hold_labels import held_s, perhaps_held_s
from tui.widgets.labels import (
    SOON_S,
    cue_words,
    phase_progress,
    phase_word,
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
from tui.words.format import lost_words

_MARGINS = 3
_LEAST_ASIDE = 8


class WorkPanel(Column):
    """The panel of the stages SET and REST. The large number is in the same place in both."""

    SCOPED_CSS = False  # the height of the screen decides, and the screen is outside
    DEFAULT_CSS = """
    WorkPanel { height: 1fr; }
    WorkPanel #main { height: 46vh; min-height: 3; }
    WorkPanel #number { width: 1fr; margin-left: 2; }
    WorkPanel #aside { width: 54%; margin-right: 1; }
    WorkPanel #word { height: 3; }
    WorkPanel #band { height: 4; margin: 1 0 0 0; }
    WorkPanel #more { height: 3; }
    WorkPanel #cue, WorkPanel #after { height: 3; margin-left: 2; }
    WorkPanel #after { margin-left: 0; }
    WorkPanel #ridge { height: 1fr; max-height: 13; margin: 1 1 0 1; }
    .-tall WorkPanel #word { height: 5; }
    .-tall WorkPanel #band { height: 6; margin: 1 0; }
    .-tall WorkPanel #more { height: 5; }
    .-tall WorkPanel #cue { height: 5; margin: 1 0 0 2; }
    .-tall WorkPanel #after { height: 5; margin: 1 0 0 0; }
    .-huge WorkPanel #word { height: 8; }
    .-huge WorkPanel #band { height: 9; margin: 1 0; }
    .-huge WorkPanel #more { height: 8; }
    .-huge WorkPanel #cue { height: 8; margin: 1 0 0 2; }
    .-huge WorkPanel #after { height: 5; margin: 1 0 0 0; }
    .-low WorkPanel #band { margin: 0; height: 2; }
    .-low WorkPanel #ridge { margin: 0 1; }
    .-low WorkPanel #cue, .-low WorkPanel #after { height: 1; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.number = BlockText(id="number")
        self.word = BlockText(id="word")
        self.band = PhaseBand(id="band")
        self.more = BlockText(id="more")
        self.aside = Column(self.word, self.band, self.more, id="aside")
        self.cue = BlockText(id="cue")
        self.after = Lines(id="after")
        self.ridge = Ridge(id="ridge")

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        yield Line(self.number, self.aside, id="main")
        yield self.cue
        yield self.after
        yield self.ridge

    def show(self, snapshot: Snapshot) -> None:
        """Show a snapshot of stage SET or REST."""
        resting = snapshot.stage is Stage.REST
        self.after.display = resting
        self.cue.display = not resting
        if resting:
            self._show_rest(snapshot)
        else:
            self._show_set(snapshot)
        self.ridge.view = _ridge_view(snapshot)

    def _show_set(self, snapshot: Snapshot) -> None:
        if snapshot.prescription.hold_s:
            perhaps_s = perhaps_held_s(snapshot)
            self._show_number(f"{perhaps_s or held_s(snapshot):.0f}", provisional=bool(perhaps_s))
        else:
            self._show_number(str(snapshot.count + snapshot.provisional), provisional=snapshot.provisional)
        self.word.text = phase_word(snapshot)
        self.band.progress = phase_progress(snapshot)
        self.more.text = to_go_words(snapshot)
        self.cue.text, self.cue.ink = cue_words(snapshot), Ink.ATTENTION

    def _show_rest(self, snapshot: Snapshot) -> None:
        # where no hold is asked, or the rest is far from over, it may be somebody who stretches or stands still
        soon = (snapshot.rest_left_s or 0.0) <= SOON_S
        held = phase_progress(snapshot) if snapshot.prescription.hold_s and soon else None
        number = f"{held_s(snapshot):.0f}" if held else rest_digits(snapshot.rest_left_s)
        self._show_number(number, provisional=False)
        self.word.text = phase_word(snapshot) if held else rest_word(snapshot.rest_left_s, gap=bool(snapshot.gap_s))
        self.band.progress = held or rest_progress(snapshot)
        self.more.text = _next_words(snapshot) if held or not held_s(snapshot) else _hang_words(snapshot)
        self.after.text = _after(snapshot)

    def _show_number(self, text: str, *, provisional: bool) -> None:
        self.number.text, self.number.striped = text, provisional
        self._give_room()

    def on_resize(self) -> None:
        """Share the width anew."""
        self._give_room()

    def _give_room(self) -> None:
        """Let the words beside the number have what the number leaves, at most a little more than half."""
        digits = max(2, len(self.number.text))
        width = self.size.width or self.screen.size.width  # it spans the screen, and has no size before it is shown
        most = width - _MARGINS - number_cells(digits, self.screen.size.height)
        self.aside.styles.width = max(_LEAST_ASIDE, min(round(0.54 * width), most)) - 1


def _next_words(snapshot: Snapshot) -> str:
    """Say what comes next: the set, or the other exercise of a superset."""
    return snapshot.partner_due.upper() or f"SET {snapshot.set_number}"


def _hang_words(snapshot: Snapshot) -> str:
    """Say that somebody hangs in a rest; how long already, where a hold is asked for and this may be it."""
    return f"{phase_word(snapshot)} {held_s(snapshot):.0f}" if snapshot.prescription.hold_s else phase_word(snapshot)


def number_cells(digits: int, screen_rows: int) -> int:
    """Return the width of a number that is at least a third of the screen high."""
    scale = max(TALL.least, math.ceil(2 * screen_rows / 3 / TALL.height_px))
    return TALL.width("8" * digits, scale)


def _after(snapshot: Snapshot) -> Text:
    """Say what was, and what comes next; a missing sensor before either."""
    last = snapshot.closed[-1] if snapshot.closed else None
    lines = [
        (_missing(snapshot), Ink.ATTENTION),
        (snapshot.check.words if snapshot.check and not snapshot.check.good else "", Ink.ATTENTION),
        (set_line(len(snapshot.closed), last) if last else "", Ink.TEXT),
        (last.remark if last else "", Ink.STRONG),
        (f"next: {snapshot.partner_due or target_words(snapshot.prescription)}", Ink.MUTED),
    ]
    return tuple(line for line in lines if line[0])


def _missing(snapshot: Snapshot) -> str:
    """Say what is missing of the sensor, and what that means; empty where nothing is."""
    if snapshot.link.is_gone:
        return f"Sensor lost: {lost_words(snapshot.link)}"
    return cue_words(snapshot).capitalize() if snapshot.cue.upper() != cue_words(snapshot) else ""


def _ridge_view(snapshot: Snapshot) -> RidgeView:
    running = snapshot.stage is Stage.SET
    return RidgeView(
        hills=snapshot.hills,
        target=snapshot.target,
        planned=snapshot.prescription.reps if running and not snapshot.warm_up and not snapshot.ended else 0,
        marks=() if running or snapshot.gap_s else set_marks(snapshot.closed[-1] if snapshot.closed else None),
        phase=snapshot.phase,
        phase_s=round(snapshot.phase_s, 1) if running else 0.0,
    )
