"""Marks beside moments of a recording: put at once, with words now or later, taken away, taken back; pure.

Nothing is ever erased: what is said last of a moment holds, and taking back is saying again what held before.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tui.retrace.view import Note

NEAR_S = 2.0
"""Seconds around the head within which a mark is shown, written on and taken away."""
SAME_S = 0.1
"""Closer to a mark there is no other: nobody presses a key so exactly."""


@dataclass(frozen=True, slots=True)
class Marking:
    """What somebody says of a moment.

    Attributes
    ----------
    at_s
        The moment, on the sensor's own clock.
    text, who
        Words and who wrote them; both empty where it is a mark alone.
    gone
        There is no mark any more.
    """

    at_s: float
    text: str = ""
    who: str = ""
    gone: bool = False


def note_near(notes: Sequence[Note], at_s: float, within_s: float = NEAR_S) -> Note | None:
    """Return the mark nearest to a moment, if one is near."""
    near = [note for note in notes if abs(note.at_s - at_s) <= within_s]
    return min(near, key=lambda note: abs(note.at_s - at_s), default=None)


def put(notes: Sequence[Note], at_s: float) -> Marking | None:
    """Return a mark at a moment, without words; None where there is one."""
    return None if note_near(notes, at_s, SAME_S) else Marking(at_s)


def written(notes: Sequence[Note], at_s: float, text: str, who: str) -> Marking:
    """Return the mark that is near with other words, or, where none is, a new one."""
    near = note_near(notes, at_s)
    return Marking(near.at_s if near else at_s, text, who)


def taken_away(notes: Sequence[Note], at_s: float) -> Marking | None:
    """Return that the mark that is near is gone; None where none is."""
    near = note_near(notes, at_s)
    return Marking(near.at_s, near.text, near.who, gone=True) if near else None


def back(notes: Sequence[Note], made: Marking) -> Marking:
    """Return what takes `made` back, which is not among `notes` yet: what held at that moment."""
    held = next((note for note in notes if note.at_s == made.at_s), None)
    return Marking(held.at_s, held.text, held.who) if held else Marking(made.at_s, gone=True)
