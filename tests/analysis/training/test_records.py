"""A record made of its fields by name is the one that the constructor makes."""

from __future__ import annotations

from dataclasses import FrozenInstanceError, fields, replace
from datetime import date

import pytest

from analysis.training.ladder import Position
from analysis.training.records import SessionRecord
from analysis.training.rungs import default_ladder
from tests.analysis.training.builders import make_session

MADE = make_session(date(2026, 3, 2), default_ladder(), Position(1, 0))


def test_it_is_the_same_record() -> None:
    record = SessionRecord.of({one.name: getattr(MADE, one.name) for one in fields(SessionRecord)})
    assert record == MADE
    assert hash(record) == hash(MADE)
    assert repr(record) == repr(MADE)
    assert replace(record, note="wet bar") == replace(MADE, note="wet bar")
    with pytest.raises(FrozenInstanceError):
        record.note = "dry"  # type: ignore[misc]


def test_what_is_left_out_has_its_default() -> None:
    given = ("session_id", "trainee", "day", "started_utc_us", "ended_utc_us", "rung", "prescription", "mount")
    more = ("sensor", "recording", "sets", "verdict")
    record = SessionRecord.of({name: getattr(MADE, name) for name in (*given, *more)})
    assert (record.note, record.marks, record.seen_by, record.warm_ups) == ("", (), "", ())
    assert replace(MADE, **{one.name: one.default for one in fields(MADE) if one.name not in (*given, *more)}) == record
