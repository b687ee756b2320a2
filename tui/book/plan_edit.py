"""`rungwise plan set`: changes keys of plans and leaves every comment where it is."""

from __future__ import annotations

import re
from collections.abc import Sequence
from difflib import unified_diff
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from analysis.training.plan import default_plan
from tui.book.plan_lists import (
    RUNGS,
    TABLES,
    EditError,
    table_of,
    with_last_step,
    with_rung,
    with_step,
    with_words,
    without_rung,
)
from tui.book.plan_notes import PLAN_NOTES, RUNG_NOTES
from tui.book.plan_text import plan_values

NONE = "none"
"""As a value: takes the key out, so that its default holds."""

_GONE = "rungwise: taken out"
"""Stands for a moment where a key was, to find its line again: it is left as a comment that shows where it goes."""

_LISTS = frozenset({"weekdays", "times", "equipment", "grips", "needs", "plateau_methods", "two_sided", "cues"})
_TEXTS = frozenset({"format", "trainee", "group", "goal", "start", "grips_opened_by", "blood_pressure_cleared_by"}) | {
    "shoulders_set_from",
    "key",
    "exercise",
    "name",
    "mount",
    "gate",
}


def edited(text: str, changes: Sequence[tuple[str, str]]) -> str:
    """Return a plan's text with keys changed.

    Parameters
    ----------
    text
        A whole plan.
    changes
        Key and value each, as they were typed: `sessions_a_week`, `pull-up.sets`, `box.steps.2.reps`; with `+` or `-`
        at the key's end the value goes into a list, or out of it: `equipment+`, `box.steps.2+`, `rungs+`.

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
    if key[-1] in "+-":
        return _list_changed(text, key[:-1].rstrip(), value, out=key[-1] == "-")
    if value == NONE and "." not in key and key in (rungs := _rung_keys(text)):
        return without_rung(text, rungs.index(key), len(rungs))
    hidden = _hidden(key)
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


def _list_changed(text: str, key: str, value: str, *, out: bool) -> str:
    """Put something into a list, or take it out: words, or tables by their place."""
    name, place = _list_name(key)
    if name not in TABLES:
        words = [value.strip()] if name == "cues" else _value(name, value)
        if name not in _LISTS or not isinstance(words, list):
            raise EditError(f"{key} is no list; allowed are {', '.join(sorted([*_LISTS, *TABLES]))}")
        rung, _, inner = key.rpartition(".")
        if not rung and key not in PLAN_NOTES:
            raise EditError(_unknown(key, _rung_keys(text)))
        if not rung and _hidden(key).search(text):
            text = _changed(text, key, _typed(plan_values(default_plan(), "")[key]))
        path = (RUNGS, _named(_rung_keys(text), rung, key), inner) if rung else (key,)
        return with_words(text, path, words, out=out)
    if out:
        raise EditError(f"{key}: a {name[:-1]} is taken out by its {_NAMED[name]}=none")
    table = table_of(key, name, value)
    keys = _rung_keys(text)
    if name == RUNGS:
        return with_rung(text, None if place is None else _named(keys, place, key), table, len(keys))
    rung = key.split(".")[0]
    path = (RUNGS, _named(keys, rung, key), name)
    if place is None:
        return with_last_step(text, path, table)
    _, at = _place(tomlkit.parse(text), f"{rung}.{name}.{place}")
    assert isinstance(at, int)
    return with_step(text, path, at, table)


_NAMED = {RUNGS: "key: RUNG", "steps": "number: RUNG.steps.NUMBER"}


def _list_name(key: str) -> tuple[str, str | None]:
    """Return which list a key is about, and which of its places, where it names one."""
    parts = key.split(".")
    for name, at in ((RUNGS, 0), ("steps", 1)):
        if parts[at : at + 1] == [name] and len(parts) <= at + 2:
            return name, parts[at + 1] if len(parts) > at + 1 else None
    return parts[-1], None


def _rung_keys(text: str) -> list[str]:
    return [str(one["key"]) for one in tomlkit.parse(text).get("rungs", [])]


def _named(keys: Sequence[str], rung: str, key: str) -> int:
    if rung not in keys:
        raise EditError(_unknown(key, keys))
    return keys.index(rung)


def _typed(words: Sequence[str]) -> str:
    """Return a list of words as one would type it as TOML."""
    return tomlkit.item(list(words)).as_string()


def _hidden(key: str) -> re.Pattern[str]:
    """Return what finds the place that a key without a value keeps."""
    return re.compile(rf"^# {re.escape(key)} =$", re.MULTILINE)


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
