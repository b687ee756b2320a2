"""TOML with line numbers: where in the text a key stands. The standard library's reader does not tell."""

from __future__ import annotations

import re
import tomllib
from contextlib import suppress
from typing import Any

KeyPath = tuple[str | int, ...]
"""Keys from the outermost in; a number is a place in an array, counted from 0."""
_PLACE = re.compile(r"^(?P<what>.*) \(at (?:line (?P<line>\d+), column \d+|end of document)\)$", re.DOTALL)


class TomlError(ValueError):
    """Text that is no TOML; says why, and `line` where."""

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
        last = text.count("\n") + 1
        why, line = (place["what"], int(place["line"] or last)) if place else (str(error), last)
        raise TomlError(why, line) from error
    except RecursionError as error:
        raise TomlError("Brackets are nested too deep", 1) from error
    except ValueError as error:  # a number of thousands of digits
        raise TomlError("A number is too long", 1) from error


def line_of(text: str, path: KeyPath) -> int:
    """Return the line, from 1, on which a key of a valid document begins; of a missing key that of what it belongs to.

    The document up to the end of a line is valid wherever no value is open, and one within an array once that is
    closed. So the key begins on the line after the last such end at which it is not there yet.
    """
    if not path:
        return 1
    before, prefix = 0, ""
    for number, line in enumerate(text.split("\n"), 1):
        prefix += f"{line}\n"
        document = _begun(prefix)
        if document is None:
            continue
        if _holds(document, path):
            return _first_written(text, before)
        before = number
    return line_of(text, path[:-1])


def _begun(prefix: str) -> dict[str, Any] | None:
    """Return the first lines of a document; None where they end within a value that is no array."""
    for closing in ("", "\n]"):
        with suppress(tomllib.TOMLDecodeError):
            return tomllib.loads(prefix + closing)
    return None


def _holds(document: Any, path: KeyPath) -> bool:
    for key in path:
        try:
            document = document[key]
        except (KeyError, IndexError, TypeError):
            return False
    return True


def _first_written(text: str, before: int) -> int:
    """Return the first line after `before` that says anything."""
    lines = text.split("\n")
    said = (i for i in range(before, len(lines)) if lines[i].strip() and not lines[i].lstrip().startswith("#"))
    return next(said, before) + 1
