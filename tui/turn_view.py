"""What a live screen shows of the others on a shared bar: immutable, already computed."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnRow:
    """One person.

    Attributes
    ----------
    done, asked
        Sets that count, and sets that were asked for (0: none was).
    rest_left_s
        Seconds of their own rest; None where they do not rest.
    state
        In words, where it is neither rest nor being ready: in a set, done, why not today; else empty.
    """

    name: str
    done: int = 0
    asked: int = 0
    rest_left_s: float | None = None
    state: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnsView:
    """Everybody.

    Attributes
    ----------
    next
        Whose turn it is while nobody is in a set; empty where nobody has sets to do, or somebody is in one.
    rows
        Whose turn it is first, then those after them, then who has done all or may not.
    in_order
        Whether they go in an order that a key changes: not so where everybody wears a sensor.
    last
        Whose the last set was; empty where it cannot be given to anybody else any more.
    takers
        Who else that set may be given to.
    is_given
        Whether it was given, and can be taken back.
    """

    next: str = ""
    rows: tuple[TurnRow, ...] = ()
    in_order: bool = True
    last: str = ""
    takers: tuple[str, ...] = ()
    is_given: bool = False
