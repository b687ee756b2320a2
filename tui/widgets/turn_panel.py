"""Between the sets on a shared bar: who is next, in letters to be read from the bar, and where everybody stands."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import VerticalScroll

from analysis.motion.events import Phase
from sensor.source import LinkState
from tui.session.messages import Snapshot, Stage
from tui.widgets.block_digits import BlockText
from tui.widgets.canvas import Ink
from tui.widgets.drawing import Column, Line
from tui.widgets.lines import Lines, Text
from tui.widgets.plan_panel import advice, start_words
from tui.widgets.trace import Trace
from tui.widgets.turns import TurnTable, draw_turns, next_name, rest_of_next


def is_between_turns(snapshot: Snapshot) -> bool:
    """Whether nobody is in a set or hangs, on a bar that is shared, and somebody is next."""
    return bool(
        snapshot.turns and snapshot.turns.next and snapshot.stage is not Stage.SET and snapshot.phase is not Phase.HANG
    )


class TurnPanel(Column):
    """The panel of a shared bar before and between sets; of the class `-asked` where a question takes lines below."""

    SCOPED_CSS = False  # the height of the screen decides, and the screen is outside
    DEFAULT_CSS = """
    TurnPanel { height: 1fr; }
    TurnPanel #turn-head { height: 3; margin: 1 0 0 2; }
    TurnPanel #turn-word { width: 1fr; }
    TurnPanel #turn-rest { width: 45%; margin-right: 2; }
    TurnPanel #turn-name { height: 6; margin: 1 0 0 2; }
    TurnPanel #turn-caution { height: auto; margin: 1 0 0 0; display: none; }
    TurnPanel TurnTable { height: auto; margin: 1 0 0 0; }
    TurnPanel #turn-trace { height: 1; margin: 1 1 0 1; }
    TurnPanel VerticalScroll { height: 1fr; }
    TurnPanel Lines { height: auto; }
    TurnPanel.-first #turn-caution { display: block; }
    .-middle TurnPanel.-first #turn-name { height: 3; }
    .-middle TurnPanel.-first #turn-caution, .-middle TurnPanel.-first TurnTable { margin: 0; }
    .-middle TurnPanel.-first #turn-trace { margin: 0 1; }
    .-middle TurnPanel.-first.-asked #turn-head, .-middle TurnPanel.-first.-asked #turn-trace { display: none; }
    .-middle TurnPanel.-asked #turn-name { height: 3; }
    .-middle TurnPanel.-asked TurnTable { margin: 0; }
    .-middle TurnPanel.-asked #turn-trace { display: none; }
    .-tall TurnPanel #turn-head { height: 5; }
    .-tall TurnPanel #turn-name { height: 10; }
    .-tall TurnPanel #turn-trace { height: 3; }
    .-huge TurnPanel #turn-head { height: 8; }
    .-huge TurnPanel #turn-name { height: 15; }
    .-huge TurnPanel #turn-trace { height: 6; }
    .-low TurnPanel #turn-head { height: 1; margin: 0 0 0 2; }
    .-low TurnPanel #turn-name { height: 3; margin: 0 0 0 2; }
    .-low TurnPanel #turn-trace { display: none; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.word = BlockText(id="turn-word")
        self.rest = BlockText(id="turn-rest", right=True)
        self.name_shown = BlockText(id="turn-name")
        self.caution = Lines(id="turn-caution")
        self.table = TurnTable()
        self.trace = Trace(id="turn-trace")
        self.advice = Lines()

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        yield Line(self.word, self.rest, id="turn-head")
        yield self.name_shown
        yield self.caution
        yield self.table
        yield self.trace
        yield VerticalScroll(self.advice, can_focus=False)

    def show(self, snapshot: Snapshot) -> None:
        """Show a snapshot of a shared bar while nobody is in a set."""
        view = snapshot.turns
        if view is None:
            return
        # What somebody may get hurt without stands above all that a low screen cuts off.
        self.caution.text = tuple((text, Ink.STRONG) for text in snapshot.cautions[:1]) if _is_first(snapshot) else ()
        self.set_class(bool(self.caution.text), "-first")
        missing = _missing(snapshot)
        self.word.text = missing or "NEXT"
        self.word.ink = Ink.ATTENTION if missing else Ink.STRONG
        self.rest.display = not missing
        self.rest.text = rest_of_next(view)
        self.name_shown.text = next_name(view)
        self.table.view = view
        # What to do about a lost sensor, and what to ask, needs the lines that reasons told in full would take.
        self.table.styles.height = len(view.rows if missing or view.doubts else draw_turns(view, self.app.size.width))
        self.trace.values_m_s2 = snapshot.check.trace_m_s2 if snapshot.check else ()
        self.advice.text = _advice(snapshot)


def _is_first(snapshot: Snapshot) -> bool:
    """Whether who is next did not hang yet."""
    return snapshot.stage in (Stage.SEARCHING, Stage.READY)


def _missing(snapshot: Snapshot) -> str:
    """Return what is missing of the sensor, in a word or two; empty where nothing is."""
    if snapshot.link.is_gone:
        return "SENSOR LOST"
    return start_words(snapshot) if snapshot.link.state is not LinkState.CONNECTED else ""


def _advice(snapshot: Snapshot) -> Text:
    """Return what to know: before the first set all of it, later the sensor and the last remark alone."""
    doubts = snapshot.turns.doubts if snapshot.turns else ()
    lines = (*((line, Ink.ATTENTION) for line in doubts), *advice(snapshot))
    if _is_first(snapshot):
        return tuple(line for line in lines if line[0] not in snapshot.cautions[:1])
    return tuple(line for line in lines if line[1] in (Ink.ATTENTION, Ink.STRONG))
