"""What nobody would write is refused as a whole, kept aside, and stops nothing behind it."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable, Iterator
from copy import deepcopy
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from analysis.logbook.book import Logbook, LogbookError
from analysis.logbook.changes import Change
from analysis.logbook.inbox import MOST_EPOCHS, MOST_REFUSED
from analysis.training.statements import Pain
from tests.analysis.logbook.keeping import keep
from tests.analysis.logbook.telling import NAME, changes_of, give, plain_dump, same
from tests.analysis.logbook.test_logbook_exchange import DAY, US
from tests.analysis.logbook.test_logbook_outlines import dropped, session

Spoil = Callable[[dict[str, Any]], None]


@pytest.fixture
def coach(tmp_path: Path) -> Iterator[Logbook]:
    with Logbook.open(tmp_path / "coach.sqlite") as opened:
        yield opened


@pytest.fixture
def small(book: Logbook, ines: UUID) -> Logbook:
    """A logbook with one of everything."""
    record = session(0)
    keep(book, record, ines)
    book.add_correction(dropped(record))
    book.say(ines, Pain(said_utc_us=US, day=DAY, now=2))
    book.note_plan(ines, "a = 1", noted_utc_us=US)
    return book


def put(name: str, value: Any) -> Spoil:
    return lambda row: row.update({name: value})


def within(name: str, spoil: Spoil) -> Spoil:
    return lambda row: spoil(row[name][0] if isinstance(row[name], list) else row[name])


WRONG: list[tuple[str, Spoil, str]] = [
    ("trainee", put("name", "\x1b[2J"), "control characters"),
    ("trainee", put("name", " "), "a name of at most"),
    ("trainee", put("name", "M" * 5000), "a name of at most"),
    ("trainee", put("uuid", "../../x"), "a UUID is expected"),
    ("session", put("trainee", str(uuid4())), "is not here"),
    ("session", put("started_utc_us", 2**70), "too large"),
    ("session", put("started_utc_us", True), "a whole number is expected"),
    ("session", put("day", "2026-02-30"), "a day is expected"),
    ("session", put("mount", "moon"), "not what Rungwise writes"),
    ("session", put("prescription", {"sets": 3}), "not what Rungwise writes"),
    ("session", put("prescription", {"reps": 1e999}), "not what Rungwise writes|not JSON compliant"),
    ("session", put("note", "\ud800"), "control characters"),
    ("session", put("set_up", {"a": "\x9b31m"}), "control characters"),
    ("run", put("kind", "imagined"), "not what Rungwise writes"),
    ("run", put("run", 7), "the one before it is not here"),
    ("run", put("run", -1), "a whole number from 1"),
    ("run", put("clock_ratio", math.inf), "a number is expected"),
    ("set", put("run", "1; DROP TABLE rep"), "a whole number from 1"),
    ("set", put("verdict", {}), "not what Rungwise writes"),
    ("set", put("number", 0), "CHECK constraint"),
    ("set", put("direction", [1, 2]), "not what Rungwise writes"),
    ("set", within("reps", put("kind", "somersault")), "not what Rungwise writes"),
    ("set", within("reps", put("verdict", {"phases": 3})), "not what Rungwise writes"),
    ("set", within("reps", put("start_s", None)), "a value is needed"),
    ("set", put("reps", [[]]), "an object is expected"),
    ("correction", put("kind", "give"), "a UUID is expected|an object is expected"),
    ("correction", put("end_s", -5.0), "CHECK constraint"),
    ("correction", put("who", "\x07"), "control characters"),
    ("statement", put("kind", "sang"), "not what Rungwise writes"),
    ("statement", put("value", [[[]]]), "not what Rungwise writes"),
    ("plan", put("text", 7), "text is expected"),
    ("plan", lambda row: row.clear(), "a row is expected"),
]


@pytest.mark.parametrize(("kind", "spoil", "says"), WRONG)
def test_a_bad_row_is_refused_kept_and_passed(
    small: Logbook, coach: Logbook, kind: str, spoil: Spoil, says: str
) -> None:
    every = changes_of(small)
    at = next(place for place, one in enumerate(every) if one.kind == kind)
    bad = deepcopy(every[at])
    spoil(bad.data["row"])
    give(small, coach, every[:at])
    before = plain_dump(coach)
    taken = give(small, coach, [bad])
    assert (taken.through, taken.refused) == (at + 1, 1)
    assert plain_dump(coach) == before
    (kept,) = coach.refusals(small.stream().station)
    assert (kept.sequence, json.loads(kept.raw)["change"]) == (at + 1, kind)
    assert re.search(says, kept.why)
    assert give(small, coach).through == len(every)
    assert coach.mark(small.stream().station).refused >= 1
    # told once more under another epoch, as it should be, all of it is there
    small.new_epoch()
    assert give(small, coach).refused == 0
    assert same(small, coach)


@pytest.mark.parametrize("data", [None, [], {}, {"change": "set"}, {"change": "song", "row": {"a": 1}}, {"change": []}])
def test_what_is_no_change_at_all_is_refused_too(coach: Logbook, data: Any) -> None:
    source = uuid4()
    taken = coach.apply(source, "e", [Change(1, "set", None, 0, 0, data)], called=NAME)
    assert (taken.through, taken.refused) == (1, 1)
    assert taken.told[0].startswith(f"{NAME}: change 1 was refused. ")


def test_what_is_nested_too_deep_to_be_kept_is_passed_too(coach: Logbook) -> None:
    deep: Any = None
    for _ in range(5000):
        deep = [deep]
    source, row = uuid4(), {"uuid": str(uuid4()), "name": deep}
    taken = coach.apply(source, "e", [Change(1, "trainee", None, 0, 0, {"change": "trainee", "row": row})])
    assert (taken.through, taken.refused) == (1, 1)
    assert [one.raw for one in coach.refusals(source)] == [""]


@pytest.mark.parametrize("name", ["Ines\rFalk", "Ines\n Falk", " Ines\tFalk "])
def test_a_name_stands_on_one_line(coach: Logbook, name: str) -> None:
    row = {"uuid": str(uuid4()), "name": name}
    taken = coach.apply(uuid4(), "e", [Change(1, "trainee", None, 0, 0, {"change": "trainee", "row": row})])
    assert (taken.refused, taken.told) == (0, ())
    assert [one.name for one in coach.trainees()] == ["Ines Falk"]


_JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text() | st.just("give"),
    lambda some: st.lists(some, max_size=3) | st.dictionaries(st.text(max_size=8), some, max_size=3),
    max_leaves=6,
)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_whatever_comes_the_logbook_can_be_read_and_goes_on(
    small: Logbook, coach: Logbook, data: st.DataObject
) -> None:
    every = changes_of(small)
    source, epoch = uuid4(), str(uuid4())
    at = data.draw(st.integers(0, len(every) - 1))
    row = every[at].data["row"]
    row[data.draw(st.sampled_from(sorted(row)))] = data.draw(_JSON)
    coach.apply(source, epoch, every[: at + 1])
    assert coach.apply(source, epoch, every).through == len(every)
    for person, history in coach.histories().items():
        assert coach.history(person.id) == history
        for one in coach.sessions(person.id, with_reps=True):
            assert all(tuple(done.verdict.reps) is not None for done in one.sets)
            assert coach.session_found(one.session_id) is not None
            coach.runs(one.session_id)
        coach.proposals(person.id)


def test_so_many_refused_changes_and_epochs_are_kept_and_no_more(coach: Logbook) -> None:
    source = uuid4()
    for epoch in range(MOST_EPOCHS + 3):
        changes = [Change(n, "set", None, 0, 0, {"change": n}) for n in range(1, 41)]
        assert coach.apply(source, str(epoch), changes).refused == 40
    assert len(coach.refusals()) == MOST_REFUSED
    assert coach.refusals()[-1].sequence == 40
    with coach._reading() as connection:
        assert connection.exec_driver_sql("SELECT count(*) FROM mark").scalar() == MOST_EPOCHS


def test_a_logbook_that_is_held_is_no_fault_of_the_change(small: Logbook, coach: Logbook) -> None:
    with (
        coach._writing(""),
        Logbook.open(coach.path) as other,
        other.hurried(),
        pytest.raises(LogbookError, match="in use by another program"),
    ):
        give(small, other)
    assert give(small, coach).refused == 0
    assert coach.mark(small.stream().station).through == small.stream().last
