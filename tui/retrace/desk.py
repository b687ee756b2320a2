"""What a replay may ask of the logbook: other sessions to compare with, and to keep a note."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from tui.retrace.marks import Marking
from tui.retrace.view import Note, SeenSet


@dataclass(frozen=True, slots=True)
class Other:
    """Another session.

    Attributes
    ----------
    name
        In a list.
    sets
        Reads its sets, when it is chosen.
    alike
        It is of the same exercise.
    """

    name: str
    sets: Callable[[], tuple[SeenSet, ...]]
    alike: bool = False


@dataclass(frozen=True, slots=True)
class Desk:
    """The logbook, as far as a replay knows it; both calls read or write a file and run beside the screen.

    Attributes
    ----------
    others
        Sessions of the same trainee, newest first.
    keep
        Keeps what somebody says of a moment; returns all notes of the session that stand.
    """

    others: Callable[[], Sequence[Other]]
    keep: Callable[[Marking], tuple[Note, ...]]
