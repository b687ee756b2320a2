"""The sets of a session as they are told: in progress, waiting for the gap of a cluster set, over.

Folds what the motion core says of bouts and reps into lines, each with the kind of moment it is. Knows no clock.
"""

from __future__ import annotations

from collections.abc import Iterator

from analysis.motion.events import BoutRefined
from analysis.motion.results import Bout, Unmeasurable
from analysis.training.corrections import Act
from analysis.training.pointing import Draft
from analysis.training.prescription import Prescription
from analysis.training.records import SetRecord
from analysis.training.sets import may_go_on
from analysis.training.superset import SetKind
from analysis.training.view import NOTHING, View
from sensor.clock import ClockEstimate
from tui.session.done import Done, true_time
from tui.session.openset import OpenSet, RepEvent
from tui.words import format as words
from tui.words.set_news import NO_HOLD, SetNews, name_of

Line = tuple[str, str]
"""Kind of moment, and its text."""


class Tally:
    """Folds bouts and reps; every method takes the sensor's clock as known then.

    Attributes
    ----------
    open
        The set in progress; None between sets.
    """

    def __init__(self, prescription: Prescription, view: View = NOTHING) -> None:
        self.open: OpenSet | None = None
        self._asked, self._view = prescription, view
        self._done = Done(prescription, view=view)
        self._news = SetNews(prescription)
        self._waits = False

    def ask_anew(self, prescription: Prescription) -> None:
        """Ask of the sets that are still to begin what was changed meanwhile (`Prescription.at`)."""
        self._asked = prescription
        self._done.ask_anew(prescription)

    def asked(self, at_s: float) -> Prescription:
        """Return what is asked of the set in progress, or of one that would begin at `at_s`, the sensor's own time."""
        return self.open.asked if self.open else self._asked.at(self.waiting.start_s if self.waiting else at_s)

    @property
    def sets(self) -> tuple[SetRecord, ...]:
        """The sets that count."""
        return self._done.own

    @property
    def all_sets(self) -> tuple[SetRecord, ...]:
        """The sets in order of time, warm-ups and those of a superset's partner among them."""
        return self._done.sets

    @property
    def measured(self) -> tuple[SetRecord, ...]:
        """The same as they were found, whatever a person said of them."""
        return self._done.measured

    @property
    def waiting(self) -> SetRecord | None:
        """The cluster set that may still go on after its gap; None where there is none."""
        return self.sets[-1] if self._waits and self.sets else None

    @property
    def over(self) -> tuple[SetRecord, ...]:
        """The sets that count and to which nothing more can come."""
        unfinished = self._waits or (self.open is not None and self.open.earlier is not None)
        return self.sets[:-1] if unfinished else self.sets

    @property
    def warm_up_due(self) -> int:
        """Number of the warm-up in progress or to come; 0 where none is asked for any more."""
        return self._done.warm_up_due

    @property
    def partner_due(self) -> str:
        """Name of the superset's other exercise, where it is its turn; empty otherwise."""
        last, partner = self.all_sets[-1:], self._asked.partner
        ours = partner and last and last[0].kind is SetKind.EXERCISE and not self._waits
        return partner.name if partner and ours else ""

    def set_of(self, bout: Bout) -> SetRecord | None:
        """Return the set that a bout stands as, or is a part of; None where it is none."""
        return self._done.of(bout)

    def is_refined(self, record: SetRecord) -> bool:
        """Whether all of a set was seen whole."""
        return self._done.is_refined(record)

    def set_within(self, told: Draft) -> SetRecord | None:
        """Return the set that was told, or left out and counts again."""
        return next((one for one in self.all_sets if one.start_s <= told.middle_s <= one.end_s), None)

    def lines_of(self, record: SetRecord) -> tuple[str, ...]:
        """Return the verdict of a set in words."""
        return self._news.set_lines(record)

    def drop_last(self, clock: ClockEstimate) -> SetRecord | None:
        """Leave the last set out and return it, or None."""
        dropped = None if self.open else self._done.drop_last(clock)
        self._waits = self._waits and dropped is None
        return dropped

    def tell(self, count: int, now_s: float, clock: ClockEstimate) -> Draft:
        """Take a set for done without the sensor, over now on its own clock; return what is kept of it."""
        self._waits = False
        return self._done.tell(count, now_s, clock)

    def say_again(self, what: Draft, clock: ClockEstimate) -> None:
        """Take what was said of a set before, wherever the set now is found."""
        self._done.say_again(what, clock)
        self._waits = False

    @property
    def undo(self) -> str:
        """What a key would take back now, in words; empty where there is nothing."""
        if self.open:
            return "count this set" if self.open.unwanted else ""
        last = self._done.last_by_key
        return "" if last is None else "take it out again" if last.kind is Act.ADD else "count it again"

    def take_back(self, clock: ClockEstimate) -> Draft | None:
        """Take back what was left out or told last; return it, or None."""
        return None if self.open else self._done.take_back(clock)

    def relabel_last(self, clock: ClockEstimate) -> SetRecord | None:
        """Take the last set of a superset for the other exercise's; return it as it is then, or None."""
        relabelled = None if self.open else self._done.relabel_last(clock)
        self._waits = self._waits and relabelled is None
        return relabelled

    def opened(self, at_s: float) -> Iterator[Line]:
        """Begin a set, or go on with the one that waits; `at_s` is the sensor's own time."""
        waits, warm_up, partner = self.waiting, self.warm_up_due, self.partner_due
        if waits and not may_go_on(waits, self._asked, at_s - waits.end_s):
            waits = None
        self._waits = self._waits and waits is None  # one that is over by time is told so by the next tick
        asked = self._asked.at(waits.start_s if waits else at_s)
        self.open = OpenSet(asked, waits, judged=not warm_up, view=self._view)
        number = waits.number if waits else len(self.sets) + 1
        yield "set", self._news.opened(number, warm_up=warm_up, partner=partner, goes_on=waits is not None)

    def rep(self, event: RepEvent, clock: ClockEstimate) -> Iterator[Line]:
        """Fold a rep of the set in progress; where holds are asked for it is letting go and steps, and not told."""
        lines = list(self.open.fold(event, true_time(clock))) if self.open else []
        yield from (("rep", text) for text in lines if not self._holds_alone)

    def closed(self, bout: Bout, clock: ClockEstimate) -> Iterator[Line]:
        """Fold a bout that is over."""
        earlier = self.open.earlier if self.open else None
        self.open = None
        self._done.closed(bout, clock)
        if not bout.count and not bout.holds and not self._asked.hold_s:
            last = self.all_sets[-1:]
            yield "set", f"what came after {name_of(last[0])} was no set" if last else "no set"
        if bout.count and not bout.holds and self._holds_alone:
            yield "set", NO_HOLD
        yield from (("set", words.hold_line(hold, clock.ratio)) for hold in bout.holds)
        done = self.set_of(bout)
        if done is None:  # a try within the gap: the set still waits for the rest of it
            self._waits = self._waits or earlier is not None
            return
        self._waits = may_go_on(done, self._asked, 0.0)
        if self._waits:
            yield from zip(("set", "rest"), self._news.gap_lines(done), strict=True)
        else:
            yield from self.over_lines(done)

    def refined(self, event: BoutRefined, clock: ClockEstimate) -> Iterator[Line]:
        """Replace the live answer; tell what the whole bout, seen in both directions, changes."""
        before = self._done.superseded(event.supersedes)
        told = {words.without_figures(line) for one in before for line in self._lines_of(one)}
        self._done.refined(event.bout, before, clock)
        waits = self.waiting
        self._waits = waits is not None and may_go_on(waits, self._asked, 0.0)
        live = sum(one.count for one in before)
        if live != event.bout.count and before:
            yield "set", f"count corrected from {live} to {event.bout.count}, now that the whole set was seen"
        if not event.bout.reps and event.bout.why:
            span = Unmeasurable(event.bout.start_s, event.bout.end_s, event.bout.why)
            yield "note", words.unmeasurable_line(span)
        changed = [line for line in self._lines_of(event.bout) if words.without_figures(line) not in told]
        yield from (("verdict", line) for line in words.seen_whole(self.set_of(event.bout), changed))

    def gap_over(self, since_s: float) -> Iterator[Line]:
        """Tell the set that waits once it cannot go on any more.

        Parameters
        ----------
        since_s
            Seconds since its last rep.
        """
        waits = self.waiting
        if waits and not may_go_on(waits, self._asked, since_s):
            self._waits = False
            yield from self.over_lines(waits)

    def ended(self) -> Iterator[Line]:
        """Tell the set that waits: nothing more comes."""
        waits, self._waits = self.waiting, False
        if waits:
            yield from (("verdict", line) for line in self.lines_of(waits))

    def over_lines(self, done: SetRecord) -> Iterator[Line]:
        """Tell the verdict of a set to which nothing more comes, and what is next."""
        yield from (("verdict", line) for line in self.lines_of(done))
        rest_s = self._asked.at(done.end_s).rest_s
        after = self._news.after(len(self.sets), rest_s, warm_up=self.warm_up_due, partner=self.partner_due)
        if after:
            yield "rest", after

    @property
    def _holds_alone(self) -> bool:
        """Whether holds are asked for, and no reps of another exercise either."""
        return self._asked.hold_s is not None and self._asked.partner is None

    def _lines_of(self, bout: Bout) -> tuple[str, ...]:
        done = self.set_of(bout)
        return () if done is None or done == self.waiting else self.lines_of(done)
