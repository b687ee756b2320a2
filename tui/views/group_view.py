"""A group as its room shows it: immutable, complete, already computed."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonRow:
    """One trainee.

    Attributes
    ----------
    place
        Rung and step on it.
    last
        Day and verdict of the last session, or "never".
    due
        When the next session may be.
    looks
        What to look at, the most urgent first, in words; empty where nothing is.
    """

    name: str
    place: str
    last: str
    due: str
    looks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupView:
    """Everybody, those first who need a look.

    Attributes
    ----------
    group
        Its name; empty: everybody.
    wrong
        What is wrong in the plans of those who are not listed.
    """

    group: str
    rows: tuple[PersonRow, ...] = ()
    wrong: tuple[str, ...] = ()
