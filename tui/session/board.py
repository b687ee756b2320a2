"""Folds events into what a screen shows. Knows no clock, no file, no screen: the time is passed in.

A live session and a replay fold the same events through this one class, so they show the same.

    SEARCHING ──link──► READY ──bout opens──► SET ──bout closes──► REST ──bout opens──► SET … ──last set──► DONE
    A bout that turns out to hold no rep leads back to where it came from. A cluster set waits in REST for its gap, and
    goes on with the next bout.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from analysis.motion.events import (
    BoutClosed,
    BoutOpened,
    BoutRefined,
    Event,
    RepConfirmed,
    RepProvisional,
    RepWithdrawn,
    SpanUnmeasurable,
)
from analysis.motion.results import Bout
from analysis.training.form import unchecked
from analysis.training.judge import judge_session
from analysis.training.prescription import Prescription
from analysis.training.records import SetRecord
from analysis.training.superset import SetKind
from analysis.training.verdict import SessionVerdict
from analysis.training.view import NOTHING, View
from sensor.clock import ClockEstimate, DeviceClock
from sensor.source import LinkState
from tui.session.between_holds import between_holds
from tui.session.doing import Doing, phase_after, phase_target_s
from tui.session.messages import Hill, Link, Moment, Offer, Snapshot, Stage
from tui.session.tally import Line, Tally
from tui.views.hills import set_hills, target_hill
from tui.words import format as words
from tui.words.link_news import LinkNews
from tui.words.rest_news import RestNews

QUIET_S = 1.0
"""Longer without a sample, and nobody knows whether the phase still lasts; a loss is found only some seconds later."""
UNKNOWN_CLOCK = DeviceClock().estimate()


class Board:
    """The state of one trainee's session, folded from events.

    Parameters
    ----------
    trainee
        Name, as shown.
    prescription
        What is asked today.
    began_s
        Host time at which the search for a sensor began; seconds are told from there until one is connected, and from
        then on from there.
    cautions
        Shown before the first set.
    view
        What is known beside the motion.

    Attributes
    ----------
    tally
        The sets, and what a person says of them.
    clock
        The sensor's, as known at the last event.
    """

    def __init__(
        self,
        *,
        trainee: str,
        prescription: Prescription,
        began_s: float,
        cautions: tuple[str, ...] = (),
        view: View = NOTHING,
    ) -> None:
        self.prescription = prescription
        self.next_text: tuple[str, ...] = ()
        self.ended = False
        self._trainee = trainee
        self._began_s = began_s
        self._met = False
        self._cautions = cautions
        self._link = Link(state=LinkState.SEARCHING)
        self._news = LinkNews()
        self._heard_s = float("inf")
        self.clock = UNKNOWN_CLOCK
        self.tally = Tally(prescription, view)
        self._unchecked = unchecked(prescription, view)
        self._doing = Doing()
        self._rest_news = RestNews()

    def ask_anew(self, prescription: Prescription) -> None:
        """Ask of the sets that are still to begin what was changed meanwhile."""
        self.prescription = prescription
        self.tally.ask_anew(prescription)

    def opening_moments(self, now_s: float) -> Iterator[Moment]:
        """Tell whose session it is, what is asked, and what to mind."""
        yield self._moment(now_s, "set", f"{self._trainee}: {words.prescription_line(self.prescription)}")
        for caution in self._cautions:
            yield self._moment(now_s, "caution", caution)
        yield from (self._moment(now_s, "note", text) for text in self._unchecked)

    def searching_moments(self, now_s: float) -> Iterator[Moment]:
        """Tell what is waited for."""
        yield self._moment(now_s, "link", words.link_line(self._link))

    def on_link(self, link: Link, now_s: float) -> Iterator[Moment]:
        """Take over the state of the sensor; tell when it changes, and of a new sensor once it said what it is."""
        self._link = link
        if link.state is LinkState.CONNECTED and not self._met:
            self._met, self._began_s = True, now_s
        yield from (self._moment(now_s, "link", line) for line in self._news.of(link))

    def heard(self, now_s: float) -> None:
        """Take note that samples came now."""
        self._heard_s = now_s

    def on_event(self, event: Event, clock: ClockEstimate, now_s: float) -> Iterator[Moment]:
        """Fold one event of the motion core; `clock` is the sensor's clock as known now."""
        self.clock = clock
        self._doing.fold(event)
        match event:
            case BoutOpened():
                yield from self.told(self.tally.opened(event.at_s), now_s)
            case RepProvisional() | RepConfirmed() | RepWithdrawn():
                yield from self.told(self.tally.rep(event, clock), now_s)
            case BoutClosed():
                yield from self.told(self.tally.closed(event.bout, clock), now_s)
            case BoutRefined():
                yield from self.told(self.tally.refined(event, clock), now_s)
            case SpanUnmeasurable():
                yield self._moment(now_s, "note", words.unmeasurable_line(event.span))

    def tick(self, now_s: float) -> Iterator[Moment]:
        """Announce what comes by time alone: a set that waited is over, a rest or gap nearly so, or over."""
        if self.tally.waiting:
            since_s = now_s - self.clock.to_host(self.tally.waiting.end_s)
            yield from self.told(self.tally.gap_over(since_s), now_s)
        waits, bouts = self.tally.waiting, sum(len(one.bouts) or 1 for one in self.all_sets)
        next_set = f"set {waits.number} goes on" if waits else f"set {len(self.sets) + 1} of {self.prescription.sets}"
        what = "gap" if waits else "rest"
        lines = self._rest_news.of(self._rest_left_s(now_s), 2 * bouts + (waits is None), next_set, what)
        yield from self.told((("rest", line) for line in lines), now_s)

    def remark(self, text: str, now_s: float) -> Iterator[Moment]:
        """Tell something that is about no set."""
        yield self._moment(now_s, "note", text)

    def set_of(self, bout: Bout) -> SetRecord | None:
        """Return the set that a bout stands as, or is a part of; None where it is none."""
        return self.tally.set_of(bout)

    def is_refined(self, record: SetRecord) -> bool:
        """Whether all of a set was seen whole."""
        return self.tally.is_refined(record)

    @property
    def sets(self) -> tuple[SetRecord, ...]:
        """The sets of the prescribed exercise that count."""
        return self.tally.sets

    @property
    def all_sets(self) -> tuple[SetRecord, ...]:
        """The sets in order of time, warm-ups and those of a superset's partner among them."""
        return self.tally.all_sets

    @property
    def measured(self) -> tuple[SetRecord, ...]:
        """The same as they were found, whatever a person said of them: what the log keeps beside the corrections."""
        return self.tally.measured

    @property
    def waiting(self) -> SetRecord | None:
        """The cluster set that may still go on after its gap; None where there is none."""
        return self.tally.waiting

    def closing_moments(self, now_s: float) -> Iterator[Moment]:
        """Tell what the whole session was, and what comes next."""
        yield from self.told(self.tally.ended(), now_s)
        yield from (self._moment(now_s, "closing", line) for line in self.closing)

    @property
    def closing(self) -> tuple[str, ...]:
        """What the session was and what comes next, in words; nothing of one that never met a sensor."""
        if not self._met:
            return ()
        return (*self._summary(), words.clock_line(self.clock), *self.next_text)

    @property
    def stage(self) -> Stage:
        """Where the session stands."""
        if self.tally.open:
            return Stage.SET
        if self.ended or self._all_done:
            return Stage.DONE
        if self.sets:
            return Stage.REST
        return Stage.READY if self._link.state is LinkState.CONNECTED else Stage.SEARCHING

    @property
    def offers(self) -> frozenset[Offer]:
        """What a key can mend now."""
        stage, offers = self.stage, set[Offer]()
        if stage is Stage.SET or (self.all_sets and self.all_sets[-1].kind is not SetKind.PARTNER):
            offers.add(Offer.DROP)
        if not self.ended:
            offers |= {Offer.NAME} if stage is not Stage.SET else set()
            offers.add(Offer.MOUNT)  # in a set, too: as if it sat elsewhere, a sensor may see one that is none
        if self._link.sensor and not self.ended and stage is not Stage.SET:
            offers.add(Offer.TELL_SET)
        return frozenset(offers)

    @property
    def _all_done(self) -> bool:
        """Whether every set that was asked for is done; never where nothing was asked for."""
        return 0 < self.prescription.sets <= len(self.sets) and not self.waiting

    def _summary(self) -> tuple[str, ...]:
        if not self.sets:
            return ("No set was done.",)
        if not self.prescription.sets:
            return (f"Sets: {len(self.sets)}, reps: {sum(done.verdict.count for done in self.sets)}.",)
        return self.verdict().summary

    def verdict(self) -> SessionVerdict:
        """Judge the session as it stands."""
        return judge_session([done.verdict for done in self.sets], self.prescription)

    def snapshot(self, now_s: float) -> Snapshot:
        """Return everything a screen shows at host time `now_s`."""
        shown, clock = self._as_it_stands(now_s), self.clock
        return between_holds(shown, self._doing, self.all_sets, lambda at_s: now_s - clock.to_host(at_s))

    def _as_it_stands(self, now_s: float) -> Snapshot:
        stage, running, over = self.stage, self.tally.open, self.tally.over
        asked = self.tally.asked(self.clock.to_device(now_s))
        known = running is not None and not running.is_over and self._is_seen(now_s)
        reps = running.count if running else 0
        phase, phase_s = self._doing.now(lambda at_s: now_s - self.clock.to_host(at_s), in_set=known, reps=reps)
        return Snapshot(
            trainee=self._trainee,
            stage=stage,
            prescription=asked,
            link=self._link,
            set_number=len(over) + (stage is not Stage.DONE),
            count=self._count(),
            provisional=bool(running and running.provisional),
            phase=phase,
            phase_s=max(0.0, phase_s),
            phase_target_s=phase_target_s(asked, phase),
            then=phase_after(asked, phase, last=reps + 1 == asked.reps),
            rest_left_s=self._rest_left_s(now_s),
            cue=running.cue if running else "",
            ended=running is not None and running.is_ended,
            hills=self._hills(),
            target=target_hill(asked),
            closed=tuple(done.verdict for done in over),
            session_verdict=self.verdict() if self.ended or self._all_done else None,
            next_text=self.next_text,
            cautions=self._cautions,
            elapsed_s=now_s - self._began_s,
            partner_due=self.tally.partner_due,
            undo=self.tally.undo,
            offers=self.offers,
            warm_up=self.tally.warm_up_due,
            gap_s=asked.gap_s if self.waiting and not running else None,
        )

    def _is_seen(self, now_s: float) -> bool:
        """Whether what is done now is known: nothing is missing, and the last samples are fresh."""
        return not self._link.is_behind and now_s - self._heard_s <= QUIET_S

    def _count(self) -> int:
        last = self.sets[-1].verdict.count if self.sets else 0
        return self.tally.open.count if self.tally.open else last

    def _hills(self) -> tuple[Hill, ...]:
        if self.tally.open:
            return self.tally.open.hills
        return set_hills(self.sets[-1]) if self.sets else ()

    def _rest_left_s(self, now_s: float) -> float | None:
        if self.stage is not Stage.REST:
            return None
        asked = self.tally.asked(self.clock.to_device(now_s))
        return ((self.waiting and asked.gap_s) or asked.rest_s) - (now_s - self.clock.to_host(self.all_sets[-1].end_s))

    def told(self, lines: Iterable[Line], now_s: float) -> Iterator[Moment]:
        """Return lines as moments of now."""
        return (self._moment(now_s, kind, text) for kind, text in lines)

    def _moment(self, now_s: float, kind: str, text: str) -> Moment:
        return Moment(at_s=now_s - self._began_s, kind=kind, text=text)
