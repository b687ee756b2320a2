"""Everything of one snapshot: the heading, and the panel of its stage. Live and replay show the same."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.reactive import reactive
from textual.widgets import ContentSwitcher

from tui.messages import Snapshot, Stage
from tui.widgets.end_panel import EndPanel
from tui.widgets.head import Head, head_view
from tui.widgets.plan_panel import PlanPanel
from tui.widgets.work_panel import WorkPanel

_PANELS = {
    Stage.SEARCHING: "plan",
    Stage.READY: "plan",
    Stage.SET: "work",
    Stage.REST: "work",
    Stage.DONE: "end",
}


class LiveView(Vertical):
    """The picture of a session at one moment."""

    SCOPED_CSS = False  # the height of the screen decides, and the screen is outside
    DEFAULT_CSS = """
    LiveView { height: 1fr; }
    LiveView Head { height: 2; }
    LiveView ContentSwitcher { height: 1fr; }
    .-tall LiveView Head { margin-bottom: 1; }
    .-low LiveView Head { height: 1; }
    """

    snapshot: reactive[Snapshot | None] = reactive(None)

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        yield Head()
        with ContentSwitcher(initial="plan"):
            yield PlanPanel(id="plan")
            yield WorkPanel(id="work")
            yield EndPanel(id="end")

    def watch_snapshot(self, snapshot: Snapshot | None) -> None:
        """Hand the snapshot to the heading and to the panel of its stage."""
        if snapshot is None:
            return
        self.query_one(Head).view = head_view(snapshot)
        name = _PANELS[snapshot.stage]
        self.query_one(ContentSwitcher).current = name
        match self.query_one(f"#{name}"):
            case PlanPanel() | WorkPanel() | EndPanel() as panel:
                panel.show(snapshot)
