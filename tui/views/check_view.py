"""What the check of a session shows: immutable, complete, already computed; and the desk that takes corrections.

A session is looked at set by set, rep by rep: what was measured, how surely, what was asked, and what a person said
against it.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Protocol

from analysis.motion.results import RepKind
from analysis.training.corrections import By
from analysis.training.superset import SetKind
from analysis.training.verdict import Outcome, PhaseVerdict, RepVerdict, SetVerdict
from tui.session.messages import Hill

if TYPE_CHECKING:
    from tui.book.correcting import Teller, Wish


class Filter(StrEnum):
    """Which reps are listed."""

    ALL = "all"
    MISSED = "missed"
    UNSURE = "unsure"
    CORRECTED = "corrected"

    @property
    def following(self) -> Filter:
        """The next one, round and round."""
        every = list(Filter)
        return every[(every.index(self) + 1) % len(every)]


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckRep:
    """One rep.

    Attributes
    ----------
    number
        Within the set, from 1: by it a correction points at the rep.
    hill
        As it is drawn.
    kind
        Full, partial, or one and a half.
    phases
        Up, top, down, bottom, and half-way where there is one: as judged; one that nobody asked for has no target and
        is not measurable as a verdict, but has its figures where it was measured.
    verdict
        Of the rep.
    beside
        What was seen beside the phases, a few words each: start, lean, range, speed.
    corrected
        Who corrected it, when, how and what was measured; empty where nobody did.
    at_s
        Its start on the sensor's clock: there a replay begins.
    """

    number: int
    hill: Hill
    kind: RepKind = RepKind.FULL
    phases: tuple[PhaseVerdict, ...]
    verdict: RepVerdict
    beside: tuple[str, ...] = ()
    corrected: tuple[str, ...] = ()
    at_s: float = 0.0

    @property
    def outcome(self) -> Outcome:
        """The rep's verdict in a word."""
        return self.verdict.outcome

    def is_in(self, chosen: Filter) -> bool:
        """Tell whether a filter lets it through; what cannot be measured is unsure."""
        match chosen:
            case Filter.ALL:
                return True
            case Filter.MISSED:
                return self.outcome is Outcome.MISSED
            case Filter.UNSURE:
                return self.outcome in (Outcome.UNSURE, Outcome.NOT_MEASURABLE)
            case Filter.CORRECTED:
                return bool(self.corrected)


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckSet:
    """One set.

    Attributes
    ----------
    name
        By which a correction points at it: "2", "w1", "p1", "o1".
    title
        The set in one line, with what was measured where that was corrected.
    kind
        Only reps of the exercise are judged and corrected.
    lines
        What was met and missed in it, a few words each: reps, tempo, time under tension, form, rest, speed lost.
    corrected
        The corrections of the set as a whole, and of reps that are no more.
    hills, target
        For its ridge; a set that was typed in has no hills.
    reps
        Empty where only a count is known.
    at_s
        Its start on the sensor's clock: there a replay begins, where no rep is marked; None where none saw it.
    """

    name: str
    title: str
    kind: SetKind
    outcome: Outcome | None
    lines: tuple[str, ...] = ()
    corrected: tuple[str, ...] = ()
    hills: tuple[Hill, ...] = ()
    target: Hill
    verdict: SetVerdict
    reps: tuple[CheckRep, ...] = ()
    at_s: float | None = None

    def shown(self, chosen: Filter) -> tuple[CheckRep, ...]:
        """Return the reps that a filter lets through."""
        return tuple(one for one in self.reps if one.is_in(chosen))


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckMark:
    """One correction, or one undoing, that was made.

    Attributes
    ----------
    letters
        By which it is undone.
    text
        When, who, what, why, and what was measured.
    holds
        It was not undone, and undoes nothing itself.
    """

    letters: str
    text: str
    holds: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckView:
    """One session as it stands.

    Attributes
    ----------
    session
        Its UUID as text.
    outcome
        None where there is no set to judge.
    asked
        What was prescribed, with its tempo and rest.
    targets
        Prescribed seconds by the name of the phase; only those that are asked for.
    summary
        Up to three sentences: what was met, what was missed, what to work on.
    notes
        What else stands beside the session: broken off, effort, pain, set-up, sets from another's session.
    marks
        All corrections, those undone too, in order of time.
    unconfirmed
        Some of what holds is the trainee's own word: the coach may confirm it.
    people
        Names in the logbook, to whom a set may be given.
    recorded
        There is a recording to replay.
    """

    session: str
    trainee: str
    day: dt.date
    outcome: Outcome | None
    asked: str
    targets: dict[str, float]
    summary: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    sets: tuple[CheckSet, ...] = ()
    marks: tuple[CheckMark, ...] = ()
    unconfirmed: bool = False
    people: tuple[str, ...] = ()
    recorded: bool = False


@dataclass(slots=True)
class Speaker:
    """Who corrects from here, until somebody else says so.

    Attributes
    ----------
    name
        Of the coach; None: a trainee, of their own session.
    trainee
        Who that is: of another's session it is asked again, since nobody speaks for somebody else.
    """

    name: str | None = None
    trainee: str = ""

    def is_known(self, trainee: str) -> bool:
        """Tell whether anybody said who corrects a session of this trainee."""
        return self.name is not None or self.trainee == trainee

    @property
    def role(self) -> By:
        """As what."""
        return By.TRAINEE if self.name is None else By.COACH


class CheckDesk(Protocol):
    """Where a check is read and corrected; both may take a while, so neither is called on the screen's own thread."""

    def read(self) -> CheckView:
        """Return the session as it stands now."""
        ...

    def correct(self, wish: Wish, teller: Teller) -> tuple[str, ...]:
        """Correct it as wished, and say what it is then and what follows.

        Raises
        ------
        Trouble
            When it cannot be done; it says why.
        """
        ...
