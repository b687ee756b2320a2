"""What `rungwise.export/1` consists of: which columns, and of which kind each value is."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from datetime import date
from functools import cache
from typing import Any
from uuid import UUID

from sqlalchemy import JSON, Boolean, Column, Date, Float, Integer, Row, Table

from analysis.logbook.errors import LogbookError
from analysis.logbook.schema import session

_CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff]")
EXPORT_FORMAT = "rungwise.export/1"

_DERIVED = {session.c.own_sets, session.c.partner_sets, session.c.warm_up_sets}


def plain_columns(table: Table) -> tuple[Column[Any], ...]:
    """Return the columns of a table that mean something outside this file: no numbers of rows, nothing derived."""
    own = (one for one in table.columns if not one.primary_key and not one.foreign_keys)
    return tuple(one for one in own if one not in _DERIVED)


def plain(table: Table, row: Row[Any]) -> dict[str, Any]:
    """Return a row as it is written outside; its first columns are those of the table, in their order."""
    values = ((name, row[place]) for place, name in _places(table))
    return {name: value.isoformat() if isinstance(value, date) else value for name, value in values}


@cache
def _places(table: Table) -> tuple[tuple[int, str], ...]:
    """Return where the plain columns stand, and their names as plain text: SQLAlchemy's own are more than that."""
    names = [one.name for one in table.columns]
    return tuple((names.index(one.name), str(one.name)) for one in plain_columns(table))


def taken(table: Table, found: Any, where: str) -> dict[str, Any]:
    """Return the columns of a row from what a document says.

    Raises
    ------
    LogbookError
        When something is missing or of another kind; the message says where.
    """
    if not isinstance(found, Mapping):
        raise LogbookError(f"{where}: an object is expected here, not {_shown(found)}.")
    values = {}
    for column in plain_columns(table):
        if column.name in found:
            values[column.name] = _value(column, found[column.name], f"{where}.{column.name}")
        elif not column.nullable and column.server_default is None:
            raise LogbookError(f"{where}: {column.name} is missing.")
    return values


def same_row(table: Table, row: Row[Any], found: Mapping[str, Any]) -> bool:
    """Tell whether a row is as a document has it, in the columns that it names."""
    return all(found[name] == value for name, value in plain(table, row).items() if name in found)


def uuid_in(found: Any, name: str, where: str) -> UUID:
    """Return a UUID within an object of a document.

    Raises
    ------
    LogbookError
        When there is none.
    """
    text = found.get(name) if isinstance(found, Mapping) else None
    try:
        return UUID(text)
    except (TypeError, ValueError, AttributeError) as problem:
        raise LogbookError(f"{where}.{name}: a UUID is expected here, not {_shown(text)}.") from problem


def listed(found: Any, name: str, where: str) -> list[Any]:
    """Return a list within an object of the document; none where it is not named."""
    if not isinstance(found, Mapping):
        raise LogbookError(f"{where}: an object is expected here, not {_shown(found)}.")
    things = found.get(name, [])
    if not isinstance(things, list):
        raise LogbookError(f"{where}.{name}: a list is expected here, not {_shown(things)}.")
    return things


def ordinal_in(found: Mapping[str, Any], where: str, name: str = "run") -> int:
    """Return a whole number from 1 within an object of a document."""
    number = found.get(name)
    if not isinstance(number, int) or isinstance(number, bool) or number < 1:
        raise LogbookError(f"{where}.{name}: a whole number from 1 is expected here, not {_shown(number)}.")
    return number


def check_texts(found: Any, where: str) -> None:
    """Refuse what would move a terminal's cursor, or is no text at all."""
    waiting = [found]
    while waiting:
        one = waiting.pop()
        if isinstance(one, str):
            if _CONTROL.search(one):
                raise LogbookError(f"{where}: control characters are in {one!r:.60}.")
        elif isinstance(one, dict):
            waiting += one
            waiting += one.values()
        elif isinstance(one, list):
            waiting += one


def _value(column: Column[Any], value: Any, where: str) -> Any:
    if value is None:
        if column.nullable or isinstance(column.type, JSON):
            return JSON.NULL if isinstance(column.type, JSON) and not column.nullable else None
        raise LogbookError(f"{where}: a value is needed here.")
    if isinstance(column.type, JSON):
        return value
    if isinstance(column.type, Date):
        return _date(value, where)
    kinds, words = _KINDS.get(type(column.type), _INTEGER if isinstance(column.type, Integer) else _TEXT)
    fits = isinstance(value, kinds) and isinstance(value, bool) == (kinds is bool)
    if not fits or (isinstance(value, float) and not math.isfinite(value)):
        raise LogbookError(f"{where}: {words} is expected here, not {_shown(value)}.")
    return value


_TEXT = (str, "text")
_INTEGER = (int, "a whole number")
_KINDS: dict[type, tuple[Any, str]] = {Float: ((int, float), "a number"), Boolean: (bool, "true or false")}


def _date(value: Any, where: str) -> date:
    try:
        return date.fromisoformat(value)
    except (TypeError, ValueError) as problem:
        raise LogbookError(f"{where}: a day is expected here (2026-03-02), not {_shown(value)}.") from problem


def _shown(value: Any) -> str:
    text = repr(value)
    return text if len(text) <= 40 else f"{text[:37]}…"
