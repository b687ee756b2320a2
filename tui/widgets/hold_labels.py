"""What is said of a set that is one hold: how long it lasts, what is left of it; pure."""

from __future__ import annotations

import math

from analysis.motion.events import Phase
from tui.session.messages import Snapshot, Stage

ALL_DONE = "ALL DONE"
"""Nothing is left of the set."""


def held_s(snapshot: Snapshot) -> float:
    """Return for how long somebody hangs or holds now, without reps, or did in this set, whichever is longer."""
    return max(snapshot.held_s, snapshot.phase_s if snapshot.phase is Phase.HANG else 0.0)


def is_held(snapshot: Snapshot) -> bool:
    """Whether the set is one hold, and that is over: what moves then is letting go."""
    return bool(snapshot.prescription.hold_s and snapshot.held_s) and snapshot.phase is not Phase.HANG


def perhaps_held_s(snapshot: Snapshot) -> float:
    """Return for how long somebody keeps still who is asked for a hold, while none is known: one is told late."""
    still = snapshot.stage is Stage.SET and snapshot.phase in (Phase.TOP, Phase.BOTTOM)
    return snapshot.phase_s if still and snapshot.prescription.hold_s and not snapshot.held_s else 0.0


def hold_to_go_words(snapshot: Snapshot, hold_s: float) -> str:
    """Say what is left of a hold; that it is done only once it is known to be one."""
    known_s = held_s(snapshot)
    left_s = math.ceil(hold_s - max(known_s, perhaps_held_s(snapshot)))
    return f"{left_s} S TO GO" if left_s > 0 else ALL_DONE if known_s >= hold_s else ""
