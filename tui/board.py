"""Folds events into what a screen shows. Knows no clock, no file, no screen: the time is passed in.

A live session and a replay fold the same events through this one class, so they show the same.

    SEARCHING ──link──► READY ──bout opens──► SET ──bout closes──► REST ──bout opens──► SET … ──last set──► DONE
    A bout that turns out to hold no rep leads back to where it came from.
"""

from __future__ import annotations

from collections.abc import Iterator

from analysis.motion.events import (
    BoutClosed,
    BoutOpened,
    BoutRefined,
    Event,
    HoldBegan,
    HoldEnded,
    PhaseChanged,
    RepConfirmed,
    RepProvisional,
    RepWithdrawn,
    SpanUnmeasurable,
)
from analysis.motion.results import Bout, Unmeasurable
from analysis.training.judge import judge_session
from analysis.training.prescription import Prescription
from analysis.training.records import SetRecord
from analysis.training.superset import SetKind
from analysis.training.verdict import SessionVerdict
from sensor.clock import ClockEstimate, DeviceClock
from sensor.source import LinkState
from tui import format as words
from tui.doing import Doing, phase_target_s
from tui.done import Done, true_time
from tui.hills import set_hills, target_hill
from tui.link_news import LinkNews
from tui.messages import Hill, Link, Moment, Snapshot, Stage
from tui.openset import OpenSet
from tui.rest_news import RestNews

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
    """

    def __init__(
        self, *, trainee: str, prescription: Prescription, began_s: float, cautions: tuple[str, ...] = ()
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
        self._done = Done(prescription)
        self._open: OpenSet | None = None
        self._doing = Doing()
        self._rest_news = RestNews()

    def opening_moments(self, now_s: float) -> Iterator[Moment]:
        """Tell whose session it is, what is asked, and what to mind."""
        yield self._moment(now_s, "set", f"{self._trainee}: {words.prescription_line(self.prescription)}")
        for caution in self._cautions:
            yield self._moment(now_s, "caution", caution)

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
        match event:
            case BoutOpened():
                self._open = OpenSet(self.prescription)
                either = f" or {self.partner_due}" if self.partner_due else ""
                yield self._moment(now_s, "set", f"set {len(self.sets) + 1}{either}: hands on")
            case PhaseChanged() | HoldBegan() | HoldEnded():
                self._doing.fold(event)
            case RepProvisional() | RepConfirmed() | RepWithdrawn():
                if self._open:
                    yield from (self._moment(now_s, "rep", text) for text in self._open.fold(event, true_time(clock)))
            case BoutClosed():
                yield from self._on_closed(event.bout, now_s)
            case BoutRefined():
                yield from self._on_refined(event, now_s)
            case SpanUnmeasurable():
                yield self._moment(now_s, "note", words.unmeasurable_line(event.span))

    def tick(self, now_s: float) -> Iterator[Moment]:
        """Announce what comes by time alone: the last seconds of a rest, and its end."""
        left_s, next_set = self._rest_left_s(now_s), f"set {len(self.sets) + 1} of {self.prescription.sets}"
        lines = self._rest_news.of(left_s, len(self.all_sets), next_set)
        yield from (self._moment(now_s, "rest", line) for line in lines)

    def drop_last_set(self) -> SetRecord | None:
        """Leave the last set out of the count; return it, or None where there is none."""
        if not self.all_sets or self._open or self.all_sets[-1].kind is SetKind.PARTNER:
            return None
        last = self.sets[-1]
        self._done.drop(last, self.clock)
        return last

    def relabel_last_set(self) -> SetRecord | None:
        """Take the last set of a superset for the other exercise's; return it as it is then, or None."""
        if not self.all_sets or self._open or self.prescription.partner is None:
            return None
        return self._done.relabel(self.all_sets[-1], self.clock)

    def relabelled_moments(self, record: SetRecord, now_s: float) -> Iterator[Moment]:
        """Tell whose set it is now."""
        yield from (self._moment(now_s, "set", line) for line in self._set_lines(record))

    def dropped_moments(self, record: SetRecord, now_s: float) -> Iterator[Moment]:
        """Tell that a set is not counted."""
        yield self._moment(now_s, "set", f"set {record.number} is not counted; what was measured stays")

    def remark(self, text: str, now_s: float) -> Iterator[Moment]:
        """Tell something that is about no set."""
        yield self._moment(now_s, "note", text)

    def set_of(self, bout: Bout) -> SetRecord | None:
        """Return the set that a bout stands as; None where it is none."""
        return self._done.of(bout)

    @property
    def sets(self) -> tuple[SetRecord, ...]:
        """The sets of the prescribed exercise."""
        return self._done.own

    @property
    def all_sets(self) -> tuple[SetRecord, ...]:
        """The sets in order of time, those of a superset's partner among them."""
        return self._done.sets

    @property
    def partner_due(self) -> str:
        """Name of the superset's other exercise, where it is its turn; empty otherwise."""
        last, partner = self.all_sets[-1:], self.prescription.partner
        return partner.name if partner and last and last[0].kind is SetKind.EXERCISE else ""

    def closing_moments(self, now_s: float) -> Iterator[Moment]:
        """Tell what the whole session was, and what comes next."""
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
        if self._open:
            return Stage.SET
        if self.ended or self._all_done:
            return Stage.DONE
        if self.sets:
            return Stage.REST
        return Stage.READY if self._link.state is LinkState.CONNECTED else Stage.SEARCHING

    @property
    def _all_done(self) -> bool:
        """Whether every set that was asked for is done; never where nothing was asked for."""
        return 0 < self.prescription.sets <= len(self.sets)

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
        stage = self.stage
        known = self._open is not None and not self._open.is_complete and self._is_seen(now_s)
        reps = self._open.count if self._open else 0
        phase, phase_s = self._doing.now(lambda at_s: now_s - self.clock.to_host(at_s), in_set=known, reps=reps)
        return Snapshot(
            trainee=self._trainee,
            stage=stage,
            prescription=self.prescription,
            link=self._link,
            set_number=len(self.sets) + (stage is not Stage.DONE),
            count=self._count(),
            provisional=bool(self._open and self._open.provisional),
            phase=phase,
            phase_s=max(0.0, phase_s),
            phase_target_s=phase_target_s(self.prescription, phase),
            rest_left_s=self._rest_left_s(now_s),
            cue=self._open.cue if self._open else "",
            hills=self._hills(),
            target=target_hill(self.prescription),
            closed=tuple(done.verdict for done in self.sets),
            session_verdict=self.verdict() if stage is Stage.DONE else None,
            next_text=self.next_text,
            cautions=self._cautions,
            elapsed_s=now_s - self._began_s,
            partner_due=self.partner_due,
        )

    def _is_seen(self, now_s: float) -> bool:
        """Whether what is done now is known: nothing is missing, and the last samples are fresh."""
        return not self._link.is_behind and now_s - self._heard_s <= QUIET_S

    def _on_closed(self, bout: Bout, now_s: float) -> Iterator[Moment]:
        self._open = None
        self._done.closed(bout, self.clock)
        if not bout.count and not bout.holds and not self.prescription.hold_s:
            yield self._moment(now_s, "set", "no set")
        yield from (self._moment(now_s, "set", words.hold_line(hold, self.clock.ratio)) for hold in bout.holds)
        yield from (self._moment(now_s, "verdict", line) for line in self._lines_of(bout))
        if self.set_of(bout) is not None and len(self.sets) < self.prescription.sets:
            rest = f"rest {self.prescription.rest_s:g} s, then set {len(self.sets) + 1}"
            yield self._moment(now_s, "rest", f"{self.partner_due}, then {rest}" if self.partner_due else rest)

    def _on_refined(self, event: BoutRefined, now_s: float) -> Iterator[Moment]:
        """Replace the live answer; tell what the whole set, seen in both directions, changes."""
        before = self._done.superseded(event.supersedes)
        told = {words.without_figures(line) for one in before for line in self._lines_of(one)}
        self._done.refined(event.bout, before, self.clock)
        live = sum(one.count for one in before)
        if live != event.bout.count and before:
            text = f"count corrected from {live} to {event.bout.count}, now that the whole set was seen"
            yield self._moment(now_s, "set", text)
        if not event.bout.reps and event.bout.why:
            span = Unmeasurable(event.bout.start_s, event.bout.end_s, event.bout.why)
            yield self._moment(now_s, "note", words.unmeasurable_line(span))
        changed = [line for line in self._lines_of(event.bout) if words.without_figures(line) not in told]
        yield from (self._moment(now_s, "verdict", line) for line in words.seen_whole(self.set_of(event.bout), changed))

    def _lines_of(self, bout: Bout) -> tuple[str, ...]:
        """Return the verdict of the set that a bout stands as, in words."""
        done = self.set_of(bout)
        return () if done is None else self._set_lines(done)

    def _set_lines(self, done: SetRecord) -> tuple[str, ...]:
        """Return the verdict of a set in words; of a partner's only that it was one."""
        if done.kind is SetKind.PARTNER and self.prescription.partner:
            return (f"{self.prescription.partner.name}: seen, not counted",)
        return tuple(words.set_lines(done.number, done.verdict))

    def _count(self) -> int:
        if self._open:
            return self._open.count
        return self.sets[-1].verdict.count if self.sets else 0

    def _hills(self) -> tuple[Hill, ...]:
        if self._open:
            return self._open.hills
        return set_hills(self.sets[-1]) if self.sets else ()

    def _rest_left_s(self, now_s: float) -> float | None:
        if self.stage is not Stage.REST:
            return None
        return self.prescription.rest_s - (now_s - self.clock.to_host(self.all_sets[-1].end_s))

    def _moment(self, now_s: float, kind: str, text: str) -> Moment:
        return Moment(at_s=now_s - self._began_s, kind=kind, text=text)
