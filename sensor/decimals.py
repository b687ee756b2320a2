"""A quick reader of plain decimals: every column written with its own fixed number of places, as sensors' tables are.

The eight characters that end a number are taken as one 64-bit word, and the words of a whole table are turned into
numbers at once: neighbouring digits into pairs, pairs into fours, fours into eight. The digits of a number, read as a
whole number, over their power of ten give the very value that reading the text gives: both are exact (Clinger 1990,
"How to read floating point numbers accurately").
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
_Places = NDArray[np.int64]
_Words = NDArray[np.uint64]

_WIDTH = 8
"""Characters in a word."""
_ROWS = 4096
"""Rows at once: few enough to stay in a processor's cache."""
_POWERS = 10.0 ** np.arange(_WIDTH + 1)
_COMMA, _MINUS, _POINT, _NEWLINE, _NINE = (ord(c) for c in ",-.\n9")
_ZEROS, _NO_DIGIT = np.uint64(0x3030303030303030), np.uint64(0xF0F0F0F0F0F0F0F0)
_FOLDS = (
    (np.uint64(0x0F0F0F0F0F0F0F0F), np.uint64(10 * 2**8 + 1), np.uint64(8)),
    (np.uint64(0x00FF00FF00FF00FF), np.uint64(100 * 2**16 + 1), np.uint64(16)),
    (np.uint64(0x0000FFFF0000FFFF), np.uint64(10_000 * 2**32 + 1), np.uint64(32)),
)
"""Of each step: which digits, what folds them into their neighbours, and by how many bits the result is too high."""


def read_decimals(text: bytes, start: int, columns: int) -> FloatArray | None:
    """Return the rows of numbers, shape (n, `columns`); None where they are not at least two rows of plain decimals.

    Parameters
    ----------
    text
        Lines of cells with commas between.
    start
        Where the first row begins: after a header of at least eight characters.
    """
    text = text if text.endswith(b"\n") else text + b"\n"
    characters = np.frombuffer(text, np.uint8)
    stop = np.flatnonzero(characters[start:] < _MINUS) + start
    if len(stop) < 2 * columns or len(stop) % columns or characters[start:].max() > _NINE:
        return None
    first = [text[a:b] for a, b in pairwise([start - 1, *stop[:columns].tolist()])]
    places = np.array([cell[::-1].find(b".") for cell in first])
    if not ((places > 0) & (places <= _WIDTH)).all():
        return None
    values = np.empty(len(stop))
    for at in range(0, len(stop), _ROWS * columns):
        block = slice(at, at + _ROWS * columns)
        begin = np.concatenate([[start], stop[block][:-1] + 1])
        start = int(stop[block][-1]) + 1
        numbers = _numbers(text, begin, stop[block], np.resize(places, len(begin)), columns)
        if numbers is None:
            return None
        values[block] = numbers
    return values.reshape(-1, columns)


def _numbers(text: bytes, start: _Places, stop: _Places, places: _Places, columns: int) -> FloatArray | None:
    """Return the numbers in whole rows of cells, in one row; or None."""
    characters = np.frombuffer(text, np.uint8)
    words = np.ndarray((len(text) - _WIDTH + 1,), "<u8", text, strides=(1,))
    separators = characters[stop].reshape(-1, columns)
    point = stop - places - 1
    negative = characters[start] == _MINUS
    whole = point - start - negative
    if (separators[:, :-1] != _COMMA).any() or (separators[:, -1] != _NEWLINE).any():
        return None
    if whole.min() < 1 or whole.max() >= _WIDTH or (characters[point] != _POINT).any():
        return None
    fraction, units = words[stop - _WIDTH], words[point - _WIDTH]
    if not _fold(fraction, places) or not _fold(units, whole):
        return None
    scale = _POWERS[places]
    total = units * scale
    total += fraction
    total /= scale
    return np.asarray(np.copysign(total, 0.5 - negative))


def _fold(words: _Words, digits: _Places) -> bool:
    """Turn the last `digits` characters of words into numbers, in place; return whether all of them were digits."""
    unread = (8 * (_WIDTH - digits)).astype(np.uint64)
    words ^= _ZEROS
    words >>= unread
    words <<= unread
    if np.bitwise_or.reduce(words, axis=None) & _NO_DIGIT:
        return False
    for mask, fold, shift in _FOLDS:
        words &= mask
        words *= fold
        words >>= shift
    return True
