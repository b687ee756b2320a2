"""From what a person points at (the second set, its fourth rep) to a span of the recording and what holds there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from statistics import median
from typing import Any

from analysis.motion.results import Rep, RepKind
from analysis.training.corrections import Act, Given
from analysis.training.records import SessionRecord, SetRecord, Source
from analysis.training.sharing import all_sets
from analysis.training.superset import SetKind

USUAL_REP_S = 3.0
"""How long a rep is taken for where none beside it was measured (no source; its time counts for nothing)."""


class PointingError(ValueError):
    """There is nothing of that kind to point at; the message says what there is."""


@dataclass(frozen=True, slots=True)
class Draft:
    """A correction without who, when and why."""

    kind: Act
    start_s: float
    end_s: float
    value: Any = None

    @property
    def middle_s(self) -> float:
        """Middle of the span."""
        return (self.start_s + self.end_s) / 2


LETTERS = {SetKind.EXERCISE: "", SetKind.PARTNER: "p", SetKind.WARM_UP: "w"}
"""What the name of a set begins with."""


def named_sets(record: SessionRecord) -> Iterator[tuple[str, SetRecord]]:
    """Yield all sets in order of time, with the names by which a person points at them: 2, w1 (a warm-up), p1.

    Those of others at a shared bar are called o1, o2, …, of whatever kind they are.
    """
    own = ((f"{LETTERS[done.kind]}{done.number}", done) for done in all_sets(record))
    others = ((f"o{number}", done) for number, done in enumerate(record.others, start=1))
    yield from sorted((*own, *others), key=lambda one: one[1].start_s)


def the_set(record: SessionRecord, name: str | None) -> SetRecord:
    """Return a set by its name; the only one where none is given.

    Raises
    ------
    PointingError
        When there is no such set, or several and no name.
    """
    sets = dict(named_sets(record))
    if name is None and len(sets) == 1:
        return next(iter(sets.values()))
    if name not in sets:
        there = ", ".join(sets) or "none"
        raise PointingError(f"{'say which set' if name is None else f'there is no set {name}'}; there is {there}")
    return sets[name]


def set_that_counts(record: SessionRecord, name: str | None) -> SetRecord:
    """Return a set whose reps decide something.

    Raises
    ------
    PointingError
        As `the_set`, and where it is a warm-up or another exercise's.
    """
    done = the_set(record, name)
    if done.kind is not SetKind.EXERCISE:
        what = "a warm-up" if done.kind is SetKind.WARM_UP else "the other exercise's"
        raise PointingError(f"set {name} is {what} and decides nothing; if it counts, say so first (--relabel counts)")
    return done


def rep_added(done: SetRecord, after: int | None) -> Draft:
    """Put a rep after the one of that number; by default at the end, with 0 at the beginning."""
    reps = _reps(done)
    place = len(reps) if after is None else after
    if not 0 <= place <= len(reps):
        raise PointingError(f"set {done.number} has reps 1 to {len(reps)}; 0 stands for its beginning")
    usual_s = median([one.end_s - one.start_s for one in reps] or [USUAL_REP_S])
    end_s = reps[place].start_s if place < len(reps) else reps[-1].end_s + usual_s
    start_s = reps[place - 1].end_s if place else end_s - usual_s
    start_s = min(start_s, end_s)
    return _draft(Act.ADD_REP, start_s, end_s, (start_s, end_s, RepKind.FULL))


def rep_dropped(done: SetRecord, number: int) -> Draft:
    """Say that a rep was none."""
    rep = _rep(done, number)
    return _draft(Act.DROP_REP, rep.start_s, rep.end_s)


def reps_dropped(done: SetRecord, after: int) -> Draft:
    """Say that the reps after the one of that number were none of this set's."""
    reps = _reps(done)
    if not 1 <= after < len(reps):
        raise PointingError(f"set {done.number} has reps 1 to {len(reps)}: none is left, or none goes")
    gone = reps[after:]
    return Draft(Act.DROP_REP, gone[0].start_s, gone[-1].end_s, {"reps": [], "seen": len(gone)})


def reps_merged(done: SetRecord, first: int, last: int) -> Draft:
    """Say that two reps that follow each other were one."""
    if last != first + 1:
        raise PointingError(f"reps {first} and {last} do not follow each other: give two that do, for example 3,4")
    one, other = _rep(done, first), _rep(done, last)
    kind = one.kind if one.counts else other.kind
    whole = RepKind.FULL if kind is RepKind.PARTIAL else kind
    return _draft(Act.MERGE, one.start_s, other.end_s, (one.start_s, other.end_s, whole))


def rep_split(done: SetRecord, number: int, after_s: float | None) -> Draft:
    """Say that a rep was two, the second one from so many seconds after its start on; by default from its middle on."""
    rep = _rep(done, number)
    long_s = rep.end_s - rep.start_s
    cut_s = long_s / 2 if after_s is None else after_s
    if not 0 < cut_s < long_s:
        raise PointingError(f"rep {number} lasts {long_s:.1f} s: cut it between 0 and {long_s:.1f} s after its start")
    at_s = rep.start_s + cut_s
    halves = ((rep.start_s, at_s, RepKind.FULL), (at_s, rep.end_s, RepKind.FULL))
    return _draft(Act.SPLIT, rep.start_s, rep.end_s, *halves)


def rep_of_kind(done: SetRecord, number: int, kind: RepKind) -> Draft:
    """Say of which kind a rep was."""
    rep = _rep(done, number)
    return _draft(Act.REP_KIND, rep.start_s, rep.end_s, (rep.start_s, rep.end_s, kind))


def set_counted(done: SetRecord, count: int) -> Draft:
    """Say how many reps there were."""
    return Draft(Act.COUNT, done.start_s, done.end_s, {"count": count, "seen": done.verdict.count})


def set_told(count: int, since_s: float, now_s: float) -> Draft:
    """Say that a set was done without the sensor, and is over now.

    Parameters
    ----------
    count
        Its reps.
    since_s, now_s
        When the set before ended, and when it is said, on the sensor's own clock.
    """
    return Draft(Act.ADD, max(since_s, now_s - count * USUAL_REP_S), now_s, {"count": count})


def hold_told(seconds: int, since_s: float, now_s: float) -> Draft:
    """Say that so many seconds were held without the sensor, and that the hold is over now; else as `set_told`."""
    return Draft(Act.ADD, max(since_s, now_s - seconds), now_s, {"held_s": seconds})


def set_dropped(done: SetRecord) -> Draft:
    """Say that a set does not count."""
    return Draft(Act.DROP, done.start_s, done.end_s)


def set_relabelled(done: SetRecord, kind: SetKind) -> Draft:
    """Say that a set was one of the exercise, a warm-up or another exercise's."""
    if done.kind is kind:
        raise PointingError(f"that set is taken for one of that kind already ({kind.value})")
    return Draft(Act.RELABEL, done.start_s, done.end_s, kind.value)


def set_given(record: SessionRecord, done: SetRecord, given: Given) -> Draft:
    """Say that a set was another's than the session's own trainee's, or that it was that one's after all.

    Raises
    ------
    PointingError
        When it is taken for theirs already, or no motion tells when it was.
    """
    if (done.trainee or record.trainee) == given.trainee:
        raise PointingError("that set is taken for theirs already")
    if record.source is not Source.SENSOR:
        raise PointingError(
            "a session that was typed in is one person's: leave the set out here (--drop-set), and type it in for the "
            "other one (rungwise done)"
        )
    return Draft(Act.GIVE, done.start_s, done.end_s, given)


def loaded(record: SessionRecord, done: SetRecord | None, load_kg: float) -> Draft:
    """Say with what load a set was done; without a set, all of them."""
    sets = record.sets if done is None else (done,)
    if not sets:
        raise PointingError("there is no set whose load could be another")
    return Draft(Act.LOAD, sets[0].start_s, sets[-1].end_s, {"load_kg": load_kg})


def _draft(kind: Act, start_s: float, end_s: float, *reps: tuple[float, float, RepKind]) -> Draft:
    told = [{"start_s": start, "end_s": end, "kind": of.value} for start, end, of in reps]
    return Draft(kind, start_s, end_s, {"reps": told})


def _reps(done: SetRecord) -> tuple[Rep, ...]:
    if not done.reps:
        raise PointingError(f"set {done.number} has no reps to point at: correct its count")
    return done.reps


def _rep(done: SetRecord, number: int) -> Rep:
    reps = _reps(done)
    if not 1 <= number <= len(reps):
        raise PointingError(f"set {done.number} has no rep {number}: it has reps 1 to {len(reps)}")
    return reps[number - 1]
