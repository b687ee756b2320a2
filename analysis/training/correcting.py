"""A session as it stands once what people said against it is applied. Pure; what was measured is not changed.

Corrections are applied in the order of time, each to what the earlier ones left, wherever its span lies in the answer
of the analysis in use. Where that answer found something else than the one that was corrected, the correction wins and
its mark says so (`Mark.disagrees`). What a correction touches is judged anew by the same functions as a measured set.

- In the span of a correction of reps there is what it says. Where as many reps were found they stay, with their
  phases; a rep that nobody measured has none (`by_word`).
- A count by a person's word is believed; which of the reps found they were is not known.
- With less load than asked for it was not done as asked; with more, the ladder goes on from the load of the lightest
  set. Of a session that was told, what is corrected is what was told.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from uuid import UUID

from analysis.training.applying import applied, with_told
from analysis.training.by_word import verdict_by_word
from analysis.training.corrections import By, Correction, Mark, standing_corrections
from analysis.training.pointing import Draft
from analysis.training.prescription import Prescription
from analysis.training.records import SessionRecord, SetRecord, Source
from analysis.training.scale import TrueTime
from analysis.training.sets import TRUE, GroupedSet, judged, not_judged
from analysis.training.sharing import all_sets, judged_session
from analysis.training.superset import SetKind, Told
from analysis.training.told import judge_told
from analysis.training.verdict import Outcome, SetVerdict
from analysis.training.view import View, view_then
from analysis.training.whose import in_turn, warm_ups_first
from analysis.training.working import Working, of_kind, working


@dataclass(frozen=True, slots=True)
class _Terms:
    """By what one person's sets are judged."""

    asked: Prescription
    source: Source
    clock: TrueTime
    view: View


def among_told(
    sets: Sequence[SetRecord], told: Sequence[Draft], asked: Prescription, clock: TrueTime, view: View
) -> tuple[SetRecord, ...]:
    """Return a session's sets so far, in order of time, with what was told meanwhile of them.

    Parameters
    ----------
    sets
        As they stand without those.
    told
        In the order in which it was said.
    """
    if not told:
        return tuple(sets)
    works = tuple(working(one) for one in sets)
    for one in told:
        works = with_told(works, one)
    works = tuple(warm_ups_first(in_turn(works, sets, asked), asked.warm_ups))
    return tuple(_judged(works, sets, _Terms(asked, Source.SENSOR, clock, view)))


def corrected(record: SessionRecord, made: Sequence[Correction], clock: TrueTime = TRUE) -> SessionRecord:
    """Return a session as it stands.

    Parameters
    ----------
    record
        As measured, with its reps.
    made
        All its corrections, in any order; those undone do nothing.
    clock
        How the sensor's clock went, as known at last: what is judged anew is judged with it.
    """
    standing = standing_corrections(made)
    coachs = standing_corrections([one for one in made if one.role is By.COACH])
    result = _apply(record, standing, clock)
    if result.outcome is Outcome.MET and coachs != standing:
        result = replace(result, self_told=_apply(record, coachs, clock).outcome is not Outcome.MET)
    return result


def _apply(record: SessionRecord, standing: Sequence[Correction], clock: TrueTime) -> SessionRecord:
    if not standing:
        return record
    measured = sorted((*all_sets(record), *record.others), key=lambda one: one.start_s)
    works = tuple(working(one) for one in measured)
    marks: list[Mark] = []
    for one in standing:
        works, mark = applied(works, one)
        marks.append(mark)
    of_each = _of_each(works, record)
    works = of_each.pop(None, ())
    works = tuple(warm_ups_first(in_turn(works, measured, record.prescription), record.prescription.warm_ups))
    asked = replace(record.prescription, load_kg=_load(works, record))
    view = view_then(record.place, (found.verdict for found in measured if found.trainee is None))
    terms = _Terms(record.prescription, record.source, clock, view)
    sets = _judged(works, [one for one in measured if one.trainee is None], terms)
    of = {kind: tuple(one for one in sets if one.kind is kind) for kind in SetKind}
    own = of[SetKind.EXERCISE]
    others = [one for who, theirs in of_each.items() for one in _of_other(who, theirs, measured, record, clock)]
    return replace(
        record,
        prescription=asked,
        sets=own,
        partners=of[SetKind.PARTNER],
        warm_ups=of[SetKind.WARM_UP],
        others=tuple(sorted(others, key=lambda one: one.start_s)),
        verdict=judged_session([one.verdict for one in own], asked, record.source),
        marks=tuple(marks),
    )


def _of_each(works: Iterable[Working], record: SessionRecord) -> dict[UUID | None, tuple[Working, ...]]:
    """Return the sets of each person; those of the session's own trainee under None."""
    each: dict[UUID | None, tuple[Working, ...]] = {}
    for one in works:
        measured = one.of[0].trainee if one.of else None
        who = measured if one.given is None else one.given.trainee
        key = None if who == record.trainee else who
        each[key] = (*each.get(key, ()), one)
    return each


def _of_other(
    who: UUID | None, works: Sequence[Working], measured: Sequence[SetRecord], record: SessionRecord, clock: TrueTime
) -> Iterator[SetRecord]:
    """Judge the sets of somebody else by what was asked of that person, each with what that was."""
    theirs = [one for one in measured if one.trainee == who]
    given = next((one.given for one in works if one.given), None)
    view, asked = view_then(record.place, (one.verdict for one in theirs)), record.prescription
    if given is not None and given.prescription is not None:
        view, asked = View(place=record.place, reference_m=given.reference_m), given.prescription
    record = replace(record, prescription=asked)
    asked = replace(asked, load_kg=_load(works, record))
    works = [of_kind(one, one.said or (SetKind.EXERCISE if one.given else one.kind)) for one in works]
    terms = _Terms(record.prescription, record.source, clock, view)
    for one, done in zip(works, _judged(works, theirs, terms), strict=True):
        yield replace(done, trainee=who, given=one.given and replace(one.given, prescription=asked))


def _load(works: Iterable[Working], record: SessionRecord) -> float:
    """Return the load that a session stands for: of the lightest set; of a measured one no less than was asked."""
    asked = record.prescription
    own = [one for one in works if one.kind is SetKind.EXERCISE][: asked.sets]
    lightest = min((asked.load_kg if one.load_kg is None else one.load_kg for one in own), default=asked.load_kg)
    return max(lightest, asked.load_kg) if record.source is Source.SENSOR else lightest


def _judged(works: Sequence[Working], measured: Sequence[SetRecord], terms: _Terms) -> list[SetRecord]:
    """Judge one person's sets that are not as they were measured, and number them anew where one came or went."""
    as_found = [one.of for one in works] == [(one,) for one in measured]
    as_found = as_found and all(one.kind is one.of[0].kind for one in works)
    before = dict(zip((one.start_s for one in measured), [None, *measured], strict=False))
    numbers = dict.fromkeys(SetKind, 0)
    sets: list[SetRecord] = []
    for one, previous in zip(works, [None, *works], strict=False):
        numbers[one.kind] += 1
        rest_s = _rest_s(one, previous, before, terms)
        number = one.of[0].number if as_found else numbers[one.kind]
        sets.append(_set(one, number, rest_s, terms))
    return sets


def _rest_s(
    one: Working, previous: Working | None, before: dict[float, SetRecord | None], terms: _Terms
) -> float | None:
    """Return the rest before a set, true seconds: as measured, where both sets still begin and end there."""
    first = one.of[0] if one.of else None
    if first is None:
        return None
    known = first.start_s in before  # else it was found as somebody else's
    if terms.source is not Source.SENSOR or (known and _as_before(one, first, previous, before[first.start_s])):
        return first.rest_before_s
    if previous is None or not previous.of or SetKind.WARM_UP in (one.kind, previous.kind):
        return None
    if terms.asked.partner is not None and previous.kind is one.kind:
        return None
    return (one.start_s - previous.end_s) * terms.clock.ratio


def _as_before(one: Working, first: SetRecord, previous: Working | None, earlier: SetRecord | None) -> bool:
    if (one.start_s, one.kind) != (first.start_s, first.kind):
        return False
    if previous is None or earlier is None:
        return previous is None and earlier is None
    return (previous.end_s, previous.kind) == (earlier.end_s, earlier.kind)


def _set(one: Working, number: int, rest_s: float | None, terms: _Terms) -> SetRecord:
    asked, first = terms.asked.at(one.start_s), one.of[0] if one.of else None
    if first is not None and not one.changed and rest_s == first.rest_before_s:
        done = first
    elif first is not None and terms.source is not Source.SENSOR:
        done = replace(first, kind=one.kind, verdict=_told_verdict(one, rest_s, asked))
    else:
        done = _anew(one, number, rest_s, terms)
    if one.load_kg is not None and one.load_kg < asked.load_kg and terms.source is Source.SENSOR:
        remark = f"Load {one.load_kg:g} of {asked.load_kg:g} kg."
        done = replace(done, verdict=replace(done.verdict, outcome=Outcome.MISSED, remark=remark))
    return replace(
        done,
        number=number,
        trainee=None,
        given=None,
        load_kg=one.load_kg,
        marks=one.marks,
        measured_count=sum(found.verdict.count for found in one.of) if one.marks else None,
    )


def _told_verdict(one: Working, rest_s: float | None, asked: Prescription) -> SetVerdict:
    """Return the verdict of a set that was told; a warm-up keeps its count."""
    if one.kind is SetKind.EXERCISE:
        return judge_told(one.count, asked, rest_before_s=rest_s)
    return not_judged(one.kind, asked, one.count)


def _anew(one: Working, number: int, rest_s: float | None, terms: _Terms) -> SetRecord:
    group = GroupedSet(
        number=number,
        bouts=tuple(bout for found in one.of for bout in found.bouts),
        start_s=one.start_s,
        end_s=one.end_s,
        reps=tuple(placed.to_judge for placed in one.reps if not placed.told),
        measured=one.relied,
        why=one.why,
        rest_before_s=None if rest_s is None else rest_s / terms.clock.ratio,
        told=Told(one.kind, unsure=one.unsure),
        begins_down=one.begins_down,
        direction=one.direction,
    )
    done, asked = judged(group, terms.asked, terms.clock, terms.view), terms.asked.at(one.start_s)
    if one.told_s is not None:
        return replace(done, verdict=judge_told(one.told_s, asked, rest_before_s=rest_s))
    if one.kind is not SetKind.EXERCISE or asked.hold_s is not None:
        return done
    by_word = one.told is not None or any(placed.told for placed in one.reps)
    verdict = verdict_by_word(done.verdict, one, asked, terms.clock) if by_word else done.verdict
    return replace(done, reps=tuple(placed.rep for placed in one.reps), verdict=verdict)
