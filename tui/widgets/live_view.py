"""Everything of one snapshot: the heading, and the panel of its stage. Live and replay show the same."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.reactive import var

from tui.messages import Snapshot, Stage
from tui.widgets.end_panel import EndPanel
from tui.widgets.head import Head, head_view
from tui.widgets.plan_panel import PlanPanel
from tui.widgets.work_panel import WorkPanel


class LiveView(Vertical):
    """The picture of a session at one moment."""

    SCOPED_CSS = False  # the height of the screen decides, and the screen is outside
    DEFAULT_CSS = """
    LiveView { height: 1fr; }
    LiveView Head { height: 2; }
    .-tall LiveView Head { margin-bottom: 1; }
    .-low LiveView Head { height: 1; }
    """

    snapshot: var[Snapshot | None] = var(None)

    def __init__(self) -> None:
        super().__init__()
        self.head = Head()
        self.plan, self.work, self.end = PlanPanel(), WorkPanel(), EndPanel()

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        yield self.head
        yield self.plan
        yield self.work
        yield self.end

    def watch_snapshot(self, snapshot: Snapshot | None) -> None:
        """Hand the snapshot to the heading and to the panel of its stage."""
        panel = self._panel_of(snapshot.stage) if snapshot else None
        for one in (self.plan, self.work, self.end):
            one.display = one is panel
        if snapshot and panel:
            self.head.view = head_view(snapshot)
            panel.show(snapshot)

    def _panel_of(self, stage: Stage) -> PlanPanel | WorkPanel | EndPanel:
        match stage:
            case Stage.SEARCHING | Stage.READY:
                return self.plan
            case Stage.SET | Stage.REST:
                return self.work
            case Stage.DONE:
                return self.end
