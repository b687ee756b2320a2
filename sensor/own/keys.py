"""Reads the keys of a TOML table one by one, each with what is allowed there."""

from __future__ import annotations

import re
from collections.abc import Iterator
from difflib import get_close_matches
from typing import Any, Self
from uuid import UUID

from sensor.own.toml_lines import KeyPath

_SHORT = re.compile(r"(?:0x)?([0-9a-fA-F]{4})")
_SIG_BASE = "0000{}-0000-1000-8000-00805f9b34fb"
"""Bluetooth Core Specification, Vol 3, Part B, 2.5.1."""
_ADDRESS = re.compile(r"[0-9a-fA-F]{2}(?::[0-9a-fA-F]{2}){5}|[0-9a-fA-F]{8}(?:-[0-9a-fA-F]{4}){3}-[0-9a-fA-F]{12}")
"""48 bits (Bluetooth Core Specification, Vol 6, Part B, 1.3); macOS gives a UUID in its place."""
_SHOWN = 40
_CELLS = '["i16 ax", "i16 ay", "i16 az"]'


class KeyFaultError(Exception):
    """A key with something that is not allowed there; the message says what is.

    `at_end` where it is missing, and has its place at the end of the document.
    """

    def __init__(self, path: KeyPath, message: str, *, at_end: bool = False) -> None:
        super().__init__(message)
        self.path = path
        self.at_end = at_end


class Keys:
    """One table of a document. Ask for every key it may hold, then `finish`.

    All methods raise `KeyFaultError`. Where a default is given the key may be missing.
    """

    def __init__(self, table: Any, path: KeyPath = ()) -> None:
        self.path = path
        if not isinstance(table, dict):
            head = f"[{'.'.join(map(str, path))}]"
            if isinstance(table, list) and table and all(isinstance(one, dict) for one in table):
                raise KeyFaultError(path, f"there is one only; write {head}, not [{head}]")
            raise KeyFaultError(path, f"{shown(table)} is no table; write its keys under {head}")
        self._table: dict[str, Any] = table
        self._known: list[str] = []

    def has(self, key: str) -> bool:
        """Return whether a key is there; it is allowed to be."""
        self._known.append(key)
        return key in self._table

    def text(self, key: str, allowed: str = "some text", default: str | None = None) -> str:
        """Return a text that is not empty."""
        value = self._take(key, default, allowed)
        if not isinstance(value, str) or (value != default and not value.strip()):
            raise self._wrong(key, value, allowed)
        return value

    def choice(self, key: str, choices: tuple[str, ...], default: str | None = None) -> str:
        """Return one of the choices."""
        allowed = " or ".join(f'"{one}"' for one in choices)
        value = self._take(key, default, allowed)
        if value not in choices:
            raise self._wrong(key, value, allowed)
        return str(value)

    def number(self, key: str, low: float, high: float, default: float | None = None) -> float:
        """Return a number from `low` to `high`."""
        allowed = f"a number from {low:g} to {high:g}"
        value = self._take(key, default, allowed)
        if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
            raise self._wrong(key, value, allowed)
        return float(value)

    def whole(self, key: str, low: int, high: int, why: str = "") -> int | None:
        """Return a whole number from `low` to `high`, `why` just these; None where the key is missing."""
        if not self.has(key):
            return None
        allowed = f"a whole number from {low} to {high}{why}"
        value = self._take(key, None, allowed)
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
            raise self._wrong(key, value, allowed)
        return value

    def truth(self, key: str, default: bool) -> bool:
        """Return true or false."""
        value = self._take(key, default, "true or false")
        if not isinstance(value, bool):
            raise self._wrong(key, value, "true or false")
        return value

    def uuid(self, key: str, default: str | None = None) -> str:
        """Return a UUID in full, lower case; four hexadecimal digits stand for one of the Bluetooth SIG's."""
        allowed = 'a UUID, for example "4a7c0002-52e1-4b19-9a51-0c83c1d9e001" or "2a19"'
        value = self._take(key, default, allowed)
        if isinstance(value, str) and (short := _SHORT.fullmatch(value)):
            return _SIG_BASE.format(short[1].lower())
        try:
            if not isinstance(value, str) or len(value) != 36:
                raise ValueError
            return str(UUID(value))
        except ValueError:
            raise self._wrong(key, value, allowed) from None

    def address(self, key: str) -> str:
        """Return the address of a device, as the operating systems write it."""
        allowed = 'an address as `rungwise scan` shows it, for example "C4:11:22:33:44:55"'
        value = self._take(key, None, allowed)
        if not isinstance(value, str) or not _ADDRESS.fullmatch(value):
            raise self._wrong(key, value, allowed)
        return value

    def octets(self, key: str, most: int) -> bytes:
        """Return bytes, written as pairs of hexadecimal digits."""
        allowed = f'1 to {most} bytes as hexadecimal digits, for example "01 64"'
        value = self._take(key, None, allowed)
        try:
            octets = bytes.fromhex(value)
        except (ValueError, TypeError):
            octets = b""
        if not 0 < len(octets) <= most:
            raise self._wrong(key, value, allowed)
        return octets

    def texts(self, key: str, default: list[str] | None = None, example: str = _CELLS) -> list[str]:
        """Return a list of texts."""
        allowed = f"a list of texts, for example {example}"
        value = self._take(key, default, allowed)
        if not isinstance(value, list):
            raise self._wrong(key, value, allowed)
        for place, one in enumerate(value):
            if not isinstance(one, str):
                raise KeyFaultError((*self.path, key, place), f"{shown(one)} is no text; give {allowed}")
        return value

    def table(self, key: str) -> Self:
        """Return a table within this one."""
        head = f"[{'.'.join(map(str, (*self.path, key)))}]"
        return type(self)(self._take(key, None, f"the table {head} below this line", at_end=True), (*self.path, key))

    def tables(self, key: str, most: int) -> Iterator[Self]:
        """Yield the tables of an array of them; none where the key is missing."""
        value = self._take(key, [], f"tables [[{key}]]")
        if isinstance(value, dict):
            raise self.fault(key, f"there may be several; write [[{key}]], not [{key}]")
        if not isinstance(value, list) or len(value) > most:
            raise self._wrong(key, value, f"{most} tables [[{key}]] at most")
        for place, one in enumerate(value):
            yield type(self)(one, (*self.path, key, place))

    def fault(self, key: str, message: str) -> KeyFaultError:
        """Return a fault of one key."""
        return KeyFaultError((*self.path, key), message)

    def finish(self) -> None:
        """Refuse keys that nobody asked for."""
        for key in self._table:
            if key not in self._known:
                known = list(dict.fromkeys(self._known))
                near = "".join(f"; perhaps {one} is meant" for one in get_close_matches(key, known, 1, 0.75))
                raise self.fault(key, f"is not known here{near}; allowed are {', '.join(known)}")

    def _take(self, key: str, default: Any, allowed: str, *, at_end: bool = False) -> Any:
        self._known.append(key)
        value = self._table.get(key, default)
        if value is None:
            instead = get_close_matches(key, [one for one in self._table if one not in self._known], 1)
            if instead:
                raise self.fault(instead[0], f"{key} is missing, and this is not it; give {allowed}")
            above = "" if self.path or at_end else ", above the first [table]"
            raise KeyFaultError((*self.path, key), f"is missing; give {allowed}{above}", at_end=at_end)
        return value

    def _wrong(self, key: str, value: Any, allowed: str) -> KeyFaultError:
        return self.fault(key, f"{shown(value)} is not allowed; give {allowed}")


def shown(value: Any) -> str:
    """Return a value as an error shows it, cut where it is long."""
    text = repr(value)
    return text if len(text) <= _SHOWN else f"{text[:_SHOWN]}…"
