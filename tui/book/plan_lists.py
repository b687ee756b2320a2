"""`rungwise plan set KEY+=VALUE` and `KEY-=VALUE`: puts something into a list of a plan, or takes it out of one."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import InlineTable

from analysis.training.plan import default_plan
from sensor.own.toml_lines import KeyPath, line_of
from tui.book.plan_text import plan_values

RUNGS = "rungs"
TABLES = {
    RUNGS: '{key = "ring-row", exercise = "inverted-row", sets = 3, reps = 8, rest_s = 90}',
    "steps": "{reps = 9}",
}
"""Lists of tables, and how one of them is written."""


class EditError(ValueError):
    """A change that cannot be made; the message says what is allowed."""


def table_of(key: str, name: str, text: str) -> InlineTable:
    """Return a step or a rung as it was typed.

    Raises
    ------
    EditError
        When it is no table.
    """
    try:
        value = tomlkit.value(text)
    except (TOMLKitError, ValueError):
        value = None
    if not isinstance(value, InlineTable):
        raise EditError(f"{key}: {text} is no {name[:-1]}; give one as a table, for example '{TABLES[name]}'")
    return value


def with_words(text: str, path: KeyPath, words: Sequence[str], *, out: bool) -> str:
    """Return a plan's text with a list that has some words more, or is without them; comments within it stay.

    Where it is so already nothing changes: of a group some may have a word and others not.

    Raises
    ------
    EditError
        When the plan leaves the list out, and what holds by default is no list that could be written.
    """
    document = tomlkit.parse(text)
    *outer, name = path
    table = _at(document, outer)
    if name not in table:
        usual = None if outer else plan_values(default_plan(), "").get(str(name))
        if usual is None:
            raise EditError(f"{name} is left out in this plan; give the whole list, {name}=ONE,TWO")
        table[name] = usual
    holds = table[name]
    for word in words:
        if out and word in holds:
            holds.remove(word)
        elif not out and word not in holds:
            holds.append(word)
    return tomlkit.dumps(document)


def with_step(text: str, path: KeyPath, place: int, step: InlineTable) -> str:
    """Return a plan's text with a step before step `place` (from 0) of the list at `path`; comments stay in place."""
    lines = text.split("\n")
    at = line_of(text, (*path, place)) - 1
    if lines[at].lstrip().startswith("{"):
        indent = lines[at][: len(lines[at]) - len(lines[at].lstrip())]
        at = _above(lines, at)
        return "\n".join([*lines[:at], f"{indent}{step.as_string()},", *lines[at:]])
    document = tomlkit.parse(text)
    array = _at(document, path)
    values = [one.as_string().strip() for one in array]
    values.insert(place, step.as_string())
    array.clear()
    for one in values:
        array.append(tomlkit.value(one))
    return tomlkit.dumps(document)


def with_last_step(text: str, path: KeyPath, step: InlineTable) -> str:
    """Return a plan's text with a step after the last one; a rung without a list is its own first step."""
    document = tomlkit.parse(text)
    rung = _at(document, path[:-1])
    if "steps" in rung:
        rung["steps"].append(step)
    else:
        rung["steps"] = [tomlkit.inline_table(), step]
    return tomlkit.dumps(document)


def _at(document: Any, path: Iterable[str | int]) -> Any:
    for name in path:
        document = document[name]
    return document


def with_rung(text: str, place: int | None, rung: InlineTable, rungs: int) -> str:
    """Return a plan's text with a rung more: before rung `place` (from 0), or after the last one."""
    table = ["[[rungs]]", *(f"{key} = {tomlkit.item(value).as_string().strip()}" for key, value in rung.items())]
    lines = text.rstrip("\n").split("\n")
    if place is None or place >= rungs:
        return "\n".join([*lines, "", *table]) + "\n"
    at = _begin(text, lines, place)
    return "\n".join([*lines[:at], *table, "", *lines[at:]]) + "\n"


def without_rung(text: str, place: int, rungs: int) -> str:
    """Return a plan's text without rung `place` (from 0); what stands above its table stays, what is within goes."""
    lines = text.rstrip("\n").split("\n")
    first = line_of(text, (RUNGS, place)) - 1
    after = _begin(text, lines, place + 1) if place + 1 < rungs else len(lines)
    return "\n".join([*lines[:first], *lines[after:]]).rstrip("\n") + "\n"


def _begin(text: str, lines: Sequence[str], place: int) -> int:
    """Return the index of the line with which a rung begins: its table's head, or the comments right above."""
    return _above(lines, line_of(text, (RUNGS, place)) - 1)


def _above(lines: Sequence[str], at: int) -> int:
    """Return the index of the first of the comment lines right above a line; its own where there are none."""
    while at and lines[at - 1].lstrip().startswith("#"):
        at -= 1
    return at
