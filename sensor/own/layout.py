"""The bytes of a notification: which numbers stand where; sans-I/O."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from sensor.wire import check

FloatArray = NDArray[np.float64]

WIDTHS = {"u8": 1, "i8": 1, "u16": 2, "i16": 2, "u24": 3, "i24": 3, "u32": 4, "i32": 4, "f32": 4}
"""Bytes of each kind of number: unsigned, two's complement, IEEE 754."""
FORCE, TURN = ("ax", "ay", "az"), ("gx", "gy", "gz")
SEQUENCE, TIME = "sequence", "time"
CELL_FORMS = 'TYPE NAME (for example "i16 ax"), "skip N" bytes, or "is 55 61" for bytes that are always the same'
_NUMBER = re.compile(rf"({'|'.join(WIDTHS)}) (-?)([a-z]+)")
_SKIP = re.compile(r"skip ([1-9][0-9]{0,2})")
_IS = re.compile(r"is ([0-9a-fA-F]{2}(?: ?[0-9a-fA-F]{2})*)")


class CellError(ValueError):
    """Text that is no cell of a layout."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One number of a notification, or bytes that are none.

    Attributes
    ----------
    width
        Bytes.
    kind
        A key of `WIDTHS`; empty where the bytes are no number.
    name
        What the number is.
    minus
        Whether its sign is to be turned.
    fixed
        What the bytes must be; empty: anything.
    """

    width: int
    kind: str = ""
    name: str = ""
    minus: bool = False
    fixed: bytes = b""

    @classmethod
    def read(cls, text: str) -> Cell:
        """Return the cell that a text stands for.

        Raises
        ------
        CellError
            When it stands for none.
        """
        if number := _NUMBER.fullmatch(text):
            return cls(WIDTHS[number[1]], number[1], number[3], minus=bool(number[2]))
        if skip := _SKIP.fullmatch(text):
            return cls(int(skip[1]))
        if fixed := _IS.fullmatch(text):
            return cls(len(bytes.fromhex(fixed[1])), fixed=bytes.fromhex(fixed[1]))
        raise CellError(text)

    @property
    def modulus(self) -> int:
        """How many values an unsigned number has."""
        return 1 << 8 * self.width


@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """What one notification says.

    Attributes
    ----------
    sequence, ticks
        As they stand there; None where the layout has none.
    values : (n, 3) or (n, 6) array
        ax, ay, az, then gx, gy, gz, as they stand there.
    """

    sequence: int | None
    ticks: int | None
    values: FloatArray

    def __len__(self) -> int:
        return len(self.values)


@dataclass(frozen=True)
class Layout:
    """Bytes before the samples, one sample, bytes after them.

    Attributes
    ----------
    samples
        How many there are; None: as many as there is room for.
    big_endian
        Whether the most significant byte of a number comes first.
    """

    header: tuple[Cell, ...]
    sample: tuple[Cell, ...]
    trailer: tuple[Cell, ...] = ()
    samples: int | None = None
    big_endian: bool = False

    def decode(self, payload: bytes) -> Reading:
        """Read one notification.

        Raises
        ------
        ProtocolError
            When its length or a fixed byte is another than the layout's, or a number is not finite.
        """
        before, each, after = (sum(cell.width for cell in cells) for cells in (self.header, self.sample, self.trailer))
        n, left = divmod(len(payload) - before - after, each)
        fits = left == 0 and n >= 1 and self.samples in (None, n)
        check(fits, "a notification of {} bytes does not fit the layout: see what the sensor sends", len(payload))
        single = {**self._numbers(self.header, payload, 0), **self._numbers(self.trailer, payload, before + n * each)}
        table = np.frombuffer(payload, self._dtype, count=n, offset=before)
        values = np.column_stack([self._column(cell, table) for cell in self._axes])
        check(bool(np.isfinite(values).all()), "a notification with a number that is not finite: skip it")
        return Reading(single.get(SEQUENCE), single.get(TIME), values)

    def cell(self, name: str) -> Cell | None:
        """Return the number of that name; None where there is none."""
        cells = (*self.header, *self.sample, *self.trailer)
        return next((cell for cell in cells if cell.kind and cell.name == name), None)

    @property
    def bytes_per_sample(self) -> float:
        """Bytes for one sample, with its share of what stands around; at most, where their number is not given."""
        around, each = (sum(cell.width for cell in cells) for cells in (self.header + self.trailer, self.sample))
        return each + around / (self.samples or 1)

    @cached_property
    def axes(self) -> int:
        """3 or 6."""
        return len(self._axes)

    @cached_property
    def _axes(self) -> tuple[Cell, ...]:
        return tuple(cell for name in (*FORCE, *TURN) if (cell := self.cell(name)))

    @cached_property
    def _dtype(self) -> np.dtype[np.void]:
        order = ">" if self.big_endian else "<"
        offsets = [0, *accumulate(cell.width for cell in self.sample)]
        form = {
            cell.name: (_format(cell, order), offset)
            for cell, offset in zip(self.sample, offsets, strict=False)
            if cell.kind
        }
        names, formats, places = list(form), [one[0] for one in form.values()], [one[1] for one in form.values()]
        return np.dtype({"names": names, "formats": formats, "offsets": places, "itemsize": offsets[-1]})

    def _column(self, cell: Cell, table: NDArray[np.void]) -> FloatArray:
        raw = table[cell.name]
        return self._three_bytes(cell, raw) if cell.width == 3 else raw.astype(np.float64)

    def _three_bytes(self, cell: Cell, raw: NDArray[np.uint8]) -> FloatArray:
        weights = np.array([1 << 16, 1 << 8, 1] if self.big_endian else [1, 1 << 8, 1 << 16])
        number: NDArray[np.int64] = raw.astype(np.int64) @ weights
        if cell.kind == "i24":
            number = number - ((number >> 23) << 24)
        column: FloatArray = number.astype(np.float64)
        return column

    def _numbers(self, cells: Sequence[Cell], payload: bytes, at: int) -> dict[str, int]:
        numbers: dict[str, int] = {}
        for cell in cells:
            octets = payload[at : at + cell.width]
            at += cell.width
            if cell.kind:
                numbers[cell.name] = int.from_bytes(octets, "big" if self.big_endian else "little")
            elif cell.fixed:
                check(octets == cell.fixed, "a notification that begins or ends otherwise ({}): skip it", octets.hex())
        return numbers


def _format(cell: Cell, order: str) -> object:
    return ("u1", (3,)) if cell.width == 3 else f"{order}{cell.kind[0]}{cell.width}"
