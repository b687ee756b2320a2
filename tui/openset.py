"""The set in progress: its reps as live sees them, and the one cue."""

from __future__ import annotations

from collections.abc import Iterator

from analysis.motion.events import RepConfirmed, RepProvisional, RepWithdrawn
from analysis.motion.results import Rep
from analysis.training.judge import judge_rep
from analysis.training.prescription import Prescription
from analysis.training.scale import scaled
from analysis.training.verdict import RepVerdict
from tui import format as words
from tui.cues import cue_after
from tui.hills import provisional_hill, rep_hills
from tui.messages import Hill


class OpenSet:
    """Folds the events of reps; times of its reps are true seconds."""

    def __init__(self, prescription: Prescription) -> None:
        self.count = 0
        self.cue = ""
        self._prescription = prescription
        self._reps: list[Rep] = []
        self._verdicts: list[RepVerdict] = []
        self._top: Hill | None = None

    @property
    def provisional(self) -> bool:
        """Whether a further rep has reached its top and not yet its end."""
        return self._top is not None

    @property
    def hills(self) -> tuple[Hill, ...]:
        """The reps so far, as they are drawn."""
        return rep_hills(self._reps, self._verdicts) + ((self._top,) if self._top else ())

    def fold(self, event: RepProvisional | RepConfirmed | RepWithdrawn, clock_ratio: float) -> Iterator[str]:
        """Fold one event; yield what there is to say about it."""
        match event:
            case RepProvisional():
                self._top = provisional_hill((event.top_s - event.start_s) * clock_ratio)
            case RepConfirmed():
                self._top = None
                self.count = event.count
                yield self._add(scaled(event.rep, clock_ratio))
            case RepWithdrawn():
                self._top = None
                yield from self._take_back(event)

    def _add(self, rep: Rep) -> str:
        verdict = judge_rep(rep, self._prescription)
        self._reps.append(rep)
        self._verdicts.append(verdict)
        self.cue = cue_after(verdict)
        return words.rep_line(self.count, rep, verdict)

    def _take_back(self, event: RepWithdrawn) -> Iterator[str]:
        if event.count >= self.count:
            return
        self.count, self.cue = event.count, ""
        while sum(rep.counts for rep in self._reps) > event.count:
            self._reps.pop()
            self._verdicts.pop()
        yield f"count back to {event.count}: {event.reason}"
