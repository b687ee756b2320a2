"""TOML with line numbers: where in the text a key stands. The standard library's reader does not tell."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

KeyPath = tuple[str | int, ...]
"""Keys from the outermost in; a number is a place in an array, counted from 0."""
_PLACE = re.compile(r"^(?P<what>.*) \(at (?:line (?P<line>\d+), column \d+|end of document)\)$", re.DOTALL)
_TOKENS = re.compile(
    r'"""(?:\\[\s\S]|(?!""")[^\\])*""""{0,2}|' + r"'''(?:(?!''')[\s\S])*''''{0,2}|"
    r'"(?:\\.|[^"\\\n])*"|' + r"'[^'\n]*'|"
    r"(?P<comment>#[^\n]*)|(?P<end>\n)|(?P<open>[\[{])|(?P<close>[\]}])|(?P<comma>,)|"
    r"(?P<space>[ \t\r]+)|[^\"'#\n\[\]{}, \t\r]+"
)
"""Strings first, because nothing within them counts (TOML 1.0, String)."""
_BARE = re.compile(r"^[^=#\"']*=\s*(?P<value>[^\s\"'\[{#][^#]*?)\s*(?:#.*)?$")


class TomlError(ValueError):
    """Text that is no TOML; says why and what to do, and `line` where."""

    def __init__(self, why: str, line: int) -> None:
        super().__init__(why)
        self.line = line


def read_toml(text: str) -> dict[str, Any]:
    """Return the document.

    Raises
    ------
    TomlError
        When the text is no TOML.
    """
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        place = _PLACE.match(str(error))
        lines = text.split("\n")
        last = len(lines)
        why, line = (place["what"], int(place["line"] or last)) if place else (str(error), last)
        raise TomlError(f"{why}; {_remedy(lines[line - 1])}", line) from error
    except RecursionError as error:
        raise TomlError("Brackets are nested too deep; write it as TOML", 1) from error
    except ValueError as error:  # a number of thousands of digits
        raise TomlError("A number is too long; write it as TOML", 1) from error


def _remedy(line: str) -> str:
    """Say what to do about a line that the reader stumbled over."""
    bare = _BARE.match(line)
    if bare is None:
        in_quotes = " with each text in quotes" if re.match(r"^[^=]*=\s*\[", line) else ""
        return f"write it as TOML{in_quotes}"
    value = bare["value"]
    if value.casefold() in ("true", "false"):
        return f"write {value.casefold()}, in small letters"
    return f'write a text in quotes: "{value}"'


@dataclass(slots=True)
class _Statement:
    """A key with its value, or the head of a table: where it begins, what it says, and where its elements begin."""

    line: int
    text: str = ""
    elements: list[int] = field(default_factory=list)


def line_of(text: str, path: KeyPath) -> int:
    """Return the line, from 1, on which a key of a valid document begins; of a missing key that of what it belongs to.

    Each statement is read once and by itself, so the time grows with the length of the text.
    """
    best, line = 0, 1
    for defined, statement in _defined(text):
        same = _shared(defined, path)
        at = statement.line
        if same == len(defined) < len(path) and path[same] in range(len(statement.elements)):
            at = statement.elements[int(path[same])]
            same += 1
        if same > best:
            best, line = same, at
    return line


def last_line_of(text: str) -> int:
    """Return the last line, from 1, that says anything; 1 where none does."""
    said = [number for number, line in enumerate(text.split("\n"), 1) if line.strip()]
    return said[-1] if said else 1


def _shared(one: KeyPath, other: KeyPath) -> int:
    """Return how many keys two paths have in common from the outermost on."""
    return next((n for n, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), min(len(one), len(other)))


def _defined(text: str) -> Iterator[tuple[KeyPath, _Statement]]:
    """Yield each statement of a valid document with the path of what it defines."""
    table: KeyPath = ()
    arrays: dict[KeyPath, int] = {}
    """The latest place in each array of tables."""
    for statement in _statements(text):
        keys, value = _outermost(tomllib.loads(statement.text))
        if statement.text.startswith("["):
            table = _table(keys, arrays, anew=isinstance(value, list))
            yield table, statement
        else:
            yield (*table, *keys), statement


def _table(keys: KeyPath, arrays: dict[KeyPath, int], *, anew: bool) -> KeyPath:
    """Return the path of the table that a head opens; `anew` where it begins another one of an array."""
    table: KeyPath = ()
    for place, key in enumerate(keys, 1):
        table = (*table, key)
        if anew and place == len(keys):
            arrays[table] = arrays.get(table, -1) + 1
        table = (*table, arrays[table]) if table in arrays else table
    return table


def _outermost(document: dict[str, Any]) -> tuple[KeyPath, Any]:
    """Return the keys that one statement is about, and what stands there."""
    keys: KeyPath = ()
    value: Any = document
    while isinstance(value, dict) and len(value) == 1:
        ((key, value),) = value.items()
        keys = (*keys, key)
    return keys, value


def _statements(text: str) -> Iterator[_Statement]:
    """Cut a valid document into its statements; comments and empty lines belong to none."""
    now: _Statement | None = None
    line, depth, awaited = 1, 0, False
    for token in _TOKENS.finditer(text):
        said, kind = token[0], token.lastgroup
        if now is None and kind not in ("comment", "end", "space"):
            now = _Statement(line)
        if now is not None and awaited and kind not in ("comment", "end", "space", "close"):
            now.elements.append(line)
            awaited = False
        if kind == "open":
            depth += 1
            awaited = depth == 1 or awaited
        elif kind == "close":
            depth -= 1
            awaited = awaited and depth > 0
        elif kind == "comma":
            awaited = depth == 1
        if now is not None and kind != "comment":
            now.text += said
        line += said.count("\n")
        if kind == "end" and depth == 0 and now is not None:
            yield now
            now = None
    if now is not None:
        yield now
