"""Everything of one snapshot: the heading, and the panel of its stage. Live and replay show the same."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.reactive import var

from analysis.motion.events import Phase
from tui.questions.interview import AskView
from tui.session.messages import Snapshot, Stage
from tui.widgets.ask_panel import AskPanel, AskStrip
from tui.widgets.canvas import Ink
from tui.widgets.coach_strip import CoachStrip
from tui.widgets.drawing import Column
from tui.widgets.end_panel import EndPanel
from tui.widgets.head import Head, head_view
from tui.widgets.lines import Lines
from tui.widgets.plan_panel import PlanPanel
from tui.widgets.turn_end_panel import TurnEndPanel
from tui.widgets.turn_panel import TurnPanel, is_between_turns
from tui.widgets.work_panel import WorkPanel

FIRST = "Getting ready …"
"""Shown while what a session needs is loaded."""


class LiveView(Column):
    """The picture of a session at one moment."""

    SCOPED_CSS = False  # the height of the screen decides, and the screen is outside
    DEFAULT_CSS = """
    LiveView { height: 1fr; }
    LiveView #first { height: 1; }
    LiveView Head { height: 2; }
    .-tall LiveView Head, .-huge LiveView Head { margin-bottom: 1; }
    .-low LiveView Head { height: 1; }
    LiveView CoachStrip { height: auto; }
    """

    snapshot: var[Snapshot | None] = var(None)
    ask: var[AskView | None] = var(None)

    def __init__(self) -> None:
        super().__init__()
        self.head = Head()
        self.first = Lines(((FIRST, Ink.MUTED),), id="first")
        self.plan, self.work, self.end, self.turns = PlanPanel(), WorkPanel(), EndPanel(), TurnPanel()
        self.turns_end = TurnEndPanel()
        self.asking, self.strip, self.coach = AskPanel(), AskStrip(), CoachStrip()

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        yield self.first
        yield self.head
        yield self.plan
        yield self.work
        yield self.end
        yield self.turns
        yield self.turns_end
        yield self.asking
        yield self.coach
        yield self.strip

    def watch_snapshot(self) -> None:
        """Hand the snapshot to the heading and to the panel of its stage."""
        snapshot, ask = self.snapshot, self.ask
        self.first.display = snapshot is None
        self.head.display = snapshot is not None
        panel = self._panel_of(snapshot) if snapshot else None
        fills = panel is None or (panel is self.plan and not _hangs(snapshot))
        whole = ask if fills or (ask and not ask.question) else None
        self.asking.display = whole is not None
        self.strip.display = ask is not None and whole is None
        self.turns.set_class(self.strip.display, "-asked")
        for one in (self.plan, self.work, self.end, self.turns, self.turns_end):
            one.display = one is panel and not whole
        if snapshot:
            self.head.view = head_view(snapshot)
        self.coach.show(snapshot.coach if snapshot else None, whole=panel is not self.plan)
        if whole:
            self.asking.show(whole, snapshot)
        elif snapshot and panel:
            panel.show(snapshot)
        if ask and not whole:
            self.strip.show(ask)

    def watch_ask(self) -> None:
        """Make room for a question, or take it away."""
        self.watch_snapshot()

    def _panel_of(self, snapshot: Snapshot) -> PlanPanel | WorkPanel | EndPanel | TurnPanel | TurnEndPanel:
        if snapshot.turns and snapshot.turns.ends:
            return self.turns_end
        if is_between_turns(snapshot):
            return self.turns
        match snapshot.stage:
            case Stage.SEARCHING | Stage.READY:
                return self.plan
            case Stage.SET | Stage.REST:
                return self.work
            case Stage.DONE:
                return self.end


def _hangs(snapshot: Snapshot | None) -> bool:
    """Whether somebody hangs: then their seconds have the screen, and a question is on its lines below."""
    return snapshot is not None and snapshot.phase is Phase.HANG
