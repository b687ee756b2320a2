"""The set in progress: its reps as live sees them, and the one cue."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator

from analysis.motion.events import RepConfirmed, RepProvisional, RepWithdrawn
from analysis.motion.results import Rep
from analysis.training.judge import judge_rep
from analysis.training.prescription import Prescription
from analysis.training.records import SetRecord
from analysis.training.scale import TrueTime, in_true_time
from analysis.training.verdict import RepVerdict
from analysis.training.view import NOTHING, View
from tui import format as words
from tui.cues import cue_after
from tui.hills import provisional_hill, rep_hills, set_hills
from tui.messages import Hill


class OpenSet:
    """Folds the events of reps; times of its reps are true seconds.

    Parameters
    ----------
    prescription
        What is asked.
    earlier
        Of a cluster set: what was done of it before the gap.
    judged
        Whether its reps are judged: those of a warm-up are not.
    view
        What is known beside the motion.
    """

    def __init__(
        self,
        prescription: Prescription,
        earlier: SetRecord | None = None,
        *,
        judged: bool = True,
        view: View = NOTHING,
    ) -> None:
        self.earlier = earlier
        self.cue = ""
        self._count = 0
        self._judged, self._view = judged, view
        self._prescription = prescription
        self._reps: list[Rep] = []
        self._verdicts: list[RepVerdict | None] = []
        self._top: Hill | None = None

    @property
    def count(self) -> int:
        """Reps of the set so far; one that is short of the reference rep does not count."""
        short = sum(verdict is not None and verdict.short for verdict in self._verdicts)
        return self._count - short + (self.earlier.verdict.count if self.earlier else 0)

    @property
    def provisional(self) -> bool:
        """Whether a further rep has reached its top and not yet its end."""
        return self._top is not None and not self.is_complete

    @property
    def is_complete(self) -> bool:
        """Whether all reps that were asked for are done.

        What follows is most often getting off the bar, which begins like a rep: it is told once it has ended as one.
        """
        return self._judged and 0 < self._prescription.reps <= self.count

    @property
    def hills(self) -> tuple[Hill, ...]:
        """The reps so far, as they are drawn."""
        before = set_hills(self.earlier) if self.earlier else ()
        return before + rep_hills(self._reps, self._verdicts) + ((self._top,) if self._top and self.provisional else ())

    def fold(self, event: RepProvisional | RepConfirmed | RepWithdrawn, clock: TrueTime) -> Iterator[str]:
        """Fold one event; yield what there is to say about it."""
        match event:
            case RepProvisional():
                self._top = provisional_hill((event.top_s - event.start_s) * clock.ratio)
            case RepConfirmed():
                self._top = None
                self._count = event.count
                yield self._add(in_true_time(event.rep, clock), clock.ratio_sd)
            case RepWithdrawn():
                self._top = None
                yield from self._take_back(event, clock.ratio)

    def _add(self, rep: Rep, clock_sd: float) -> str:
        """Put a rep in its place: one that was overlooked comes late."""
        verdict = self._judge(rep, clock_sd) if self._judged else None
        place = bisect_right([one.start_s for one in self._reps], rep.start_s)
        if verdict is not None and place == len(self._reps):
            self.cue = cue_after(verdict)
        self._reps.insert(place, rep)
        self._verdicts.insert(place, verdict)
        return words.rep_line(self.count, rep, verdict)

    def _judge(self, rep: Rep, clock_sd: float) -> RepVerdict:
        return judge_rep(rep, self._prescription, clock_sd=clock_sd, view=self._view)

    def _take_back(self, event: RepWithdrawn, clock_ratio: float) -> Iterator[str]:
        if event.count >= self._count:
            return
        self._count, self.cue = event.count, ""
        ends_s = [abs(rep.end_s - event.at_s * clock_ratio) for rep in self._reps]
        if ends_s:
            place = ends_s.index(min(ends_s))
            del self._reps[place], self._verdicts[place]
        yield f"count back to {self.count}: {event.reason}"
