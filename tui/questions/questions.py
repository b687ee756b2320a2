"""What is asked before the first set and after the last: scripts for `interview`. Pure: no log, no clock."""

from __future__ import annotations

from collections.abc import Generator
from datetime import UTC, datetime
from typing import Any, NamedTuple

from analysis.training.pain import ACCEPTABLE, CAUTION
from analysis.training.setup import UNSAID, SetUp, Support
from tui.questions.interview import TEN, Kind, Question, Script
from tui.words.set_up_words import set_up_words, weighed_share

_PAIN_NOTE = (
    f"0 to {ACCEPTABLE} is acceptable, {ACCEPTABLE + 1} to {CAUTION}: nothing gets harder, above {CAUTION}: no session."
)
_PAIN_KEYS = f"0 none to 10 worst ({TEN} is 10)"
ELSEWHERE = "elsewhere: type it"
PLACES = (
    "left elbow",
    "right elbow",
    "left shoulder",
    "right shoulder",
    "wrist or hand",
    "forearm",
    "neck",
    "back",
    ELSEWHERE,
)


class Felt(NamedTuple):
    """Pain as it was answered; see `analysis.training.statements.Pain`."""

    now: int
    worst: int | None
    where: str
    sharp: bool


def pain_before(*, trained: bool) -> Generator[Question, Any, Felt]:
    """Ask for pain now and, of whom has `trained` before, for the worst since then."""
    now = yield _pain_now(_PAIN_NOTE)
    worst = None
    if trained:
        worst = yield Question(
            text=f"Worst pain since the last session, {_PAIN_KEYS}",
            kind=Kind.LEVEL,
            short="at worst",
            note=_PAIN_NOTE,
            usual=now,
        )
    return (yield from _details(now, worst))


def go_on(began_utc_us: int, done: int, asked: int) -> Script:
    """Ask whether to go on with a session of today that was broken off; return yes or no.

    Parameters
    ----------
    began_utc_us
        When it began, µs since 1970-01-01 UTC.
    done, asked
        How many sets of it are done, and were asked for.
    """
    began = datetime.fromtimestamp(began_utc_us / 1e6, UTC).astimezone()
    text = f"Go on with the session of {began:%H:%M}, {done} of {asked} sets done?"
    note = "Yes: sets done since then join it. No: they are a session of their own. All of it stays in the log."
    return (yield Question(text=text, kind=Kind.YES_NO, note=note, usual=True))


def pain_after() -> Generator[Question, Any, Felt]:
    """Ask for pain now."""
    acceptable = _PAIN_NOTE.rpartition(",")[0]
    now = yield _pain_now(f"{acceptable}, above {CAUTION}: the next session waits.")
    return (yield from _details(now, None))


def _pain_now(note: str) -> Question:
    return Question(text=f"Pain now, {_PAIN_KEYS}", kind=Kind.LEVEL, short="pain now", note=note, needed=True)


def _details(now: int, worst: int | None) -> Generator[Question, Any, Felt]:
    """Ask where it hurts, and how; nothing where nothing does."""
    if not max(now, worst or 0):
        return Felt(now, worst, "", False)
    where = yield Question(text="Where?", kind=Kind.CHOICE, short="where", choices=PLACES, usual="")
    if where == ELSEWHERE:
        where = yield Question(text="Where, in your own words?", kind=Kind.TEXT, short="there", usual="")
    sharp = yield Question(
        text="Sharp, at night, or along a nerve?",
        kind=Kind.YES_NO,
        short="sharp, at night or along a nerve",
        note="If so: no session, and a clinician should see it.",
        usual=False,
        needed=True,
    )
    return Felt(now, worst, where, sharp)


def warning_signs() -> Script:
    """Ask for the warning signs of the first weeks; return whether there is any."""
    return (
        yield Question(
            text="Sudden swelling, dark urine, or weakness out of proportion?",
            kind=Kind.YES_NO,
            short="warning signs",
            note="If so: no session, and medical care now.",
            usual=False,
            needed=True,
        )
    )


def exertion() -> Script:
    """Ask how hard the session was; return 0 to 10, or None for no answer."""
    return (
        yield Question(
            text=f"How hard was it, 0 rest to 10 as hard as can be ({TEN} is 10)",
            kind=Kind.LEVEL,
            short="how hard",
        )
    )


def set_up(last: SetUp, needs: frozenset[str]) -> Generator[Question, Any, SetUp]:
    """Ask what stands around the trainee: one key where it is as last time.

    Parameters
    ----------
    last
        The set-up of the last session on this rung.
    needs
        What the rung needs (`Rung.needs`): a length is asked only where there is one.
    """
    if last != UNSAID:
        same = yield Question(text=f"Set-up as last time: {set_up_words(last)}?", kind=Kind.YES_NO, usual=True)
        if same:
            return last
    low = "low-bar" in needs
    bar = (yield _length("Bar over the floor", "bar", last.bar_cm)) if low else None
    heels = (yield _length("Heels from under the bar", "heels", last.heels_cm)) if low else None
    block = (yield _length("Block under the heels", "block", last.block_cm)) if "block" in needs else None
    support = yield Question(
        text="What do you pull on?",
        kind=Kind.CHOICE,
        short="support",
        note=f"Enter: {(last.support or Support.RACK).value}",
        choices=tuple(one.value for one in Support),
        usual=(last.support or Support.RACK).value,
    )
    share = (yield from _hand_share()) if low else None
    return SetUp(bar_cm=bar, heels_cm=heels, block_cm=block, support=Support(support), hand_share=share)


def _length(what: str, short: str, last_cm: float | None) -> Question:
    usual = "not measured" if last_cm is None else f"{last_cm:g} cm, as last time"
    return Question(text=f"{what}, cm", kind=Kind.NUMBER, short=short, note=f"Enter: {usual}", usual=last_cm, least=1)


def _hand_share() -> Generator[Question, Any, float | None]:
    """Ask what a scale under the feet shows; None where there is no scale. What was weighed is not kept."""
    scale_kg = yield Question(
        text="Scale under the feet, hanging still in the start position, kg",
        kind=Kind.NUMBER,
        short="scale",
        note="Enter: no scale",
        most=300,
    )
    if scale_kg is None:
        return None
    body_kg = yield Question(
        text="Body weight, kg",
        kind=Kind.NUMBER,
        short="body",
        note="Only the share on the hands is kept. Enter: leave it out",
        least=max(scale_kg, 20),
    )
    return None if body_kg is None else weighed_share(scale_kg, body_kg)
