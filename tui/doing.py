"""What the trainee does now: the phase of a rep, or a hold before (or without) reps."""

from __future__ import annotations

from analysis.motion.events import HoldBegan, HoldEnded, Phase, PhaseChanged
from analysis.training.prescription import Prescription


class Doing:
    """Folds the events that tell it."""

    def __init__(self) -> None:
        self._phase = Phase.AWAY
        self._since_s = 0.0
        self._held_since_s: float | None = None

    def fold(self, event: PhaseChanged | HoldBegan | HoldEnded) -> None:
        """Take one event."""
        match event:
            case PhaseChanged():
                self._phase, self._since_s = event.phase, event.at_s
            case HoldBegan():
                self._held_since_s = event.at_s
            case HoldEnded():
                self._held_since_s = None

    def now(self, *, in_set: bool, reps: int) -> tuple[Phase, float | None]:
        """Return the phase, and since when on the sensor's own clock; a hold counts only before the first rep."""
        if self._held_since_s is not None and not reps:
            return Phase.HANG, self._held_since_s
        return (self._phase, self._since_s) if in_set else (Phase.AWAY, None)


def phase_target_s(prescription: Prescription, phase: Phase) -> float | None:
    """Return the prescribed seconds of a phase; None where none are."""
    tempo = prescription.tempo
    targets = {Phase.UP: tempo.up_s, Phase.TOP: tempo.top_s, Phase.DOWN: tempo.down_s, Phase.BOTTOM: tempo.bottom_s}
    if phase is Phase.HANG:
        return prescription.hold_s
    return targets.get(phase) or None
