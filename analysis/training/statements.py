"""What people say that no sensor knows: pain, signs, form, releases, where to begin, what is whole, notes. Pure values.

Each carries the moment in which it was said (µs since 1970-01-01 UTC) and the trainee's calendar day; who said it where
that matters. They are kept as they were said; later ones stand beside them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from analysis.motion.mounts import Mount
from analysis.training.setup import SetUp


class Question(StrEnum):
    """What no clip can sense; both are asked before a step up to the next rung."""

    BLADES = "shoulder blades drawn back at the top"
    BACK = "upper back not rounded"


class Role(StrEnum):
    """Who may reopen training after a stop."""

    COACH = "coach"
    CLINICIAN = "clinician"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pain:
    """Pain, 0 to 10.

    Attributes
    ----------
    now
        At this moment.
    worst
        Worst of the day after the session before; None where it was not asked (after a set, or before the first).
    sharp
        Sharp, at night, or going along a nerve.
    where
        In the person's own words.
    """

    said_utc_us: int
    day: date
    now: int
    worst: int | None = None
    sharp: bool = False
    where: str = ""

    @property
    def level(self) -> int:
        """The worse of both."""
        return max(self.now, self.worst or 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Signs:
    """Sudden swelling, dark urine, or weakness out of proportion: whether there is any of them."""

    said_utc_us: int
    day: date
    any: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """The answer to a question of form: by the coach, or by the trainee from a video."""

    said_utc_us: int
    day: date
    question: Question
    yes: bool
    by: str
    self_seen: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Release:
    """Training may go on after a stop."""

    said_utc_us: int
    day: date
    role: Role
    by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """Where on the ladder to go on: from a test day, or as the coach decides.

    Attributes
    ----------
    rung
        Key of the rung.
    step
        From 0.
    why
        What it rests on, in words.
    """

    said_utc_us: int
    day: date
    rung: str
    by: str
    step: int = 0
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reference:
    """A rep that went all the way, against which others of the same rung and set-up are measured.

    Attributes
    ----------
    rung
        Key of the rung.
    set_up
        What stood around the trainee.
    travel_m
        As the sensor measured it, metres.
    by
        Who approved it.
    self_seen
        The trainee did, from a video.
    """

    said_utc_us: int
    day: date
    rung: str
    set_up: SetUp
    travel_m: float
    by: str
    self_seen: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """A moment of a recording that a person marked; nothing follows from it.

    What is said later of the same moment takes its place (`standing_notes`).

    Attributes
    ----------
    session
        Id of the session, as text.
    at_s
        The moment, on the sensor's own clock.
    text
        What was written beside it; empty: nothing.
    by
        Who wrote it; empty where nothing was written.
    gone
        The mark was taken away.
    """

    said_utc_us: int
    day: date
    session: str
    at_s: float
    text: str
    by: str
    gone: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Worn:
    """Where the sensor sits on a rung, although its exercise asks for elsewhere.

    Attributes
    ----------
    rung
        Key of the rung.
    mount
        Where it sits.
    asked
        Where the exercise asked for it then: once that changes, what was said holds no more.
    """

    said_utc_us: int
    day: date
    rung: str
    mount: Mount
    asked: Mount


def worn_of(statements: Iterable[Statement], rung: str | None, asked: Mount) -> Mount:
    """Return where the sensor sits on a rung, as was said last, else where the exercise asks for it."""
    said = [one.mount for one in statements if isinstance(one, Worn) and (one.rung, one.asked) == (rung, asked)]
    return said[-1] if said else asked


Statement = Pain | Signs | Form | Release | Placement | Reference | Worn | Note


def standing_notes(said: Iterable[Statement], session: str) -> tuple[Note, ...]:
    """Return the notes of a session that stand, in order of its time.

    Parameters
    ----------
    said
        Of its trainee, in the order in which they were said.
    session
        Its id, as text.
    """
    last = {one.at_s: one for one in said if isinstance(one, Note) and one.session == session}
    return tuple(sorted((one for one in last.values() if not one.gone), key=lambda one: one.at_s))
