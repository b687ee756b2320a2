"""Corrections: what stands after them, and what it is worth. Closed forms: reps of exactly one second up, one down."""

from __future__ import annotations

from dataclasses import replace
from uuid import UUID

import pytest

from analysis.motion.results import RepKind
from analysis.training.correcting import corrected
from analysis.training.corrections import KEYS, Act, Because, By
from analysis.training.pointing import PointingError, reps_dropped
from analysis.training.prescription import Prescription, Tempo
from analysis.training.records import Source
from analysis.training.superset import SetKind
from analysis.training.verdict import Outcome
from tests.analysis.training.builders import make_rep, make_set
from tests.analysis.training.corrections_made import (
    LADDER,
    about_reps,
    about_set,
    correction,
    drop_rep,
    session,
    undo,
)


def test_no_correction_leaves_the_record_as_it_is() -> None:
    record = session()
    assert corrected(record, ()) is record


def test_every_reason_has_one_key_of_its_own() -> None:
    assert sorted(KEYS.values()) == sorted(Because)
    assert all(len(key) == 1 for key in KEYS)


def test_a_rep_that_was_none_is_gone_and_the_set_is_short() -> None:
    record = session()
    found = corrected(record, [drop_rep(record.sets[1], 4)])
    assert [one.verdict.count for one in found.sets] == [15, 14, 15]
    assert [one.measured_count for one in found.sets] == [None, 15, None]
    assert (found.sets[1].verdict.outcome, found.sets[1].verdict.remark) == (Outcome.MISSED, "14 of 15 reps.")
    assert found.verdict.summary[0] == "2 of 3 sets met."
    # the pause at the bottom runs from the third rep to the fifth: .3 s, a rep of 2 s, .3 s
    assert found.sets[1].reps[2].bottom_pause_s == pytest.approx(2.6)
    assert found.sets[0] is not None
    assert found.sets[0] == record.sets[0]
    assert found.sets[2] == record.sets[2]


@pytest.mark.parametrize("after", [1, 3, 14])
def test_the_reps_after_one_that_were_anothers_go_at_once_and_those_before_stay_as_measured(after: int) -> None:
    record = session()
    second = record.sets[1]
    draft = reps_dropped(second, after)
    found = corrected(record, [correction(draft.kind, draft.start_s, draft.end_s, draft.value)])
    done = found.sets[1]
    assert [one.verdict.count for one in found.sets] == [15, after, 15]
    assert [rep.start_s for rep in done.reps] == [rep.start_s for rep in second.reps[:after]]
    assert all(rep.outcome is Outcome.MET for rep in done.verdict.reps)
    assert done.end_s == second.reps[after - 1].end_s
    assert [mark.disagrees for mark in found.marks] == [False]  # as many were there as were said to go
    assert found.sets[2].rest_before_s == pytest.approx(record.sets[2].start_s - done.end_s)


@pytest.mark.parametrize("after", [0, 15, 16])
def test_a_set_keeps_a_rep_and_loses_one(after: int) -> None:
    with pytest.raises(PointingError, match="reps 1 to 15"):
        reps_dropped(session().sets[1], after)


def test_where_the_newer_analysis_has_other_reps_there_it_says_so() -> None:
    record = session()
    draft = reps_dropped(record.sets[1], 12)
    said = correction(draft.kind, draft.start_s, draft.end_s, {**draft.value, "seen": 5})
    assert [mark.disagrees for mark in corrected(record, [said]).marks] == [True]


def test_a_rep_the_sensor_missed_counts_and_its_tempo_is_not_known() -> None:
    record = session(counts=(15, 14, 15))
    last = record.sets[1].end_s
    one = about_reps(Act.ADD_REP, last, last + 2, (last, last + 2, "full"))
    found = corrected(record, [one])
    done = found.sets[1]
    assert (done.verdict.count, done.verdict.reps_outcome) == (15, Outcome.MET)
    # a fifth of the reps may be off: one of fifteen is not known
    assert (done.verdict.tempo_outcome, done.verdict.in_tempo) == (Outcome.MET, 14)
    assert done.verdict.reps[-1].outcome is Outcome.NOT_MEASURABLE
    assert done.verdict.tut_s is None
    assert [done.is_corrected(rep) for rep in done.reps] == [False] * 14 + [True]
    assert (found.outcome, found.confirmed) == (Outcome.MET, True)
    # the rest is as measured: a rep at the end of a set only makes it shorter
    assert found.sets[2].rest_before_s == record.sets[2].rest_before_s


def test_more_reps_than_a_fifth_that_nobody_measured_leave_the_tempo_open() -> None:
    record = session(counts=(15, 11, 15))
    found = corrected(record, [about_set(Act.COUNT, record.sets[1], {"count": 15, "seen": 11})])
    verdict = found.sets[1].verdict
    # 4 of 15 are not known, 3 may be off
    assert (verdict.reps_outcome, verdict.tempo_outcome) == (Outcome.MET, Outcome.NOT_MEASURABLE)
    assert (found.outcome, verdict.tut_s) == (Outcome.NOT_MEASURABLE, None)
    assert verdict.remark


def test_a_lower_count_is_short_whatever_the_sensor_saw() -> None:
    record = session()
    found = corrected(record, [about_set(Act.COUNT, record.sets[0], {"count": 12, "seen": 15})])
    assert (found.sets[0].verdict.count, found.outcome) == (12, Outcome.MISSED)
    assert found.sets[0].verdict.remark == "12 of 15 reps."
    assert len(found.sets[0].reps) == 15  # which ones were none is not known


def test_time_under_tension_is_met_only_where_the_measured_reps_alone_are_enough() -> None:
    # slow reps of 5 s, so that it is judged: 10 of them are 50 s, the band begins at 92 % (Faber et al. 2015)
    asked = Prescription(exercise=LADDER.rungs[1].exercise, sets=1, reps=10, tempo=Tempo(4, 0, 1, 0), rest_s=90)
    for seen, outcome in ((9, Outcome.NOT_MEASURABLE), (10, Outcome.MET)):
        done = make_set(asked, count=seen)
        record = replace(session(), prescription=asked, sets=(done,))
        end = done.end_s
        found = corrected(record, [about_reps(Act.ADD_REP, end, end + 5, (end, end + 5, "full"))])
        assert found.sets[0].verdict.count == seen + 1
        assert found.sets[0].verdict.outcome is outcome


def test_two_reps_that_were_one_are_merged_and_one_that_was_two_is_split() -> None:
    record = session()
    first, second = record.sets[0].reps[2:4]
    whole = about_reps(Act.MERGE, first.start_s, second.end_s, (first.start_s, second.end_s, "full"))
    merged = corrected(record, [whole]).sets[0]
    assert merged.verdict.count == 14
    rep = merged.reps[2]
    assert (rep.start_s, rep.top_s, rep.down_s, rep.end_s) == (first.start_s, None, None, second.end_s)
    assert merged.verdict.reps[2].outcome is Outcome.NOT_MEASURABLE
    at = first.start_s + 0.9
    parts = [(first.start_s, at, "full"), (at, first.end_s, "full")]
    cut = corrected(record, [about_reps(Act.SPLIT, first.start_s, first.end_s, *parts)]).sets[0]
    assert cut.verdict.count == 16
    # what was under tension is the same, only cut in two
    assert cut.verdict.tut_s == pytest.approx(record.sets[0].verdict.tut_s)
    assert [one.outcome for one in cut.verdict.reps[2:4]] == [Outcome.NOT_MEASURABLE] * 2


def test_a_partial_that_went_all_the_way_has_its_measured_phases() -> None:
    record = session()
    done = record.sets[0]
    partial = replace(done.reps[6], kind=RepKind.PARTIAL)
    done = replace(done, reps=(*done.reps[:6], partial, *done.reps[7:]))
    record = replace(record, sets=(done, *record.sets[1:]))
    kind = about_reps(Act.REP_KIND, partial.start_s, partial.end_s, (partial.start_s, partial.end_s, "full"))
    found = corrected(record, [kind]).sets[0]
    assert found.verdict.count == 15
    assert found.verdict.reps[6].outcome is Outcome.MET
    half = about_reps(Act.REP_KIND, partial.start_s, partial.end_s, (partial.start_s, partial.end_s, "one_and_half"))
    assert corrected(record, [half]).sets[0].verdict.reps[6].outcome is Outcome.NOT_MEASURABLE


def test_a_set_with_no_rep_left_is_none_and_the_rest_runs_from_the_one_before() -> None:
    record = session()
    found = corrected(record, [about_set(Act.DROP, record.sets[1])])
    assert [(one.number, one.bouts) for one in found.sets] == [(1, (0,)), (2, (2,))]
    assert found.sets[1].rest_before_s == pytest.approx(record.sets[2].start_s - record.sets[0].end_s)
    each = [drop_rep(record.sets[1], number, number=number) for number in range(1, 16)]
    emptied = [replace(one, id=UUID(int=n)) for n, one in enumerate(each)]
    assert [one.bouts for one in corrected(record, emptied).sets] == [(0,), (2,)]


def test_less_load_than_asked_was_not_as_asked_and_with_more_the_ladder_goes_on_from_there() -> None:
    asked = replace(session().prescription, load_kg=10.0)
    record = replace(session(), prescription=asked)
    span = (record.sets[0].start_s, record.sets[2].end_s)
    lighter = corrected(record, [correction(Act.LOAD, *span, {"load_kg": 7.5})])
    assert (lighter.prescription.load_kg, lighter.outcome) == (10, Outcome.MISSED)
    assert lighter.sets[0].verdict.remark == "Load 7.5 of 10 kg."
    heavier = corrected(record, [correction(Act.LOAD, *span, {"load_kg": 12.5})])
    assert (heavier.prescription.load_kg, heavier.outcome) == (12.5, Outcome.MET)
    one_set = corrected(record, [about_set(Act.LOAD, record.sets[1], {"load_kg": 12.5})])
    assert [one.load_kg for one in one_set.sets] == [None, 12.5, None]
    assert one_set.prescription.load_kg == 10
    typed = corrected(replace(record, source=Source.TYPED), [correction(Act.LOAD, *span, {"load_kg": 7.5})])
    assert (typed.prescription.load_kg, typed.outcome) == (7.5, Outcome.MET)


def test_a_set_changes_hands_between_the_exercise_and_its_partner() -> None:
    record = session()
    asked = replace(record.prescription, partner=record.prescription.exercise)
    record = replace(record, prescription=asked)
    gone = corrected(record, [about_set(Act.RELABEL, record.sets[1], "partner")])
    assert [one.number for one in gone.sets] == [1, 2]
    assert [one.kind for one in gone.partners] == [SetKind.PARTNER]
    back = corrected(gone, [about_set(Act.RELABEL, record.sets[1], "exercise")])
    assert [one.verdict.count for one in back.sets] == [15, 15, 15]
    assert back.sets[1].verdict.outcome is Outcome.MET


def test_met_by_the_trainees_word_alone_does_not_confirm() -> None:
    record = session(counts=(15, 14, 15))
    count = about_set(Act.COUNT, record.sets[1], {"count": 15, "seen": 14}, role=By.TRAINEE)
    own = corrected(record, [count])
    assert (own.outcome, own.self_told, own.confirmed) == (Outcome.MET, True, False)
    again = replace(count, id=UUID(int=1), role=By.COACH, made_utc_us=count.made_utc_us + 1)
    both = corrected(record, [count, again])
    assert (both.outcome, both.self_told, both.confirmed) == (Outcome.MET, False, True)
    less = about_set(Act.COUNT, record.sets[1], {"count": 10, "seen": 14}, role=By.TRAINEE)
    assert corrected(record, [less]).confirmed
    # what the coach said stands for the gate, though the trainee undoes it
    coachs = about_set(Act.COUNT, session().sets[1], {"count": 12, "seen": 15})
    undone = replace(undo(coachs, 9), role=By.TRAINEE, made_utc_us=coachs.made_utc_us + 1)
    back = corrected(session(), [coachs, undone])
    assert (back.outcome, back.confirmed) == (Outcome.MET, False)
    # leaving out one's own short set is one's own word too
    four = session(counts=(15, 9, 15, 15), rest_s=60)
    dropped = corrected(four, [about_set(Act.DROP, four.sets[1], role=By.TRAINEE)])
    assert (dropped.outcome, dropped.confirmed) == (Outcome.MET, False)


def test_a_typed_count_is_corrected_as_it_was_told() -> None:
    record = session(counts=(15, 14, 15))
    told = tuple(
        replace(one, reps=(), measured=False, verdict=replace(one.verdict, reps=()), rest_before_s=one.rest_before_s)
        for one in record.sets
    )
    record = replace(record, sets=told, source=Source.TYPED, seen_by="Ada")
    found = corrected(record, [about_set(Act.COUNT, told[1], {"count": 15, "seen": 14})])
    assert [one.verdict.count for one in found.sets] == [15, 15, 15]
    assert (found.outcome, found.confirmed) == (Outcome.MET, True)
    assert [one.rest_before_s for one in found.sets] == [one.rest_before_s for one in told]


def test_a_rep_told_inside_a_set_leaves_the_pause_before_it_open() -> None:
    asked = replace(session().prescription, tempo=Tempo(1, 2, 1, 0), reps=4, sets=1)
    reps = [make_rep(10 * n, bottom_s=2.0 if n < 2 else None) for n in range(3)]
    done = replace(make_set(asked, count=3), reps=tuple(reps), start_s=0.0, end_s=reps[-1].end_s)
    record = replace(session(), prescription=asked, sets=(done,))
    found = corrected(record, [about_reps(Act.ADD_REP, 3.0, 9.0, (3.0, 9.0, "full"))])
    outcomes = [one.outcome for one in found.sets[0].verdict.reps]
    assert outcomes == [Outcome.NOT_MEASURABLE, Outcome.NOT_MEASURABLE, Outcome.MET, Outcome.MET]


def test_a_person_says_what_a_warm_up_was_whatever_its_place() -> None:
    # one warm-up was asked for and taken for one; the prescription asks for three more
    asked = replace(session().prescription, warm_ups=1)
    plain = session(counts=(8, 15, 15, 15))
    warm = replace(plain.sets[0], kind=SetKind.WARM_UP)
    numbered = tuple(replace(one, number=n) for n, one in enumerate(plain.sets[1:], start=1))
    record = replace(plain, prescription=asked, sets=numbered, warm_ups=(warm,))
    second = corrected(record, [about_set(Act.RELABEL, plain.sets[1], "warm-up")])
    assert [one.start_s for one in second.warm_ups] == [one.start_s for one in plain.sets[:2]]
    assert [(one.number, one.rest_before_s) for one in second.sets] == [(1, None), (2, plain.sets[3].rest_before_s)]
    counted = corrected(record, [about_set(Act.RELABEL, warm, "exercise")])
    assert not counted.warm_ups
    assert [one.verdict.count for one in counted.sets] == [8, 15, 15, 15]
    assert counted.outcome is Outcome.MISSED
    # without a word the next set takes the place of one that is gone
    gone = corrected(record, [about_set(Act.DROP, warm)])
    assert [one.start_s for one in gone.warm_ups] == [plain.sets[1].start_s]


def test_a_told_set_may_be_a_warm_up_or_another_exercise_too() -> None:
    plain = session(counts=(8, 15, 15))
    told = tuple(replace(one, reps=(), measured=False, verdict=replace(one.verdict, reps=())) for one in plain.sets)
    record = replace(plain, sets=told, source=Source.TYPED)
    warm = corrected(record, [about_set(Act.RELABEL, told[0], "warm-up")])
    assert [(one.kind, one.verdict.count) for one in warm.warm_ups] == [(SetKind.WARM_UP, 8)]
    assert [one.verdict.count for one in warm.sets] == [15, 15]
    other = corrected(record, [about_set(Act.RELABEL, told[0], "partner")])
    assert [one.verdict.count for one in other.partners] == [0]
