"""What is read only when somebody looks: the sets of sessions long past, the verdicts of reps."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Generic, TypeVar, overload

_T = TypeVar("_T")


class Unread(Sequence[_T], Generic[_T]):
    """So many things, equal to the tuple of them, and read when somebody looks at one.

    Parameters
    ----------
    count
        How many there are.
    read
        Returns the things of a number; it remembers what it read.
    number
        Of these.
    """

    __slots__ = ("_count", "_number", "_read")

    def __init__(self, count: int, read: Callable[[int], Sequence[_T]], number: int) -> None:
        self._count, self._read, self._number = count, read, number

    def __len__(self) -> int:
        return self._count

    def __iter__(self) -> Iterator[_T]:
        return iter(self._read(self._number))

    @overload
    def __getitem__(self, at: int) -> _T: ...
    @overload
    def __getitem__(self, at: slice) -> Sequence[_T]: ...
    def __getitem__(self, at: int | slice) -> _T | Sequence[_T]:
        return self._read(self._number)[at]

    def __eq__(self, other: object) -> bool:
        return tuple(self) == tuple(other) if isinstance(other, (tuple, Unread)) else NotImplemented

    def __hash__(self) -> int:
        return hash(tuple(self))

    def __repr__(self) -> str:
        return repr(tuple(self))
