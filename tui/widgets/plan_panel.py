"""Before a set: what is asked for, large enough to be read from the bar, and what to look at before hanging."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import VerticalScroll

from analysis.motion.events import Phase
from analysis.motion.mounts import Mount
from analysis.training.form import HOLDS_UNJUDGED
from sensor.source import LinkState
from tui.session.messages import Snapshot, Stage
from tui.widgets.block_digits import BlockText
from tui.widgets.canvas import Ink
from tui.widgets.drawing import Column
from tui.widgets.labels import MOUNT_WORDS, phase_word
from tui.widgets.lines import Lines, Text
from tui.widgets.trace import Trace
from tui.words.format import lost_words

_SEARCH = "Switch the sensor on and keep it within a few metres. The search goes on by itself."
_SILENT = "The sensor is connected but sends nothing. If this lasts, switch it off and on again."


class PlanPanel(Column):
    """The panel of the stages SEARCHING and READY."""

    SCOPED_CSS = False  # the height of the screen decides, and the screen is outside
    DEFAULT_CSS = """
    PlanPanel { height: 1fr; }
    PlanPanel #asked { height: 34vh; min-height: 3; margin-left: 2; }
    PlanPanel #start { height: 3; margin-left: 2; }
    PlanPanel #trace { height: 2; margin: 1 1 0 1; }
    PlanPanel VerticalScroll { height: 1fr; }
    PlanPanel Lines { height: auto; }
    .-tall PlanPanel #start { height: 5; }
    .-tall PlanPanel #trace { height: 4; }
    .-huge PlanPanel #start { height: 8; }
    .-huge PlanPanel #trace { height: 6; }
    .-low PlanPanel #start { height: 1; }
    .-low PlanPanel #trace { height: 1; margin: 0 1; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.asked = BlockText(id="asked")
        self.start = BlockText(id="start")
        self.trace = Trace(id="trace")
        self.advice = Lines()

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        yield self.asked
        yield self.start
        yield self.trace
        yield VerticalScroll(self.advice, can_focus=False)

    def show(self, snapshot: Snapshot) -> None:
        """Show a snapshot of stage SEARCHING or READY."""
        asked = snapshot.prescription
        each = f"{asked.hold_s:g}S" if asked.hold_s else f"{asked.reps}"
        plain = "TEST" if asked.is_test else f"{asked.sets}×{each}" if asked.sets else "0"
        # where reps are asked for, it may be somebody who stands still: what is asked stays in its place
        holding = asked.hold_s is not None and snapshot.phase is Phase.HANG
        self.asked.text = f"{snapshot.phase_s:.0f} S" if holding else plain
        self.start.text = start_words(snapshot)
        self.start.ink = Ink.STRONG if snapshot.stage is Stage.READY else Ink.ATTENTION
        self.trace.values_m_s2 = snapshot.check.trace_m_s2 if snapshot.check else ()
        self.advice.text = advice(snapshot)


def start_words(snapshot: Snapshot) -> str:
    """Return what the trainee should do now."""
    if snapshot.phase is Phase.HANG:
        return phase_word(snapshot)
    if snapshot.stage is Stage.SEARCHING:
        return "SENSOR LOST" if snapshot.link.is_gone else "NO SENSOR YET"
    if snapshot.link.state is not LinkState.CONNECTED:
        return "SENSOR SILENT"
    return "HANG TO START" if snapshot.set_number == 1 else f"SET {snapshot.set_number}: HANG"


def advice(snapshot: Snapshot) -> Text:
    """Return what to know before hanging: a sensor that is missing, cautions, where the sensor sits, cues."""
    exercise = snapshot.prescription.exercise
    lines: list[tuple[str, Ink]] = []
    if snapshot.link.is_gone:
        lines.append((f"Sensor lost: {lost_words(snapshot.link)}.", Ink.ATTENTION))
    elif snapshot.stage is Stage.SEARCHING:
        lines.append((_SEARCH, Ink.ATTENTION))
    elif snapshot.link.state is not LinkState.CONNECTED:
        lines.append((_SILENT, Ink.ATTENTION))
    elif snapshot.check:
        lines.append((snapshot.check.words, Ink.STRONG if snapshot.check.good else Ink.ATTENTION))
    if snapshot.prescription.hold_s is not None and exercise.mount is not Mount.BODY:
        lines.append((HOLDS_UNJUDGED, Ink.ATTENTION))
    lines += [(caution, Ink.TEXT) for caution in snapshot.cautions]
    lines.append((MOUNT_WORDS[exercise.mount], Ink.MUTED))
    lines += [(cue, Ink.MUTED) for cue in exercise.cues]
    return tuple(lines)
