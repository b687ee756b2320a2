"""Whose sets they are after what people say of some: in the log as it would have been live, and back again.

The reference is `group_bouts` with the same words, which sees the bouts themselves.
"""

from __future__ import annotations

from dataclasses import replace
from uuid import UUID

from hypothesis import given, settings
from hypothesis import strategies as st

from analysis.motion.mounts import Mount
from analysis.motion.results import Bout
from analysis.training.correcting import corrected
from analysis.training.corrections import Act, Correction
from analysis.training.judge import judge_session
from analysis.training.prescription import Exercise
from analysis.training.records import SessionRecord, SetRecord
from analysis.training.sets import Said, group_bouts, judged
from analysis.training.superset import SetKind
from tests.analysis.training.builders import make_bout, reps_for
from tests.analysis.training.corrections_made import LADDER, about_set, session, undo

ASKED = replace(LADDER.rungs[4].prescription(0), partner=Exercise("press-up", "press-up", Mount.BODY))
UPRIGHT, LYING = (0.2, 0.0, 0.98), (0.98, 0.0, 0.2)
PULL, PRESS_UP = (False, UPRIGHT), (True, LYING)
Began = tuple[bool | None, tuple[float, float, float] | None]


def bouts(began: list[Began]) -> list[Bout]:
    made = (make_bout(number, reps_for(ASKED, start_s=100.0 * number)) for number in range(len(began)))
    return [replace(one, begins_down=down, direction=way) for one, (down, way) in zip(made, began, strict=True)]


def live(seen: list[Bout], said: list[Said], warm_ups: int) -> list[SetRecord]:
    asked = replace(ASKED, warm_ups=warm_ups)
    return [judged(group, asked) for group in group_bouts(seen, asked, said)]


def logged(seen: list[Bout], warm_ups: int) -> SessionRecord:
    sets = live(seen, [], warm_ups)
    own, partners, warm = (tuple(one for one in sets if one.kind is kind) for kind in SetKind)
    asked = replace(ASKED, warm_ups=warm_ups)
    verdict = judge_session([one.verdict for one in own], asked)
    return replace(session(), prescription=asked, sets=own, partners=partners, warm_ups=warm, verdict=verdict)


def gist(sets: list[SetRecord]) -> list[tuple[object, ...]]:
    in_time = sorted(sets, key=lambda one: one.start_s)
    return [(one.kind, one.number, one.rest_before_s, one.verdict) for one in in_time]


def all_of(record: SessionRecord) -> list[SetRecord]:
    return [*record.sets, *record.partners, *record.warm_ups]


def relabelled(seen: Bout, kind: SetKind, number: int) -> Correction:
    made = about_set(Act.RELABEL, judged(group_bouts([seen], ASKED)[0], ASKED), kind.value, number=number)
    return replace(made, id=UUID(int=number))


@settings(max_examples=100, deadline=None)
@given(
    st.lists(
        st.tuples(st.sampled_from([None, True, False]), st.sampled_from([None, UPRIGHT, LYING])),
        min_size=1,
        max_size=6,
    ),
    st.dictionaries(st.integers(0, 5), st.sampled_from([SetKind.EXERCISE, SetKind.PARTNER, None])),
    st.integers(0, 1),
)
def test_the_log_says_whose_sets_they_are_as_the_session_did(
    began: list[Began], words: dict[int, SetKind | None], warm_ups: int
) -> None:
    seen = bouts(began)
    said = {number: kind for number, kind in words.items() if number < len(seen)}  # None: dropped
    record = logged(seen, warm_ups)
    found_warm = {one.start_s for one in record.warm_ups}
    counted = {n for n, kind in said.items() if kind is SetKind.EXERCISE and seen[n].start_s in found_warm}
    said = {number: kind for number, kind in said.items() if number not in counted}  # live, no key says that
    kept = [one for one in seen if said.get(one.number, SetKind.EXERCISE) is not None]
    spans = [Said(seen[n].start_s, seen[n].end_s, kind) for n, kind in said.items() if kind is not None]
    made = [
        about_set(Act.DROP, record_of(seen[n]), number=n) if kind is None else relabelled(seen[n], kind, n)
        for n, kind in said.items()
    ]
    made = [replace(one, id=UUID(int=100 + n)) for n, one in enumerate(made)]
    assert gist(all_of(corrected(record, made))) == gist(live(kept, spans, warm_ups))
    back = [replace(undo(one, 200 + n), made_utc_us=one.made_utc_us + 1000) for n, one in enumerate(made)]
    assert corrected(record, [*made, *back]) is record


def record_of(seen: Bout) -> SetRecord:
    return judged(group_bouts([seen], ASKED)[0], ASKED)


def test_undoing_a_word_gives_back_what_it_had_changed_around_it() -> None:
    # the first set is read as one of the exercise, and then every other posture is beside it another one
    seen = bouts([PRESS_UP, PULL, PRESS_UP, PULL])
    record = logged(seen, 0)
    word = relabelled(seen[0], SetKind.PARTNER, 1)
    found = corrected(record, [word])
    assert [one.start_s for one in found.sets] == [100.0, 300.0]
    back = replace(undo(word, 9), made_utc_us=word.made_utc_us + 1)
    assert corrected(record, [word, back]) is record
    assert len(record.sets) > 2


def test_of_sets_whose_beginning_is_not_known_only_the_one_that_was_named_changes() -> None:
    record = logged(bouts([PULL, PRESS_UP, PULL, PRESS_UP]), 0)
    unknown = [
        tuple(replace(one, begins_down=None, direction=None) for one in some) for some in (record.sets, record.partners)
    ]
    record = replace(record, sets=unknown[0], partners=unknown[1])
    found = corrected(record, [about_set(Act.RELABEL, record.sets[1], "partner")])
    assert [one.start_s for one in found.sets] == [0.0]
    assert [one.start_s for one in found.partners] == [100.0, 200.0, 300.0]
