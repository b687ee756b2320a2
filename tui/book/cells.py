"""Tables that people fill in: CSV as a spreadsheet writes it, each fault told with file, line and column."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

MOST_BYTES = 4_000_000
MOST_FAULTS = 12
"""So many are told at once; the rest shows when they are mended."""


class SheetError(ValueError):
    """A table that cannot be read; each line of the message names file, line and column, and says what is allowed."""


@dataclass
class Line:
    """One line of a table; a cell that cannot be taken is noted as a fault and read as empty.

    Attributes
    ----------
    number
        In the file, from 1.
    decimal_comma
        Whether numbers may be written with a comma: the table's own separator is another.
    """

    name: str
    number: int
    cells: dict[str, str]
    decimal_comma: bool = False
    faults: list[str] = field(default_factory=list)

    def fault(self, column: str, text: str) -> None:
        """Note what is wrong with a cell."""
        self.faults.append(f"{self.name}, line {self.number}, column {column}: {text}")

    def text(self, column: str) -> str:
        """Return what stands in a cell; empty where nothing does."""
        return self.cells.get(column, "").strip()

    def number_in(self, column: str, low: float, high: float) -> float | None:
        """Return a number within a range; None where the cell is empty."""
        return self._number(column, self.text(column), low, high)

    def whole(self, column: str, low: int, high: int) -> int | None:
        """Return a whole number within a range; None where the cell is empty."""
        found = self._number(column, self.text(column), low, high)
        if found is None or found == int(found):
            return None if found is None else int(found)
        self.fault(column, f"{self.text(column)} is not allowed; give a whole number from {low} to {high}")
        return None

    def numbers(self, column: str, low: float, high: float) -> tuple[float, ...]:
        """Return numbers with spaces between them."""
        found = [self._number(column, part, low, high) for part in self.text(column).split()]
        return tuple(one for one in found if one is not None)

    def choice(self, column: str, allowed: Sequence[str]) -> str | None:
        """Return one of a few words; None where the cell is empty."""
        text = self.text(column).casefold()
        if not text or text in allowed:
            return text or None
        self.fault(column, f"{self.text(column)} is not allowed; give one of {', '.join(allowed)}")
        return None

    def day(self, column: str, latest: date) -> date | None:
        """Return a day up to the latest one; None where there is none."""
        try:
            found = date.fromisoformat(self.text(column))
        except ValueError:
            self.fault(column, f"'{self.text(column)}' is no day; give it as YYYY-MM-DD")
            return None
        if found <= latest:
            return found
        self.fault(column, f"{found} is still to come, today is {latest}")
        return None

    def _number(self, column: str, text: str, low: float, high: float) -> float | None:
        if not text:
            return None
        try:
            found = float(text.replace(",", ".") if self.decimal_comma else text)
        except ValueError:
            found = float("nan")
        if low <= found <= high:
            return found
        self.fault(column, f"'{text}' is not allowed; give a number from {low:g} to {high:g}")
        return None


def read_lines(
    path: Path, columns: Sequence[str], needed: Sequence[str], *, most_bytes: int = MOST_BYTES
) -> list[Line]:
    """Return the lines of a table that are not empty.

    Parameters
    ----------
    path
        A CSV file in UTF-8, with commas or semicolons.
    columns, needed
        Which columns there may be, and which of them must be there.
    most_bytes
        A larger one is refused.

    Raises
    ------
    SheetError
        When it is no such table.
    """
    text = _read(path, most_bytes)
    head = text.split("\n", 1)[0]
    separator = ";" if head.count(";") > head.count(",") else ","
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    found: list[Line] = []
    try:
        header = [cell.strip() for cell in next(reader, [])]
        _check_header(path.name, header, columns, needed)
        for cells in reader:
            if len(cells) > len(header):
                raise SheetError(
                    f"{path.name}, line {reader.line_num}: {len(cells)} cells under {len(header)} columns; "
                    "a text with a separator in it stands in quotes"
                )
            if any(cell.strip() for cell in cells):
                of = dict(zip(header, cells, strict=False))
                found.append(Line(path.name, reader.line_num, of, decimal_comma=separator == ";"))
    except csv.Error as problem:
        raise SheetError(f"{path.name}, line {reader.line_num}: no CSV ({problem})") from problem
    return found


def raise_faults(lines: Sequence[Line]) -> None:
    """Raise `SheetError` with what is wrong in any of the lines."""
    faults = [fault for line in lines for fault in line.faults]
    if faults:
        more = [f"and {len(faults) - MOST_FAULTS} more"] if len(faults) > MOST_FAULTS else []
        raise SheetError("\n".join([*faults[:MOST_FAULTS], *more, "Nothing was written."]))


def _read(path: Path, most_bytes: int) -> str:
    try:
        raw = path.read_bytes()
    except OSError as problem:
        raise SheetError(f"{path} cannot be read ({problem.strerror})") from problem
    if len(raw) > most_bytes:
        raise SheetError(f"{path.name} is larger than {most_bytes // 1_000_000} MB: too large for a table read at once")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        raise SheetError(f"{path.name} is not UTF-8: save it as CSV UTF-8") from problem


def _check_header(name: str, header: Sequence[str], columns: Sequence[str], needed: Sequence[str]) -> None:
    strange = [one for one in header if one not in columns]
    if "session_id" in strange:
        raise SheetError(
            f"{name} was written by rungwise export --format csv; to read it back give its folder, or export it "
            "as JSON, which carries everything"
        )
    if "asked_sets" in strange:
        raise SheetError(f"{name} is a sheet of rungwise done --sheet; that reads it back")
    if strange:
        raise SheetError(f"{name}, line 1, column {strange[0] or '(empty)'}: unknown; known are {', '.join(columns)}")
    twice = [one for one in header if header.count(one) > 1]
    if twice:
        raise SheetError(f"{name}, line 1, column {twice[0]}: there twice")
    missing = [one for one in needed if one not in header]
    if missing:
        raise SheetError(f"{name}, line 1: the column {missing[0]} is missing")
