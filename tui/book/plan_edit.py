"""`rungwise plan set`: changes keys of plans and leaves every comment where it is."""

from __future__ import annotations

import re
from collections.abc import Sequence
from difflib import unified_diff
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from tui.book.plan_notes import PLAN_NOTES, RUNG_NOTES

NONE = "none"
"""As a value: takes the key out, so that its default holds."""

_GONE = "rungwise: taken out"
"""Stands for a moment where a key was, to find its line again: it is left as a comment that shows where it goes."""

_LISTS = frozenset({"weekdays", "equipment", "grips", "needs", "plateau_methods", "two_sided", "cues"})
_TEXTS = frozenset({"format", "trainee", "group", "goal", "start", "grips_opened_by", "blood_pressure_cleared_by"}) | {
    "shoulders_set_from",
    "key",
    "exercise",
    "name",
    "mount",
    "gate",
}


class EditError(ValueError):
    """A change that cannot be made; the message says what is allowed."""


def edited(text: str, changes: Sequence[tuple[str, str]]) -> str:
    """Return a plan's text with keys changed.

    Parameters
    ----------
    text
        A whole plan.
    changes
        Key and value each, as they were typed: `sessions_a_week`, `pull-up.sets`, `box.steps.2.reps`.

    Raises
    ------
    EditError
        When a key has no place in a plan.
    """
    for key, value in changes:
        text = _changed(text, key, value)
    return text


def difference(old: str, new: str, file: str) -> str:
    """Return what differs between two texts of a file, as a unified diff."""
    lines = unified_diff(old.splitlines(), new.splitlines(), file, file, n=1, lineterm="")
    return "\n".join(lines)


def _changed(text: str, key: str, value: str) -> str:
    hidden = re.compile(rf"^# {re.escape(key)} =$", re.MULTILINE)
    if value != NONE and hidden.search(text):
        return hidden.sub(lambda _: f"{key} = {_written(key, value)}", text, count=1)
    document = tomlkit.parse(text)
    table, last = _place(document, key)
    if value != NONE:
        table[last] = _value(str(last), value)
        return tomlkit.dumps(document)
    if table is not document:
        _take_out(table, last, key)
        return tomlkit.dumps(document)
    if key not in document:
        return text
    document[key] = _GONE
    return re.sub(rf'^{re.escape(key)} *= *"{_GONE}".*$', f"# {key} =", tomlkit.dumps(document), flags=re.MULTILINE)


def _take_out(table: Any, last: str | int, key: str) -> None:
    if isinstance(last, int) or last in table:
        del table[last]
    elif last not in {**PLAN_NOTES, **RUNG_NOTES}:
        raise EditError(f"{key} is not there")


def _place(document: Any, key: str) -> tuple[Any, str | int]:
    """Return the table that a key is in, and its name there."""
    first, *rest = key.split(".")
    if not rest and first in PLAN_NOTES:
        return document, first
    rungs = {str(one["key"]): one for one in document.get("rungs", [])}
    if not rest or first not in rungs:
        raise EditError(_unknown(key, list(rungs)))
    table: Any = rungs[first]
    for name in rest[:-1]:
        table = _within(table, name, key)
    return (table, _number(table, rest[-1], key)) if isinstance(table, list) else (table, rest[-1])


def _within(table: Any, name: str, key: str) -> Any:
    if isinstance(table, list):
        return table[_number(table, name, key)]
    if name not in table and name == "tempo":
        table[name] = tomlkit.inline_table()
    if name not in table or not isinstance(table[name], dict | list):
        raise EditError(f"{key} has no place: {name} is not there, or holds nothing with a name")
    return table[name]


def _number(table: Sequence[Any], name: str, key: str) -> int:
    if not name.isdigit() or not 0 < int(name) <= len(table):
        raise EditError(f"{key}: {name} is not allowed; give a number from 1 to {len(table)}")
    return int(name) - 1


def _unknown(key: str, rungs: Sequence[str]) -> str:
    whole = ", ".join(one for one in PLAN_NOTES if one not in ("format", "trainee"))
    if not rungs:
        return (
            f"{key} is not known; allowed are {whole}. This plan leaves the rungs to the default ladder: "
            "rungwise plan new --force writes them out"
        )
    return f"{key} is not known; allowed are {whole}, and RUNG.KEY with RUNG one of {', '.join(rungs)}"


def _value(key: str, text: str) -> Any:
    """Return a value as it was typed: as TOML where it is such, a list with commas between, else as text."""
    text = text.strip()
    if key in _LISTS and not text.startswith("["):
        return [part.strip() for part in text.split(",") if part.strip()]
    if key in _TEXTS and not text.startswith(('"', "'")):
        return text
    try:
        return tomlkit.value(text)
    except (TOMLKitError, ValueError):
        return text


def _written(key: str, text: str) -> str:
    return str(tomlkit.item(_value(key, text)).as_string())
