"""What is exported comes back whole, and not twice."""

from __future__ import annotations

import json
from collections.abc import Callable
from copy import deepcopy
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

import pytest

from analysis.logbook.book import Logbook, LogbookError
from analysis.logbook.exchange_in import Added
from analysis.training.corrections import Act, Because, By, Correction
from analysis.training.plan import default_plan
from analysis.training.progression import next_session
from analysis.training.statements import Form, Pain, Placement, Question, Release, Role, Signs
from tests.analysis.logbook.keeping import keep
from tests.analysis.logbook.test_logbook_outlines import FIRST, dropped, session, something_of_everything
from tests.analysis.training.builders import utc_us

DAY = date(2026, 6, 1)
US = utc_us(DAY)


@pytest.fixture
def full(book: Logbook, ines: UUID) -> Logbook:
    """A logbook with something of everything in it."""
    something_of_everything(book, ines)
    for said in (
        Signs(said_utc_us=US, day=DAY, any=False),
        Form(said_utc_us=US + 1, day=DAY, question=Question.BLADES, yes=True, by="Mara Lindt", self_seen=True),
        Release(said_utc_us=US + 2, day=DAY, role=Role.CLINICIAN, by="Dr. Øst"),
        Placement(said_utc_us=US + 3, day=DAY, rung="feet-on-floor", by="Mara", step=2, why="Testtag"),
    ):
        book.say(ines, said)
    sessions = book.sessions(ines)
    book.add_correction(
        Correction(
            id=uuid4(),
            session_id=sessions[0].session_id,
            start_s=sessions[0].sets[0].start_s,
            end_s=sessions[0].sets[0].end_s,
            kind=Act.LOAD,
            value={"load_kg": 2.5},
            reason=Because.TYPED_WRONG,
            who="Mara",
            made_utc_us=US,
            role=By.COACH,
            text="Gürtel",
        )
    )
    book.note_session(sessions[0].session_id, rpe=7, minutes=32.5, note="Regen; “gut”")
    proposal = next_session(book.history(ines), default_plan(), DAY)
    book.record_next(ines, proposal, made_utc_us=US, after_session=sessions[-1].session_id)
    none = replace(proposal, prescription=None)
    book.record_next(ines, none, made_utc_us=US + 5)
    return book


def by_name(book: Logbook) -> dict[str, UUID]:
    return {one.name: one.id for one in book.trainees()}


def everything(book: Logbook) -> dict[str, Any]:
    """All that the logbook tells, by the ways that the program reads it."""
    return {
        name: (
            book.sessions(uuid, with_reps=True),
            book.history(uuid),
            book.proposals(uuid),
            [
                (
                    book.corrections(one.session_id),
                    book.session_found(one.session_id),
                    [replace(run, id=0) for run in book.runs(one.session_id)],
                )
                for one in book.sessions(uuid)
            ],
        )
        for name, uuid in by_name(book).items()
    }


def through_json(document: dict[str, Any]) -> Any:
    return json.loads(json.dumps(document, allow_nan=False))


def test_a_whole_export_comes_back_without_loss(full: Logbook, tmp_path: Path) -> None:
    document = through_json(full.dump())
    with Logbook.open(tmp_path / "other.sqlite") as other:
        added = other.load(document)
        assert (added.trainees, added.sessions, added.known_sessions) == (2, 29, 0)
        assert everything(other) == everything(full)
        assert other.dump() == full.dump()


def test_the_same_export_twice_adds_nothing(full: Logbook, tmp_path: Path) -> None:
    document = through_json(full.dump())
    before = everything(full)
    assert full.load(document) == Added(known_sessions=29)
    assert everything(full) == before
    with Logbook.open(tmp_path / "other.sqlite") as other:
        other.load(document)
        assert other.load(document) == Added(known_sessions=29)


def test_of_one_person_all_is_exported_and_of_others_only_what_was_shared(full: Logbook, tmp_path: Path) -> None:
    ines = by_name(full)["Ines"]
    document = through_json(full.dump([ines]))
    assert {one["name"] for one in document["trainees"]} == {"Ines", "Jonas"}
    with Logbook.open(tmp_path / "other.sqlite") as other:
        other.load(document)
        assert everything(other)["Ines"] == everything(full)["Ines"]


def test_later_corrections_and_sessions_are_added_to_what_is_here(full: Logbook, tmp_path: Path) -> None:
    with Logbook.open(tmp_path / "other.sqlite") as other:
        other.load(through_json(full.dump()))
        ines = by_name(full)["Ines"]
        full.add_correction(dropped(full.sessions(ines)[1]))
        full.say(ines, Pain(said_utc_us=US + 9, day=DAY, now=2))
        assert other.load(through_json(full.dump())) == Added(known_sessions=29, corrections=1, statements=1)
        assert everything(other) == everything(full)


def test_a_dry_run_tells_what_would_be_and_writes_nothing(full: Logbook, tmp_path: Path) -> None:
    with Logbook.open(tmp_path / "other.sqlite") as other:
        assert other.load(through_json(full.dump()), dry_run=True).sessions == 29
        assert other.trainees() == ()


def test_somebody_else_of_that_name_is_asked_about_and_can_be_named(book: Logbook, ines: UUID, tmp_path: Path) -> None:
    keep(book, session(0), ines)
    document = through_json(book.dump())
    with Logbook.open(tmp_path / "other.sqlite") as other:
        here = other.add_trainee("INES")
        with pytest.raises(LogbookError, match=r'Ines is here already as somebody else.*--trainee "Ines"'):
            other.load(document)
        assert other.load(document, as_trainee=here.id).sessions == 1
        assert [one.day for one in other.sessions(here.id)] == [FIRST]
        assert len(other.trainees()) == 1


def without(document: Any, *path: Any) -> None:
    for key in path[:-1]:
        document = document[key]
    del document[path[-1]]


def put(value: Any, *path: Any) -> Callable[[Any], None]:
    def change(document: Any) -> None:
        for key in path[:-1]:
            document = document[key]
        document[path[-1]] = value

    return change


SET = ("sessions", 0, "runs", 0, "sets", 0)
WRONG = [
    (put("rungwise.export/2", "format"), r"no rungwise\.export/1 .* Export it anew, or update"),
    (put("9999", "form"), "newer Rungwise"),
    (put("x", *SET, "start_s"), r"sessions\[0\]\.runs\[0\]\.sets\[0\]\.start_s: a number is expected here, not 'x'"),
    (put(True, *SET, "number"), r"sets\[0\]\.number: a whole number is expected"),
    (put(None, *SET, "end_s"), r"sets\[0\]\.end_s: a value is needed"),
    (put("2026-02-30", "sessions", 1, "day"), r"sessions\[1\]\.day: a day is expected here \(2026-03-02\)"),
    (put("nobody", "sessions", 0, "trainee"), r"sessions\[0\]\.trainee: a UUID is expected"),
    (put(str(uuid4()), "sessions", 0, "trainee"), "is none of the trainees of this file"),
    (put("bench", "sessions", 0, "mount"), r"sessions\[0\]: this is not what Rungwise writes"),
    (put({"sets": 3}, "sessions", 0, "prescription"), r"sessions\[0\]: this is not what Rungwise writes"),
    (put("sang", "statements", 0, "kind"), r"statements\[0\]: this is not what Rungwise writes"),
    (put([], "trainees", 0), r"trainees\[0\]\.uuid: a UUID is expected"),
    (put({}, "sessions", 0, "runs"), r"sessions\[0\]\.runs: a list is expected"),
    (lambda document: without(document, *SET, "measured"), r"sets\[0\]: measured is missing"),
]


@pytest.mark.parametrize(("change", "says"), WRONG)
def test_what_is_wrong_is_named_with_its_place_and_nothing_is_written(
    book: Logbook, ines: UUID, tmp_path: Path, change: Callable[[Any], None], says: str
) -> None:
    for number in range(2):
        keep(book, replace(session(number), session_id=uuid4()), ines)
    book.say(ines, Pain(said_utc_us=US, day=DAY, now=2))
    document = deepcopy(through_json(book.dump()))
    change(document)
    with Logbook.open(tmp_path / "other.sqlite") as other:
        with pytest.raises(LogbookError, match=says):
            other.load(document)
        assert other.trainees() == ()


def test_a_given_set_comes_back_in_both_logs_and_goes_to_whom_the_name_says(full: Logbook, tmp_path: Path) -> None:
    people = by_name(full)
    document = through_json(full.dump([people["Jonas"]]))
    with Logbook.open(tmp_path / "other.sqlite") as other:
        other.load(document)
        assert everything(other)["Jonas"] == everything(full)["Jonas"]
    made = next(one for each in document["sessions"] for one in each["corrections"] if one["kind"] == "give")
    strange = deepcopy(document)
    for each in strange["sessions"]:
        for one in each["corrections"]:
            if one["uuid"] == made["uuid"]:
                one["value"]["trainee"] = str(uuid4())
    with (
        Logbook.open(tmp_path / "third.sqlite") as third,
        pytest.raises(LogbookError, match=r"value\.trainee: .* is none of the trainees"),
    ):
        third.load(strange)
