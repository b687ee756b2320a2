"""What the trainee does now: the phase of a rep, or a hold before (or without) reps."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from analysis.motion.events import BoutOpened, Event, HoldBegan, HoldEnded, Phase, PhaseChanged
from analysis.motion.results import Hold
from analysis.training.prescription import Prescription

BELIEVED_S = 0.8
"""How long a phase that was over must be under way again to be shown: four looks of the live reading.

After a set, drift and steps make it flicker faster; a slow lowering that paused goes on for longer."""


@dataclass(frozen=True, slots=True)
class _Began:
    """A phase, when it began, and when that was told."""

    phase: Phase
    at_s: float
    told_s: float


class Doing:
    """Folds the events that tell it; their times are the sensor's own.

    Attributes
    ----------
    hold
        The last hold that is over; None before the first.
    opened_s
        When the last bout began, as it was told; None before the first.
    held_since_s
        When the hold began that lasts; None while none does.
    """

    def __init__(self) -> None:
        self._shown = self._latest = _Began(Phase.AWAY, 0.0, 0.0)
        self._before = Phase.AWAY
        self.held_since_s: float | None = None
        self.opened_s: float | None = None
        self.hold: Hold | None = None

    def fold(self, event: Event) -> None:
        """Take one event, if it tells any of it."""
        match event:
            case BoutOpened():
                self.opened_s = event.at_s
            case PhaseChanged():
                self._take(_Began(event.phase, event.at_s, event.emitted_s))
            case HoldBegan():
                self.held_since_s = event.at_s
            case HoldEnded():
                self.held_since_s = None
                self.hold = event.hold or self.hold

    def _take(self, began: _Began) -> None:
        """Show a phase at once, but for one that was over: drift after a set takes it up again and again."""
        if began.told_s - self._latest.told_s >= BELIEVED_S:
            self._shown = self._latest
        self._latest = began
        taken_back = began.phase is self._before and began.at_s < self._shown.at_s
        if not taken_back:
            self._before = self._shown.phase if began.phase is not self._shown.phase else self._before
            self._shown = began

    def now(self, age_s: Callable[[float], float], *, in_set: bool, reps: int) -> tuple[Phase, float]:
        """Return the phase and its seconds so far; a hold counts only before the first rep.

        Parameters
        ----------
        age_s
            Gives the seconds since a moment of the sensor's clock.
        """
        if self.held_since_s is not None and not reps:
            return Phase.HANG, age_s(self.held_since_s)
        if not in_set:
            return Phase.AWAY, 0.0
        shown = self._latest if age_s(self._latest.told_s) >= BELIEVED_S else self._shown
        return shown.phase, 0.0 if shown.phase is Phase.AWAY else age_s(shown.at_s)


_ROUND = (Phase.UP, Phase.TOP, Phase.DOWN, Phase.BOTTOM)


def phase_after(prescription: Prescription, phase: Phase, *, last: bool) -> Phase:
    """Return what is asked for once the time of `phase` is over; AWAY where nothing is.

    Parameters
    ----------
    last
        Whether this is the last rep of the set: nothing follows its way down.
    """
    if phase not in _ROUND or prescription.hold_s is not None or (last and phase is Phase.DOWN):
        return Phase.AWAY
    if prescription.half_pause_s is not None:
        return Phase.AWAY  # a one-and-a-half rep passes each phase twice, and nothing tells which time it is
    place = _ROUND.index(phase)
    following = (*_ROUND[place + 1 :], *_ROUND[:place])
    return next(one for one in following if one in (Phase.UP, Phase.DOWN) or phase_target_s(prescription, one))


def phase_target_s(prescription: Prescription, phase: Phase) -> float | None:
    """Return the prescribed seconds of a phase; None where none are, or where the phase comes twice."""
    if phase is Phase.HANG:
        return prescription.hold_s
    if prescription.hold_s is not None:
        return None  # getting into a hold and out of it is not judged
    if prescription.half_pause_s is not None:
        return None  # each phase comes twice: the half way down would be held against the whole one's time
    tempo = prescription.tempo
    targets = {Phase.UP: tempo.up_s, Phase.TOP: tempo.top_s, Phase.DOWN: tempo.down_s, Phase.BOTTOM: tempo.bottom_s}
    return targets.get(phase) or None
