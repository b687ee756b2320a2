"""What pain means for training: stops, what reopens it, and what stays as it is meanwhile.

0–3 of 10 is acceptable, 4–5 a caution, above 5 a stop, settled by the next day (Silbernagel et al. 2007, as secondary
pages quote it; shown for the Achilles, its use for elbow and shoulder is an extrapolation). What follows from it for
the plan is common practice, no source.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from analysis.training.records import SessionRecord
from analysis.training.statements import Pain, Release, Role, Signs, Statement
from analysis.training.words import day

ACCEPTABLE = 3
"""Up to this, pain is acceptable."""

CAUTION = 5
"""Up to this nothing gets harder; above it no session."""

REPEAT_DAYS = 28
"""A second stop within so many days reopens only by a release (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Stop:
    """A stop that holds, or held.

    Attributes
    ----------
    began
        Day on which it was said.
    last
        Last day on which the pain was above what is acceptable.
    needs_release
        Whether only a recorded release ends it: sharp, night or nerve pain, or a second stop.
    why
        In words.
    """

    began: date
    last: date
    needs_release: bool
    why: str


@dataclass(frozen=True, slots=True)
class PainState:
    """What pain says about the next session.

    Attributes
    ----------
    level
        Worst since the last session began; None where nobody said.
    stop
        The stop that holds; None: none.
    reopened
        The stop that ended since the last session; None: none.
    signs
        Day on which a warning sign was reported that no clinician has cleared since; None: none.
    twice
        Pain of 4 or 5 at the last two sessions running.
    evidence
        What was said, in words.
    """

    level: int | None = None
    stop: Stop | None = None
    reopened: Stop | None = None
    signs: date | None = None
    twice: bool = False
    evidence: tuple[str, ...] = ()


def pain_state(statements: Sequence[Statement], done: Sequence[SessionRecord]) -> PainState:
    """Read what was said of pain; both in order of time."""
    last_us = done[-1].started_utc_us if done else -1
    levels = _levels(statements, done)
    stop, reopened = _stops(statements, last_us)
    said = [one for one in statements if isinstance(one, Pain)]
    return PainState(
        level=levels[-1] if levels else None,
        stop=stop,
        reopened=reopened,
        signs=_signs(statements),
        twice=len(levels) > 1 and all(level is not None and ACCEPTABLE < level <= CAUTION for level in levels[-2:]),
        evidence=tuple(f"{day(one.day)}: {pain_words(one)}" for one in said[-2:]),
    )


def _levels(statements: Sequence[Statement], done: Sequence[SessionRecord]) -> list[int | None]:
    """Return the worst pain of the last two sessions; before the first, if that is all."""
    if not done:
        return [max((one.level for one in statements if isinstance(one, Pain)), default=None)]
    return [None if pain is None else pain.level for pain in worst_pains(statements, done[-2:])]


def worst_pains(statements: Sequence[Statement], done: Sequence[SessionRecord]) -> list[Pain | None]:
    """Return for each session the worst pain said from its beginning to the next one's; None where nobody said.

    Parameters
    ----------
    statements, done
        Both in order of time.
    """
    worst: list[Pain | None] = [None] * len(done)
    begins = [one.started_utc_us for one in done]
    for one in statements:
        number = bisect_right(begins, one.said_utc_us) - 1
        if isinstance(one, Pain) and number >= 0:
            before = worst[number]
            worst[number] = one if before is None or one.level > before.level else before
    return worst


def _stops(statements: Sequence[Statement], last_us: int) -> tuple[Stop | None, Stop | None]:
    """Return the stop that holds, and the one that ended since the last session."""
    stop: Stop | None = None
    earlier: Stop | None = None
    ended_us = -1
    for one in statements:
        if isinstance(one, Pain) and stops(one):
            stop = _stopped(one, stop, earlier)
        elif stop is not None and _ends(one, stop):
            stop, earlier, ended_us = None, stop, one.said_utc_us
        elif stop is not None and isinstance(one, Pain) and one.level > ACCEPTABLE:
            stop = Stop(stop.began, one.day, stop.needs_release, stop.why)
    return stop, earlier if stop is None and ended_us > last_us else None


def stops(said: Pain) -> bool:
    """Whether pain ends training until it has settled, or somebody releases."""
    return said.level > CAUTION or said.sharp


def _stopped(said: Pain, stop: Stop | None, earlier: Stop | None) -> Stop:
    again = stop is None and earlier is not None and (said.day - earlier.began).days <= REPEAT_DAYS
    why = "sharp, night or nerve pain" if said.sharp else f"pain {said.level} of 10"
    if stop is not None:
        return Stop(stop.began, said.day, stop.needs_release or said.sharp, why if said.sharp else stop.why)
    return Stop(
        said.day, said.day, said.sharp or again, f"{why}, the second stop in {REPEAT_DAYS} days" if again else why
    )


def _ends(said: Statement, stop: Stop) -> bool:
    """Whether a statement ends a stop: a release, or pain that is acceptable and was so overnight."""
    if isinstance(said, Release):
        return True
    settled = isinstance(said, Pain) and said.level <= ACCEPTABLE and said.day > stop.last
    return settled and not stop.needs_release


def _signs(statements: Sequence[Statement]) -> date | None:
    """Return the day of a warning sign that stands: only a clinician's release takes it back."""
    since: date | None = None
    for one in statements:
        if isinstance(one, Signs) and one.any:
            since = one.day
        elif isinstance(one, Release) and one.role is Role.CLINICIAN:
            since = None
    return since


def pain_words(said: Pain) -> str:
    """Return pain in a few words: "pain 2 of 10, at worst 4 since the session before (left elbow)"."""
    worst = "" if said.worst is None else f", at worst {said.worst} since the session before"
    sharp = ", sharp, at night or along a nerve" if said.sharp else ""
    where = f" ({said.where})" if said.where else ""
    return f"pain {said.now} of 10{worst}{sharp}{where}"
