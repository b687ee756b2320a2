"""A shared bar: sets given to somebody else, in both logs. Closed forms: reps of one second up, one down."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from uuid import UUID, uuid5

import pytest

from analysis.training.correcting import corrected
from analysis.training.corrections import Act, By, Correction, Given
from analysis.training.ladder import Method
from analysis.training.plan import default_plan
from analysis.training.progression import next_session
from analysis.training.records import History, SessionRecord, SetRecord
from analysis.training.sharing import given_from, joined, part_of
from analysis.training.standing import standing
from analysis.training.superset import SetKind
from analysis.training.verdict import Outcome
from tests.analysis.training.builders import SPACE
from tests.analysis.training.corrections_made import MONDAY, about_set, session, undo

JONAS = UUID(int=42)
INES = session()
SET_S = 15 * 2 + 14 * 0.3  # 15 reps of 2 s, .3 s between them; sets begin 200 s after each other


def give(one: SetRecord, *, role: By = By.COACH, number: int = 1, **more: object) -> Correction:
    given = Given(trainee=JONAS, prescription=INES.prescription, rung="feet-on-floor", **more)  # type: ignore[arg-type]
    made = about_set(Act.GIVE, one, given, role=role, number=number)
    return replace(made, id=uuid5(SPACE, f"give {number} {role}"))


def parts(record: SessionRecord) -> tuple[SessionRecord, SessionRecord]:
    hers, his = part_of(record, INES.trainee), part_of(record, JONAS)
    assert hers is not None
    assert his is not None
    return hers, his


def test_a_given_set_is_the_others_and_the_rest_of_both_is_measured_anew() -> None:
    hers, his = parts(corrected(INES, [give(INES.sets[1])]))
    assert [(one.number, one.start_s) for one in hers.sets] == [(n, INES.sets[m].start_s) for n, m in ((1, 0), (2, 2))]
    assert hers.sets[1].rest_before_s == pytest.approx(2 * 200 - SET_S)
    assert hers.outcome is Outcome.MISSED  # two of three sets
    assert [(one.number, one.reps, one.rest_before_s) for one in his.sets] == [(1, INES.sets[1].reps, None)]
    assert (his.trainee, his.rung, his.outcome) == (JONAS, "feet-on-floor", Outcome.MISSED)
    assert given_from(his.sets[0]) == INES.session_id


def test_it_is_judged_by_what_was_asked_of_the_other_one() -> None:
    less = replace(INES.prescription, sets=1, reps=12, load_kg=2.5)
    given = Given(trainee=JONAS, prescription=less, rung="heels-raised", method=Method.PAUSED)
    his = parts(corrected(INES, [about_set(Act.GIVE, INES.sets[1], given)]))[1]
    assert (his.prescription, his.rung, his.method) == (less, "heels-raised", Method.PAUSED)
    assert (his.sets[0].verdict.target_reps, his.outcome) == (12, Outcome.MET)


def test_what_was_said_of_the_whole_session_is_its_own_trainees() -> None:
    record = replace(INES, rpe=7, minutes=30.0, note="wet")
    hers, his = parts(corrected(record, [give(INES.sets[0])]))
    assert (hers.rpe, hers.minutes, hers.note) == (7, 30.0, "wet")
    assert (his.rpe, his.minutes, his.note) == (None, None, "")


def test_undone_or_given_back_nothing_is_left_of_it() -> None:
    made = give(INES.sets[1])
    back = replace(undo(made, 7), made_utc_us=made.made_utc_us + 1)
    assert corrected(INES, [made, back]) is INES
    assert part_of(INES, JONAS) is None
    home = replace(about_set(Act.GIVE, INES.sets[1], Given(trainee=INES.trainee), number=9), id=UUID(int=9))
    found = corrected(INES, [made, home])
    assert not found.others
    assert [one.verdict for one in found.sets] == [one.verdict for one in INES.sets]
    assert [one.rest_before_s for one in found.sets] == [one.rest_before_s for one in INES.sets]


def his_own(**changes: object) -> SessionRecord:
    """His own session of that day, an hour later, with two sets."""
    later = INES.started_utc_us + 3_600_000_000
    own = session(**changes)
    return replace(
        own,
        session_id=UUID(int=5),
        trainee=JONAS,
        sets=own.sets[:2],
        verdict=replace(own.verdict, sets=own.verdict.sets[:2], outcome=Outcome.MISSED),
        started_utc_us=later,
    )


def test_it_joins_the_session_that_the_other_one_had() -> None:
    own = his_own()
    his = parts(corrected(INES, [give(INES.sets[2], into=own.session_id)]))[1]
    (found,) = joined([his, own])
    # before his own, since her session began earlier; his own keep their numbers
    assert [(one.number, one.start_s) for one in found.sets] == [
        (3, INES.sets[2].start_s),
        *((one.number, one.start_s) for one in own.sets),
    ]
    assert found.outcome is Outcome.MET
    assert not found.self_told
    # nobody measured the rest between two recordings, so it is no step of the ladder
    assert (standing(found).outcome, standing(found).matter) == (
        Outcome.NOT_MEASURABLE,
        "the rest before set 2 is not known",
    )
    late = replace(his, started_utc_us=own.started_utc_us + 1)
    assert [one.number for one in next(joined([own, late])).sets] == [1, 2, 3]
    # where that session is not in the log, it is one of its own
    assert list(joined([his])) == [his]


def test_of_two_given_sets_each_goes_where_it_belongs() -> None:
    own = his_own()
    made = [give(INES.sets[1], into=own.session_id), give(INES.sets[2], number=2)]
    his = parts(corrected(INES, made))[1]
    found = list(joined([his, own]))
    assert [(one.session_id, len(one.sets)) for one in found] == [(INES.session_id, 1), (own.session_id, 3)]
    assert [len(one.marks) for one in found] == [1, 1]


def test_what_only_the_trainee_gave_opens_no_gate_until_the_coach_says_it_too() -> None:
    own = his_own()
    said = give(INES.sets[2], role=By.TRAINEE, into=own.session_id)
    (found,) = joined([parts(corrected(INES, [said]))[1], own])
    assert (found.outcome, found.self_told, found.confirmed) == (Outcome.MET, True, False)
    coachs = replace(give(INES.sets[2], number=2, into=own.session_id), start_s=said.start_s)
    (found,) = joined([parts(corrected(INES, [said, coachs]))[1], own])
    assert (found.outcome, found.self_told, found.confirmed) == (Outcome.MET, False, True)
    # giving away one's own short set is one's own word too
    four = session(counts=(15, 9, 15, 15), rest_s=60)
    hers = parts(corrected(four, [give(four.sets[1], role=By.TRAINEE)]))[0]
    assert (hers.outcome, hers.confirmed) == (Outcome.MET, False)


def test_a_given_set_is_corrected_where_it_was_recorded() -> None:
    made = give(INES.sets[1])
    count = about_set(Act.COUNT, INES.sets[1], {"count": 12, "seen": 15}, number=2)
    warm = about_set(Act.RELABEL, INES.sets[1], "warm-up", number=3)
    load = replace(about_set(Act.LOAD, INES.sets[0], {"load_kg": 5.0}, number=4), end_s=INES.sets[2].end_s)
    his = parts(corrected(INES, [made, count]))[1]
    assert (his.sets[0].verdict.count, his.sets[0].measured_count) == (12, 15)
    hers, his = parts(corrected(INES, [made, warm, load]))
    assert [one.kind for one in his.warm_ups] == [SetKind.WARM_UP]
    assert [one.load_kg for one in hers.sets] == [5.0, 5.0]
    assert his.warm_ups[0].load_kg is None  # what is said of a whole session is said of its own trainee


def test_the_next_session_of_both_follows() -> None:
    short = replace(session(counts=(15, 9, 15, 15)), day=MONDAY + timedelta(days=3), session_id=UUID(int=2))
    met = session()

    def why(*sessions: SessionRecord) -> str:
        found = next_session(History(sessions), default_plan(), MONDAY + timedelta(days=7))
        return " ".join(line for reason in found.reasons for line in (reason.text, *reason.evidence))

    assert "set 2: 9 of 15 reps" in why(met, short)
    hers, his = parts(corrected(short, [give(short.sets[1])]))
    assert "set 2: 9 of 15 reps" not in why(met, hers)
    assert "rest before set 2 was 366 s, asked 90 s" in why(met, hers)  # the other one was at the bar
    assert "set 1: 9 of 15 reps" in why(his)
