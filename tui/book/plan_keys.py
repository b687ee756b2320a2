"""Reads a plan's keys, and goes on after a fault: a coach is told all of them at once."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, datetime
from typing import Self, TypeVar

from sensor.own.keys import KeyFaultError, Keys, shown

Value = TypeVar("Value")
FAST = "fast"
"""As fast as possible, in the place of seconds."""


class Faults:
    """What was found wrong, in the order in which it was found."""

    def __init__(self) -> None:
        self.found: list[KeyFaultError] = []

    def take(self, read: Callable[[], Value], otherwise: Value) -> Value:
        """Return what is read; where it is at fault, note that and return the other value."""
        try:
            return read()
        except KeyFaultError as fault:
            self.note(fault)
            return otherwise

    def some(self, read: Callable[[], tuple[Value, ...]]) -> tuple[Value, ...]:
        """Return what is read; where it is at fault, note that and return nothing."""
        try:
            return read()
        except KeyFaultError as fault:
            self.note(fault)
            return ()

    @contextmanager
    def noting(self) -> Iterator[None]:
        """Note a fault, and leave out what comes after it in this block."""
        try:
            yield
        except KeyFaultError as fault:
            self.note(fault)

    def note(self, fault: KeyFaultError) -> None:
        """Note a fault; of one key the first, for the others follow from it."""
        if all(fault.path != one.path for one in self.found):
            self.found.append(fault)


class PlanKeys(Keys):
    """One table of a plan. As `Keys`: ask for every key it may hold, then `finish`."""

    @property
    def said(self) -> str:
        """All that the table says, in the order of the file."""
        return repr(self._table)

    def line(self, key: str, default: str = "") -> str:
        """Return one line of text, which may be empty where the key is optional."""
        value = self._take(key, default, "a text")
        if not isinstance(value, str) or not value.isprintable():
            raise self._wrong(key, value, "a text on one line")
        return value

    def count(self, key: str, low: int, high: int, default: int | None = None) -> int:
        """Return a whole number from `low` to `high`."""
        allowed = f"a whole number from {low} to {high}"
        value = self._take(key, default, allowed)
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
            raise self._wrong(key, value, allowed)
        return value

    def optional(self, key: str, low: float, high: float) -> float | None:
        """Return a number from `low` to `high`; None where the key is missing."""
        return self.number(key, low, high) if self.has(key) else None

    def seconds_or_fast(self, key: str, low: float, high: float, default: float) -> float | None:
        """Return seconds from `low` to `high`; None where it says "fast"."""
        value = self._take(key, default, "seconds")
        if value == FAST:
            return None
        if isinstance(value, str):
            raise self._wrong(key, value, f'a number from {low:g} to {high:g}, or "{FAST}"')
        return self.number(key, low, high, default)

    def entries(self, key: str, most: int, example: str) -> tuple[Self, ...]:
        """Return the tables of a list; none where the key is missing."""
        if not self.has(key):
            return ()
        value = self._take(key, None, example)
        if not isinstance(value, list) or not 0 < len(value) <= most:
            raise self._wrong(key, value, f"a list of 1 to {most}, for example {example}")
        return tuple(type(self)(one, (*self.path, key, place)) for place, one in enumerate(value))

    def several(self, key: str, choices: tuple[str, ...], default: tuple[str, ...] = ()) -> tuple[str, ...]:
        """Return some of the choices, each once, in the order of the file."""
        values = tuple(self.texts(key, list(default), f'["{choices[0]}"]'))
        for place, one in enumerate(values):
            if one not in choices:
                raise KeyFaultError((*self.path, key, place), f"{shown(one)} is not allowed; give {listed(choices)}")
            if one in values[:place]:
                raise KeyFaultError((*self.path, key, place), f"{shown(one)} is there already; give each once")
        return values

    def day(self, key: str) -> date | None:
        """Return a calendar day; None where the key is missing."""
        if not self.has(key):
            return None
        allowed = "a day without quotes, for example 2026-03-02"
        value = self._take(key, None, allowed)
        if not isinstance(value, date) or isinstance(value, datetime):
            raise self._wrong(key, value, allowed)
        return value


def listed(choices: tuple[str, ...]) -> str:
    """Return choices as a sentence names them."""
    return " or ".join(f'"{one}"' for one in choices)
