"""What was done so far: bouts as they stand, what a person said of them, and the sets that follow from both."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

from analysis.motion.results import Bout
from analysis.training.correcting import among_told
from analysis.training.corrections import Act
from analysis.training.pointing import Draft, hold_told, set_dropped, set_told
from analysis.training.prescription import Prescription
from analysis.training.records import SetRecord
from analysis.training.scale import TrueTime
from analysis.training.sets import Said, group_bouts, judged
from analysis.training.superset import SetKind
from analysis.training.view import NOTHING, View
from sensor.clock import ClockEstimate


def true_time(clock: ClockEstimate) -> TrueTime:
    """Return how a sensor's clock goes, as judging takes it."""
    return TrueTime(ratio=clock.ratio, ratio_sd=clock.sd_ppm * 1e-6, moment_sd_s=clock.moment_sd_s)


@dataclass(frozen=True, slots=True)
class _Answer:
    """A bout as it stands: the live answer until the refined one replaces it. The sensor's own time."""

    bout: Bout
    refined: bool


class Done:
    """The sets of a session, judged anew with every answer.

    Attributes
    ----------
    sets
        In order of time, warm-ups and those of a superset's partner among them.
    measured
        As they were found, whatever a person said of them: what the log keeps beside the corrections.
    """

    def __init__(self, prescription: Prescription, view: View = NOTHING) -> None:
        self.sets: tuple[SetRecord, ...] = ()
        self.measured: tuple[SetRecord, ...] = ()
        self._prescription = prescription
        self._view = view
        self._answers: tuple[_Answer, ...] = ()
        self._by_key: tuple[Draft, ...] = ()
        """Sets left out and sets told, in the order in which that was said."""
        self._said: tuple[Said, ...] = ()

    def ask_anew(self, prescription: Prescription) -> None:
        """Take over what was changed for the sets that are still to begin."""
        self._prescription = prescription

    @property
    def own(self) -> tuple[SetRecord, ...]:
        """The sets that count."""
        return tuple(one for one in self.sets if one.kind is SetKind.EXERCISE)

    @property
    def warm_up_due(self) -> int:
        """Number of the warm-up in progress or to come; 0 where none is asked for any more."""
        number = 1 + sum(one.kind is SetKind.WARM_UP for one in self.sets)
        return number if number <= self._prescription.warm_ups else 0

    def of(self, bout: Bout) -> SetRecord | None:
        """Return the set that a bout stands as, or is a part of; None where it is none."""
        return next((one for one in self.sets if _holds(one, bout)), None)

    def is_refined(self, record: SetRecord) -> bool:
        """Whether every bout of a set was seen whole."""
        return all(one.refined for one in self._answers if _holds(record, one.bout))

    def closed(self, bout: Bout, clock: ClockEstimate) -> None:
        """Take a live answer; `clock` is the sensor's, as known now."""
        known = any(one.refined and _overlap(one.bout, bout) for one in self._answers)
        if bout.reps or not known:  # of a hold the whole answer may come first
            self._answers = (*self._answers, _Answer(bout, refined=False))
        self._judge(clock)

    def superseded(self, numbers: tuple[int, ...]) -> tuple[Bout, ...]:
        """Return the live answers of these numbers that no refinement has replaced yet."""
        return tuple(one.bout for one in self._answers if not one.refined and one.bout.number in numbers)

    def refined(self, bout: Bout, before: tuple[Bout, ...], clock: ClockEstimate) -> None:
        """Replace live answers by what the whole bout shows."""
        kept = [one for one in self._answers if one.refined or one.bout not in before]
        self._answers = (*kept, _Answer(bout, refined=True))
        self._judge(clock)

    def drop_last(self, clock: ClockEstimate) -> SetRecord | None:
        """Leave the last set out and return it; None where there is none, or it is the partner's."""
        if not self.sets or self.sets[-1].kind is SetKind.PARTNER:
            return None
        last = self.sets[-1]
        self._by_key = (*self._by_key, set_dropped(last))
        self._judge(clock)
        return last

    def tell(self, much: int, now_s: float, clock: ClockEstimate) -> Draft:
        """Take a set of so many reps, or seconds, for done without the sensor; it ended now, on its own clock."""
        told = set_told if self._prescription.hold_s is None else hold_told
        self.say_again(told(much, self.sets[-1].end_s if self.sets else -inf, now_s), clock)
        return self._by_key[-1]

    def say_again(self, what: Draft, clock: ClockEstimate) -> None:
        """Take what was said of a set before (left out, told, whose it is), wherever the set now is found."""
        if what.kind is Act.RELABEL:
            self._said = (*self._said, Said(what.start_s, what.end_s, SetKind(what.value)))
        else:
            self._by_key = (*self._by_key, what)
        self._judge(clock)

    @property
    def last_by_key(self) -> Draft | None:
        """What was left out or told last, and could be taken back."""
        return self._by_key[-1] if self._by_key else None

    def take_back(self, clock: ClockEstimate) -> Draft | None:
        """Take back what was left out or told last; return it, or None."""
        last = self.last_by_key
        self._by_key = self._by_key[:-1]
        self._judge(clock)
        return last

    def relabel_last(self, clock: ClockEstimate) -> SetRecord | None:
        """Take the last set of a superset for the other exercise's; return it as it is then, or None."""
        if not self.sets or self._prescription.partner is None:
            return None
        record = self.sets[-1]
        other = SetKind.EXERCISE if record.kind is SetKind.PARTNER else SetKind.PARTNER
        self._said = (*self._said, Said(record.start_s, record.end_s, other))
        self._judge(clock)
        return next((one for one in self.sets if one.start_s == record.start_s), None)

    def _judge(self, clock: ClockEstimate) -> None:
        """Group the bouts as they stand into sets and judge each with the sensor's clock as known now."""
        bouts = [one.bout for one in self._answers]
        self.measured = self._sets(bouts, (), clock)
        standing = [one for one in bouts if not self._is_dropped(one)]
        said = len(standing) < len(bouts) or bool(self._said)
        sets = self._sets(standing, self._said, clock) if said else self.measured
        self.sets = among_told(sets, self._told, self._prescription, true_time(clock), self._view)

    def _sets(self, bouts: Sequence[Bout], said: Sequence[Said], clock: ClockEstimate) -> tuple[SetRecord, ...]:
        groups = group_bouts(bouts, self._prescription, said)
        return tuple(judged(one, self._prescription, true_time(clock), self._view) for one in groups)

    def _is_dropped(self, bout: Bout) -> bool:
        """Whether a bout lies where a set was dropped: a refinement may move its ends."""
        return any(_overlap(bout, gone) for gone in self._by_key if gone.kind is Act.DROP)

    @property
    def _told(self) -> tuple[Draft, ...]:
        """What was told of sets that were not left out since: that they were done, without some reps, another count."""
        return tuple(
            one
            for number, one in enumerate(self._by_key)
            if one.kind in (Act.ADD, Act.DROP_REP, Act.COUNT)
            and not any(gone.kind is Act.DROP and _overlap(one, gone) for gone in self._by_key[number:])
        )


def _holds(record: SetRecord, bout: Bout) -> bool:
    return bout.start_s == record.start_s or bout.start_s in {rep.start_s for rep in record.reps}


def _overlap(one: Bout | Draft, other: Bout | Draft) -> bool:
    return one.start_s < other.end_s and other.start_s < one.end_s


def gist(record: SetRecord) -> tuple[object, ...]:
    """Return what must agree for two answers to be the same set with the same verdict."""
    phases = tuple(phase.outcome for rep in record.verdict.reps for phase in rep.phases)
    return (
        record.kind,
        record.number,
        record.start_s,
        record.end_s,
        record.verdict.outcome,
        record.verdict.rest_outcome,
        phases,
    )
