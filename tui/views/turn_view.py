"""What a live screen shows of the others on a shared bar: immutable, already computed."""

from __future__ import annotations

from dataclasses import dataclass

from analysis.training.records import SetRecord
from analysis.training.verdict import Outcome


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
    last
        Their last set that counts; None before the first.
    """

    name: str
    done: int = 0
    asked: int = 0
    rest_left_s: float | None = None
    state: str = ""
    last: SetRecord | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnEnd:
    """One person's session, once nobody has sets to do.

    Attributes
    ----------
    done
        What was done, in words.
    outcome
        Whether that is what was asked; None where nothing was, or nothing was done.
    note
        The one thing to work on, else what decided; empty where there is nothing to say.
    next
        From when the next session is; empty as long as that is not worked out.
    asked
        What the next session asks for; empty where nothing does.
    """

    name: str
    done: str
    outcome: Outcome | None = None
    note: str = ""
    next: str = ""
    asked: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnsView:
    """Everybody.

    Attributes
    ----------
    next
        Whose turn it is while nobody is in a set; empty where nobody has sets to do, or somebody is in one.
    rows
        Whose turn it is first, then those after them, then who has done all or may not.
    names
        Everybody who was called to the bar, in the order that was said; it stays.
    in_order
        Whether they go in an order that a key changes: not so where everybody wears a sensor.
    last
        Whose the last set was; empty where it cannot be given to anybody else any more.
    takers
        Who else that set may be given to.
    is_given
        Whether it was given, and can be taken back.
    parted
        Which reps of whose set a key takes for another's, in words; empty where none.
    doubts
        Of whose last set it is not sure that one person did all of it, in words.
    ends
        What everybody's session was, once nobody has sets to do; empty before.
    is_closed
        Whether all sessions are closed.
    """

    next: str = ""
    rows: tuple[TurnRow, ...] = ()
    names: tuple[str, ...] = ()
    in_order: bool = True
    last: str = ""
    takers: tuple[str, ...] = ()
    is_given: bool = False
    parted: str = ""
    doubts: tuple[str, ...] = ()
    ends: tuple[TurnEnd, ...] = ()
    is_closed: bool = False
