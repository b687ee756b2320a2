"""Two logbooks, one of which tells the other, for the tests of changes."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from analysis.logbook.book import Logbook
from analysis.logbook.changes import Change
from analysis.logbook.inbox import Taken

ALL = 1_000_000
NAME = "rack-3"


def travelled(change: Change) -> Change:
    """A change as it comes out at the other end: through JSON."""
    return replace(change, data=json.loads(json.dumps(change.data, allow_nan=False)))


def changes_of(book: Logbook, after: int = 0) -> list[Change]:
    return [travelled(one) for one in book.changes(after, ALL)]


def give(station: Logbook, coach: Logbook, changes: Iterable[Change] | None = None) -> Taken:
    """Give the coach these changes, or all that follow its mark."""
    stream = station.stream()
    mark = coach.mark(stream.station)
    after = mark.through if mark.epoch == stream.epoch else 0
    given = changes_of(station, after) if changes is None else changes
    return coach.apply(stream.station, stream.epoch, given, called=NAME)


def same(station: Logbook, coach: Logbook) -> bool:
    """Whether the coach has of the station's people what the station has."""
    people = [one.id for one in station.trainees()]
    return plain_dump(coach, people) == plain_dump(station, people)


def plain_dump(book: Logbook, people: Any = None) -> Any:
    return json.loads(json.dumps(book.dump(people)))
