"""What each correction makes of the sets in its span (`correcting`)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from analysis.motion.results import Rep, RepKind, TimingSd, Untold
from analysis.training.corrections import SEEN, Act, Correction, Mark
from analysis.training.pointing import Draft
from analysis.training.superset import SetKind
from analysis.training.working import Placed, Working, of_kind

REACH_S = 8.0
"""A correction of a rep belongs to the nearest set, if it is no further away: strokes of one set are less apart."""


def applied(sets: Sequence[Working], made: Correction) -> tuple[tuple[Working, ...], Mark]:
    """Apply one correction to the sets of a session; return them in order of time, and what to say of it."""
    if made.kind in SEEN:
        hit = _nearest(sets, made)
        after, disagrees = _with_reps(hit, made)
    else:
        hit = [one for one in sets if _same_place(one, made)]
        if made.kind is Act.LOAD and len(hit) > 1:  # said of a whole session, which is its own trainee's
            hit = [one for one in hit if one.given is None]
        after, disagrees = _with_word(hit, made)
    mark = Mark(made, disagrees)
    others = [one for one in sets if one not in hit]
    marked = [replace(one, marks=(*one.marks, mark)) for one in after]
    return tuple(sorted((*others, *marked), key=lambda one: one.start_s)), mark


def with_told(sets: Sequence[Working], told: Draft) -> tuple[Working, ...]:
    """Return sets in order of time with what a person told of one: that it was done, less reps, another count."""
    of_reps = told.kind in SEEN
    hit = _nearest(sets, told) if of_reps else [one for one in sets if _same_place(one, told)]
    after, _ = _with_reps(hit, told) if of_reps else _with_word(hit, told)
    return tuple(sorted((*(one for one in sets if one not in hit), *after), key=lambda one: one.start_s))


def _same_place(one: Working, made: Correction | Draft) -> bool:
    middle_s = (one.start_s + one.end_s) / 2
    return made.start_s <= middle_s <= made.end_s or one.start_s <= made.middle_s <= one.end_s


def _nearest(sets: Sequence[Working], made: Correction | Draft) -> list[Working]:
    """Return the set that a span belongs to, or nothing."""

    def apart_s(one: Working) -> tuple[float, float]:
        away_s = max(one.start_s - made.end_s, made.start_s - one.end_s, 0.0)
        return away_s, abs((one.start_s + one.end_s) / 2 - made.middle_s)

    near = [one for one in sets if apart_s(one)[0] <= REACH_S]
    return sorted(near, key=apart_s)[:1]


def _with_word(hit: list[Working], made: Correction | Draft) -> tuple[list[Working], bool]:
    """Return what becomes of sets of which something is said, and whether the analysis found something else there."""
    match made.kind:
        case Act.COUNT:
            return _counted(hit, made, **made.value)
        case Act.ADD:
            return _told_of(hit, made, made.value)
        case Act.LOAD:
            return [replace(one, load_kg=made.value["load_kg"]) for one in hit], not hit
        case Act.RELABEL:
            kind = SetKind(made.value)
            return [replace(of_kind(one, kind), said=kind) for one in hit], not hit
        case Act.GIVE:
            return [replace(one, given=made.value, changed=True) for one in hit], not hit
        case _:
            return [], False


def _counted(hit: list[Working], made: Correction | Draft, count: int, seen: int) -> tuple[list[Working], bool]:
    if not count:
        return [], False
    one = _joined(hit) if hit else Working(of=(), start_s=made.start_s, end_s=made.end_s)
    disagrees = len(hit) != 1 or one.count not in (count, seen)
    return [replace(one, told=count, changed=True)], disagrees


def _told_of(hit: list[Working], made: Correction | Draft, told: Mapping[str, int]) -> tuple[list[Working], bool]:
    """Return a set as it was told; where one was found after all it is that one, and nobody knows whose count holds."""
    one = _joined(hit) if hit else Working(of=(), start_s=made.start_s, end_s=made.end_s)
    if "held_s" in told:
        return [replace(one, told_s=told["held_s"], changed=True)], bool(hit)
    count = told["count"]
    return [replace(one, told=count, changed=True)], bool(hit) and one.count != count


def _joined(sets: list[Working]) -> Working:
    first = sets[0]
    if len(sets) == 1:
        return first
    return replace(
        first,
        of=tuple(record for one in sets for record in one.of),
        end_s=sets[-1].end_s,
        reps=tuple(rep for one in sets for rep in one.reps),
        unread=sum(one.unread for one in sets),
        marks=tuple(mark for one in sets for mark in one.marks),
        changed=True,
    )


def _with_reps(hit: list[Working], made: Correction | Draft) -> tuple[list[Working], bool]:
    """Put into the span of a correction the reps that it says are there."""
    wanted = [_rep(one) for one in made.value["reps"]]
    one = hit[0] if hit else Working(of=(), start_s=made.start_s, end_s=made.end_s)
    found = [rep for rep in one.reps if made.start_s <= _middle_s(rep) <= made.end_s]
    others = [rep for rep in one.reps if rep not in found]
    there = _kinds(found, wanted) if len(found) == len(wanted) else _told(found, wanted)
    after = _holding(one, sorted((*others, *there), key=_middle_s))
    disagrees = len(found) not in (len(wanted), made.value.get("seen", SEEN[made.kind])) or (bool(wanted) and not hit)
    return ([after] if after.count else []), disagrees


def _rep(value: dict[str, Any]) -> Rep:
    return Rep(start_s=value["start_s"], top_s=None, down_s=None, end_s=value["end_s"], kind=RepKind(value["kind"]))


def _middle_s(one: Placed) -> float:
    return (one.rep.start_s + one.rep.end_s) / 2


def _kinds(found: list[Placed], wanted: list[Rep]) -> list[Placed]:
    """Return the reps found, of the kinds that a person says."""
    return [
        replace(one, rep=_of_kind(one.rep, said.kind), short=False, vouched=said.counts)
        for one, said in zip(found, wanted, strict=True)
    ]


def _of_kind(rep: Rep, kind: RepKind) -> Rep:
    """Take a rep for one of another kind: the inside of a full one and of a one-and-a-half is read differently."""
    if kind is rep.kind:
        return rep
    known = RepKind.PARTIAL in (rep.kind, kind) and RepKind.ONE_AND_HALF not in (rep.kind, kind)
    return replace(rep, kind=kind) if known else replace(_hollow(rep), kind=kind)


def _hollow(rep: Rep) -> Rep:
    """Return a rep of which only its start and its end are known."""
    sd = TimingSd(rep.timing_sd.start_s, None, None, rep.timing_sd.end_s)
    return Rep(start_s=rep.start_s, top_s=None, down_s=None, end_s=rep.end_s, timing_sd=sd, untold=Untold())


def _told(found: list[Placed], wanted: list[Rep]) -> list[Placed]:
    """Return as many reps as a person says, from the start of the first one found to the end of the last."""
    if not found or any(one.told for one in found):
        return [Placed(rep, told=True) for rep in wanted]
    first, last = found[0].rep, found[-1].rep
    hollow: list[Placed] = []
    for number, rep in enumerate(wanted):
        at_start, at_end = number == 0, number == len(wanted) - 1
        start_s = first.start_s if at_start else min(max(rep.start_s, first.start_s), last.end_s)
        end_s = last.end_s if at_end else min(max(rep.end_s, first.start_s), last.end_s)
        # where one is cut in two, what the cut is off by goes from one to the other: their sum is known
        sd = TimingSd(first.timing_sd.start_s if at_start else 0.0, None, None, last.timing_sd.end_s if at_end else 0.0)
        hollow.append(Placed(replace(rep, start_s=start_s, end_s=end_s, timing_sd=sd)))
    return hollow


def _holding(one: Working, reps: list[Placed]) -> Working:
    """Return a set with these reps; what a person said of its count goes up or down with them."""
    seen = [placed.rep for placed in reps if not placed.told]
    after = replace(
        one,
        reps=_paused(one.reps, reps),
        start_s=min((rep.start_s for rep in seen), default=one.start_s),
        end_s=max((rep.end_s for rep in seen), default=one.end_s),
        changed=one.changed or tuple(reps) != one.reps,
    )
    if one.told is None:
        return after
    return replace(after, told=max(one.told + after.found - one.found, 0))


def _paused(before: Sequence[Placed], after: Sequence[Placed]) -> tuple[Placed, ...]:
    """Return reps with their pauses at the bottom as they are where another rep follows than before."""
    followed = dict(zip(map(_place, before), map(_place, [*before[1:], None]), strict=False))
    pairs = zip(after, [*after[1:], None], strict=False)
    return tuple(
        one if followed.get(_place(one), _place(one)) == _place(following) else _pausing(one, following)
        for one, following in pairs
    )


def _place(one: Placed | None) -> tuple[float, float] | None:
    return None if one is None else (one.rep.start_s, one.rep.end_s)


def _pausing(one: Placed, following: Placed | None) -> Placed:
    """Return a rep with the pause until the one that follows; None where one of them was told, or cut by a person."""
    pause_s = None
    if following is not None and not (one.told or following.told):
        cut = 0.0 in (one.rep.timing_sd.end_s, following.rep.timing_sd.start_s)
        pause_s = None if cut else max(following.rep.start_s - one.rep.end_s, 0.0)
    return replace(one, rep=replace(one.rep, bottom_pause_s=pause_s))
