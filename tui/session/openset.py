"""The set in progress: its reps as live sees them, whether it is over, and the one cue."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import replace

from analysis.motion.events import RepConfirmed, RepProvisional, RepWithdrawn
from analysis.motion.metrics import with_pauses
from analysis.motion.results import Rep
from analysis.training.ending import Ending, ending
from analysis.training.form import as_whole, judge_set_form
from analysis.training.judge import judge_rep
from analysis.training.prescription import Prescription, Start
from analysis.training.records import SetRecord
from analysis.training.scale import TrueTime, in_true_time
from analysis.training.verdict import FormVerdict, Outcome, RepVerdict
from analysis.training.view import NOTHING, View
from tui.session.messages import Hill
from tui.views.hills import provisional_hill, rep_hills, set_hills
from tui.words import format as words
from tui.words.cues import ENDING_WORDS, NO_HANG, NOT_COUNTED, NOTHING_OFF, SET_DONE, Faults, cue_after

RepEvent = RepProvisional | RepConfirmed | RepWithdrawn


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

    Attributes
    ----------
    asked
        As the parameter `prescription`.
    unwanted
        A person said that it shall not count.
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
        self.unwanted = False
        self._count = 0
        self._judged, self._view = judged, view
        self.asked = prescription
        self._clock_sd = 0.0
        self._reps: list[Rep] = []
        self._verdicts: list[RepVerdict | None] = []
        self._ending: Ending | None = None
        self._cue = ""
        self._hang_said = False
        self._top: Hill | None = None

    @property
    def count(self) -> int:
        """Reps of the set so far; one that is short of the reference rep does not count."""
        short = sum(verdict is not None and verdict.short for verdict in self._verdicts)
        return self._count - short + (self.earlier.verdict.count if self.earlier else 0)

    @property
    def provisional(self) -> bool:
        """Whether a further rep has reached its top and not yet its end."""
        return self._top is not None and not self.is_over

    @property
    def is_complete(self) -> bool:
        """Whether all reps that were asked for are done."""
        return self._judged and 0 < self.asked.reps <= self.count

    @property
    def is_ended(self) -> bool:
        """Whether it is over with fewer reps than were asked for."""
        return self._ending is not None and not self.is_complete

    @property
    def is_over(self) -> bool:
        """Whether nothing more should come.

        What follows is most often getting off the bar, which begins like a rep: it is told once it has ended as one.
        """
        return self.is_complete or self.is_ended

    @property
    def cue(self) -> str:
        """The one short word of what is off; empty when nothing is."""
        if self.unwanted:
            return NOT_COUNTED
        return SET_DONE if self.is_ended else self._cue

    @property
    def hills(self) -> tuple[Hill, ...]:
        """The reps so far, as they are drawn."""
        before = set_hills(self.earlier) if self.earlier else ()
        return before + rep_hills(self._reps, self._verdicts) + ((self._top,) if self._top and self.provisional else ())

    def fold(self, event: RepEvent, clock: TrueTime) -> Iterator[str]:
        """Fold one event; yield what there is to say about it."""
        before, self._clock_sd = self._ending, clock.ratio_sd
        match event:
            case RepProvisional():
                self._top = provisional_hill((event.top_s - event.start_s) * clock.ratio)
            case RepConfirmed():
                self._top = None
                self._count = event.count
                yield self._add(in_true_time(event.rep, clock))
            case RepWithdrawn():
                self._top = None
                yield from self._take_back(event, clock.ratio)
        if self._ending and self._ending is not before and not self.is_complete:
            yield f"{SET_DONE}: {ENDING_WORDS[self._ending]}"

    def _add(self, rep: Rep) -> str:
        """Put a rep in its place: one that was overlooked comes late."""
        place = bisect_right([one.start_s for one in self._reps], rep.start_s)
        self._reps.insert(place, rep)
        self._judge()
        verdict = self._verdicts[place]
        if verdict is not None and place == len(self._reps) - 1:
            pause = self._verdicts[place - 1] if place else None
            self._cue = self._cue_of(verdict, pause)
        return words.rep_line(self.count, rep, verdict)

    def _cue_of(self, last: RepVerdict, before: RepVerdict | None) -> str:
        """Return what there is to say; that the hang is missing once, not beside each rep that follows and is met."""
        whole = self._off_as_a_set(last)
        cue = cue_after(last, before, NOTHING_OFF if self._hang_said else whole)
        self._hang_said = bool(whole) and (self._hang_said or cue != cue_after(last, before))
        return cue

    def _judge(self) -> None:
        """Judge what there is: a pause at the bottom is known, and judged, once the next rep is."""
        self._reps = list(with_pauses([replace(rep, bottom_pause_s=None) for rep in self._reps]))
        following = [*self._reps[1:], None]
        self._verdicts = [
            self._verdict(rep, after) if self._judged else None
            for rep, after in zip(self._reps, following, strict=False)
        ]
        whole = [as_whole(rep, self.asked, self._view) for rep in self._reps]
        self._ending = ending(whole, self.asked, self._clock_sd) if self._judged else None

    def _verdict(self, rep: Rep, following: Rep | None) -> RepVerdict:
        return judge_rep(rep, self.asked, following=following, clock_sd=self._clock_sd, view=self._view)

    def _off_as_a_set(self, last: RepVerdict) -> Faults:
        """Return whether the reps begin without the hang that was asked for: one rep alone cannot tell.

        Nothing is off as soon as the last one did begin in it: what there is to say of the others, it has done.
        """
        if self.asked.start is not Start.HANG or _start(last.form) is Outcome.MET:
            return NOTHING_OFF
        verdicts = [verdict for verdict in self._verdicts if verdict is not None]
        whole = judge_set_form(self._reps, verdicts, self.asked, self._view)
        return NO_HANG if _start(whole) is Outcome.MISSED else NOTHING_OFF

    def _take_back(self, event: RepWithdrawn, clock_ratio: float) -> Iterator[str]:
        if event.count >= self._count:
            return
        self._count, self._cue = event.count, ""
        ends_s = [abs(rep.end_s - event.at_s * clock_ratio) for rep in self._reps]
        if ends_s:
            del self._reps[ends_s.index(min(ends_s))]
            self._judge()
        yield f"count back to {self.count}: {event.reason}"


def _start(form: Iterable[FormVerdict]) -> Outcome | None:
    """Return what was judged of how reps begin; None where nothing was."""
    return next((one.outcome for one in form if one.name == "start"), None)
