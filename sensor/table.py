"""The plain table of motion: CSV with a header, times in s, specific force in g, angular rate in deg/s."""

from __future__ import annotations

import gzip
import io
import zlib
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from sensor.decimals import read_decimals
from sensor.protocol import STANDARD_GRAVITY_M_S2

FloatArray = NDArray[np.float64]

FORCE_COLUMNS = ("t_s", "ax_g", "ay_g", "az_g")
COLUMNS = (*FORCE_COLUMNS, "gx_dps", "gy_dps", "gz_dps")
_FORCE_G = (0.25, 4.0)
"""Where the middle size of a specific force lies: gravity alone gives 1 g, whatever the posture."""
_SLOWEST_S = 0.5
"""The usual step of times that are seconds is shorter: motion is sampled at 20 Hz and more."""
_HEADERS = f"{','.join(FORCE_COLUMNS)} or {','.join(COLUMNS)}"


class TableError(ValueError):
    """A file that is no table of motion; the message names file, line and column, and says what to do next."""


@dataclass(frozen=True, slots=True, eq=False)
class Table:
    """Motion in SI units.

    Attributes
    ----------
    t_s : (n,) array
        Sample times on the sensor's own clock, seconds, strictly rising, n at least 2; may be uneven and have holes.
    force_m_s2 : (n, 3) array
        Specific force, m/s².
    rate_rad_s : (n, 3) array or None
        Angular rate, rad/s; None where the table has none.
    """

    t_s: FloatArray
    force_m_s2: FloatArray
    rate_rad_s: FloatArray | None

    def __len__(self) -> int:
        return len(self.t_s)

    @property
    def axes(self) -> int:
        """3 or 6."""
        return 3 if self.rate_rad_s is None else 6

    @property
    def rate_hz(self) -> float:
        """Samples per second: of the intervals within half of the median one, so holes do not count.

        Their mean, not the median itself: times are rounded, and 1 / 104 Hz rounded to 0.1 ms is 104.17 Hz.
        """
        intervals_s = np.diff(self.t_s)
        median_s = np.quantile(intervals_s, 0.5, method="lower")
        usual = np.abs(intervals_s - median_s) <= median_s / 2
        return float(1 / np.mean(intervals_s[usual]))


def read_table(path: Path) -> Table:
    """Read a `.csv` or `.csv.gz`.

    Raises
    ------
    TableError
        When it is not a table of motion as described in this module.
    """
    content = _content(path)
    start = content.find(b"\n") + 1 or len(content)
    columns = _check_header(path, content[:start].removesuffix(b"\n"))
    values = read_decimals(content, start, len(columns))
    if values is None:
        values = _numbers(path, content[start:].rstrip(), columns)
    _check_finite(path, columns, values)
    _check_rising(path, values[:, 0])
    rate = np.radians(values[:, 4:]) if len(columns) == len(COLUMNS) else None
    # Copies, so that each is contiguous and the whole is let go of.
    return Table(values[:, 0].copy(), values[:, 1:4] * STANDARD_GRAVITY_M_S2, rate)


def read_motion(path: Path) -> Table:
    """Read a table as `read_table` does, and refuse numbers that are no motion in these units.

    Raises
    ------
    TableError
        Also when times are no seconds, or force is not in g with gravity in it: such a table would give reps, with
        travel and speed, that nobody made.
    """
    table = read_table(path)
    step_s = float(np.median(np.diff(table.t_s)))
    if step_s > _SLOWEST_S:
        raise _error(path, 3, "t_s", f"lines are {step_s:g} s apart; give seconds, at least 20 lines in each")
    size_g = float(np.median(np.linalg.norm(table.force_m_s2, axis=1))) / STANDARD_GRAVITY_M_S2
    if not _FORCE_G[0] <= size_g <= _FORCE_G[1]:
        what = "give g (1 g is 9.80665 m/s²)" if size_g > 1 else "give the force with gravity in it"
        raise _error(path, 2, "ax_g", f"the force is {size_g:.3g} g as a rule, where rest gives 1 g; {what}")
    return table


def _content(path: Path) -> bytes:
    name = path.name.lower()
    if not name.endswith((".csv", ".csv.gz")):
        raise TableError(f"{path}: is neither .csv nor .csv.gz; give a table of motion with one of these endings")
    try:
        content = path.read_bytes()
        return gzip.decompress(content) if name.endswith(".gz") else content
    except FileNotFoundError:
        raise TableError(f"{path}: no such file; check the path") from None
    except (gzip.BadGzipFile, EOFError, zlib.error) as error:
        raise TableError(f"{path}: is no whole gzip file ({error}); compress it again, or give the .csv") from error
    except OSError as error:
        raise TableError(f"{path}: cannot be read ({error.strerror}); give a file that can") from error


def _check_header(path: Path, header: bytes) -> tuple[str, ...]:
    names = [name.strip() for name in header.decode("utf-8-sig", "replace").split(",")]
    for number, (name, column) in enumerate(zip(names, COLUMNS, strict=False), 1):
        if name != column:
            raise _error(path, 1, number, f"{name[:40]!r} where {column!r} is expected; the header is {_HEADERS}")
    if len(names) not in (len(FORCE_COLUMNS), len(COLUMNS)):
        raise _error(path, 1, len(names), f"{len(names)} columns; the header is {_HEADERS}")
    return COLUMNS[: len(names)]


def _numbers(path: Path, body: bytes, columns: tuple[str, ...]) -> FloatArray:
    rows = body.count(b"\n") + 1 if body else 0
    if rows < 2:
        raise _error(path, rows + 1, "t_s", f"the table ends after {rows} samples; at least 2 are needed")
    try:
        values = np.loadtxt(io.BytesIO(body), delimiter=",", comments=None, ndmin=2)
    except ValueError:
        values = np.empty((0, 0))
    if values.shape != (rows, len(columns)):
        raise _first_fault(path, body, columns)
    return values


def _first_fault(path: Path, body: bytes, columns: tuple[str, ...]) -> TableError:
    """Look through the table line by line for what the fast reading stumbled over."""
    for line, row in enumerate(body.split(b"\n"), 2):
        cells = [cell.strip() for cell in row.decode("utf-8", "replace").split(",")]
        if cells == [""]:
            return _error(path, line, "t_s", "an empty line; take it out")
        if len(cells) != len(columns):
            column = columns[min(len(cells), len(columns)) - 1]
            return _error(
                path, line, column, f"{len(cells)} of {len(columns)} columns; complete the line or take it out"
            )
        for column, cell in zip(columns, cells, strict=True):
            if not _is_number(cell):
                return _error(
                    path,
                    line,
                    column,
                    f"{cell[:40]!r} is no number; write it as 0.98 or -1.2e-3, or leave the line out",
                )
    return TableError(f"{path}: cannot be read as a table of numbers; write it as plain text with commas")


def _is_number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return "_" not in cell and cell.isascii()


def _check_finite(path: Path, columns: tuple[str, ...], values: FloatArray) -> None:
    if not np.isfinite(values).all():
        row, column = np.argwhere(~np.isfinite(values))[0]
        value = values[row, column]
        raise _error(path, row + 2, columns[column], f"{value} is not finite; leave out lines without a value")


def _check_rising(path: Path, t_s: FloatArray) -> None:
    steps = np.diff(t_s)
    if not (steps > 0).all():
        row = int(np.argmin(steps > 0)) + 1
        what = f"{t_s[row]:g} s does not come after {t_s[row - 1]:g} s; sort the lines by time, each time once"
        raise _error(path, row + 2, "t_s", what)


def _error(path: Path, line: int, column: str | int, what: str) -> TableError:
    place = column if isinstance(column, int) else f"{COLUMNS.index(column) + 1} ({column})"
    return TableError(f"{path}, line {line}, column {place}: {what}")
