"""What is kept as JSON comes back the same, and later additions do not break older entries."""

from __future__ import annotations

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analysis.logbook.codec import from_json, set_from_json, set_to_json, to_json
from analysis.logbook.errors import LogbookError
from analysis.motion.mounts import Mount
from analysis.training.exercises import FEET_ON_FLOOR
from analysis.training.prescription import Exercise, Grip, Prescription, Tempo, Tolerance
from analysis.training.verdict import Outcome, PhaseVerdict, RepVerdict, SetVerdict

words = st.text(max_size=12)
numbers = st.floats(allow_nan=False, allow_infinity=False, width=64)
maybe = st.none() | numbers
outcomes = st.sampled_from(Outcome)
prescriptions = st.builds(
    Prescription,
    exercise=st.builds(Exercise, words, words, st.sampled_from(Mount), st.lists(words, max_size=3).map(tuple)),
    sets=st.integers(1, 9),
    reps=st.integers(1, 99),
    tempo=st.builds(Tempo, numbers, numbers, maybe, numbers),
    rest_s=numbers,
    grip=st.sampled_from(Grip),
    load_kg=numbers,
    half_pause_s=maybe,
    tolerance=st.builds(Tolerance, numbers, numbers, numbers, numbers, numbers, numbers),
)
phases = st.builds(PhaseVerdict, words, maybe, maybe, maybe, outcomes, st.integers(-1, 1), maybe)
reps = st.builds(RepVerdict, st.lists(phases, max_size=4).map(tuple), outcomes)
verdicts = st.builds(
    SetVerdict,
    count=st.integers(0, 99),
    target_reps=st.integers(0, 99),
    reps=st.lists(reps, max_size=3).map(tuple),
    reps_outcome=outcomes,
    tempo_outcome=outcomes,
    tut_s=maybe,
    target_tut_s=maybe,
    tut_outcome=outcomes,
    rest_before_s=maybe,
    target_rest_s=numbers,
    rest_outcome=outcomes,
    outcome=outcomes,
    remark=words,
    tut_sd_s=maybe,
    in_tempo=st.integers(0, 99),
)


@settings(max_examples=40, deadline=None)
@given(prescriptions)
def test_a_prescription_comes_back_the_same(prescription: Prescription) -> None:
    assert from_json(json.loads(json.dumps(to_json(prescription))), Prescription) == prescription


@settings(max_examples=40, deadline=None)
@given(verdicts)
def test_a_verdict_comes_back_the_same_with_its_reps_from_beside(verdict: SetVerdict) -> None:
    kept = json.loads(json.dumps(set_to_json(verdict)))
    beside = json.loads(json.dumps([to_json(rep) for rep in verdict.reps]))
    assert kept["reps"] == []
    assert set_from_json(kept, tuple(from_json(rep, RepVerdict) for rep in beside)) == verdict


def test_an_entry_from_before_a_field_was_added_is_read_with_its_default() -> None:
    asked = Prescription(exercise=FEET_ON_FLOOR, sets=3, reps=15, tempo=Tempo(1, 0, 1, 0), rest_s=90)
    older = to_json(asked)
    for added in ("rest_late_s", "reps_off", "tut_from_s"):
        del older["tolerance"][added]
    assert from_json({**older, "unknown": 1}, Prescription) == asked


@pytest.mark.parametrize("broken", [None, [], {}, {"sets": "three"}, "text"])
def test_what_has_another_form_is_named(broken: object) -> None:
    with pytest.raises(LogbookError, match="Prescription"):
        from_json(broken, Prescription)
