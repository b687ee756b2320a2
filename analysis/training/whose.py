"""Whose sets they are once people said so of some, or left some out: that tells of the others too.

In a superset the exercise and its partner come in turn, and a posture is another one only beside those of the exercise
(`superset`). So what a word, a dropped set, or the undoing of either changes is worked out from how each set began.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from analysis.training.prescription import Prescription
from analysis.training.records import SetRecord
from analysis.training.superset import OWN, SetKind, Told, kinds
from analysis.training.working import Working, of_kind


def in_turn(works: Sequence[Working], measured: Sequence[SetRecord], asked: Prescription) -> tuple[Working, ...]:
    """Return the sets as the exercise's or its partner's; warm-ups are not told from the others here.

    Parameters
    ----------
    works
        As they stand, in order of time.
    measured
        As they were found: what was told of them without a word stays, where the words change nothing of it.
    asked
        What was asked.
    """
    if asked.partner is None or asked.hold_s is not None:
        return tuple(works)
    found = kinds(measured, [None] * len(measured), asked.longest_gap_s)
    before = {one.start_s: told for one, told in zip(measured, found, strict=True)}
    after = kinds(works, [_word(one) for one in works], asked.longest_gap_s)
    return tuple(_told(one, before, told) for one, told in zip(works, after, strict=True))


def _word(one: Working) -> SetKind | None:
    """Return what a person said; whoever adds a set means the exercise, and a warm-up is one of it."""
    return SetKind.EXERCISE if one.said is SetKind.WARM_UP or not one.of else one.said


def _told(one: Working, before: dict[float, Told], told: Told) -> Working:
    was = before[one.of[0].start_s] if one.of else OWN
    if one.said is None and told.kind is not was.kind:
        one = of_kind(one, told.kind)
    return replace(one, unsure=told.unsure, changed=one.changed or told.unsure is not was.unsure)


def warm_ups_first(works: Iterable[Working], warm_ups: int) -> Iterator[Working]:
    """Yield the sets with the first so many of the exercise as warm-ups: another one where one of them was dropped.

    Of which a person says whether it was one, that is one or none, and has its place among them.
    """
    left = warm_ups
    for one in works:
        if one.kind is SetKind.PARTNER:
            yield one
            continue
        yield of_kind(one, _in_place(one, left > 0))
        left -= 1


def _in_place(one: Working, warm: bool) -> SetKind:
    if one.said is SetKind.EXERCISE and one.of and one.of[0].kind is SetKind.WARM_UP:
        return SetKind.EXERCISE
    if one.said is SetKind.WARM_UP:
        return SetKind.WARM_UP
    return SetKind.WARM_UP if warm else SetKind.EXERCISE
