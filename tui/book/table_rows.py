"""One line of an exported table back as what it was written from (`columns`)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from datetime import date
from enum import StrEnum
from typing import TypeVar
from uuid import UUID

from analysis.logbook.entries import Trainee
from analysis.motion.mounts import Mount, Place
from analysis.motion.results import Rep, RepKind, TimingSd, Why
from analysis.training.exercises import OURS
from analysis.training.ladder import Method
from analysis.training.prescription import Exercise, Grip, Prescription, Tempo
from analysis.training.records import SessionRecord, SetRecord, Source
from analysis.training.setup import SetUp, Support
from analysis.training.statements import Form, Note, Pain, Placement, Question, Release, Role, Signs, Statement, Worn
from analysis.training.superset import SetKind
from analysis.training.verdict import Outcome, RepVerdict, SessionVerdict, SetVerdict
from tui.book.cells import Line

FROM_A_TABLE = "Read from a table: as it was judged then."
_FAR = 1e12
_MOST_US = 2**53 - 1
_Word = TypeVar("_Word", bound=StrEnum)
_EDGES = ("start", "top", "down", "end")
_REP = tuple(field.name for field in fields(Rep) if field.name not in {"kind", "timing_sd", "untold"})
_LIVE = {"provisional_s", "emitted_s"}


@dataclass(frozen=True, slots=True)
class Cells:
    """The cells of one line; what cannot be taken is noted in it and read as what nothing hangs on."""

    line: Line

    def text(self, column: str) -> str:
        """Return what stands in a cell."""
        return self.line.text(column)

    def number(self, column: str, low: float = -_FAR, high: float = _FAR) -> float | None:
        """Return a number; None where the cell is empty."""
        return self.line.number_in(column, low, high)

    def some(self, column: str, low: float = -_FAR, high: float = _FAR) -> float:
        """Return a number that must be there."""
        self._need(column)
        return self.number(column, low, high) or 0.0

    def count(self, column: str, high: int = 10_000) -> int:
        """Return a whole number from 0 that must be there."""
        self._need(column)
        return self.line.whole(column, 0, high) or 0

    def truth(self, column: str) -> bool:
        """Return true or false, which must be there."""
        self._need(column)
        return self.line.choice(column, ("true", "false")) == "true"

    def word(self, column: str, words: type[_Word]) -> _Word | None:
        """Return one of a few words; None where the cell is empty."""
        found = self.line.choice(column, [one.value for one in words])
        return None if found is None else words(found)

    def needed(self, column: str, words: type[_Word]) -> _Word:
        """Return one of a few words that must be there."""
        self._need(column)
        return self.word(column, words) or next(iter(words))

    def uuid(self, column: str) -> UUID | None:
        """Return a UUID that must be there; None where none is."""
        try:
            return UUID(self.text(column))
        except ValueError:
            self.line.fault(column, f"'{self.text(column)}' is no UUID; give it as it was exported")
            return None

    def day(self) -> date:
        """Return the calendar day."""
        return self.line.day("day", date.max) or date.min

    def moment(self, column: str) -> int:
        """Return a moment that must be there, µs since 1970-01-01 UTC."""
        return self.count(column, _MOST_US)

    def _need(self, column: str) -> None:
        if not self.text(column):
            self.line.fault(column, "a value is needed here")


def session_from(cells: Cells, session_id: UUID, person: Trainee, sets: Sequence[SetRecord]) -> SessionRecord:
    """Return a session with its sets."""
    asked = _asked(cells)
    own = [one for one in sets if one.kind is SetKind.EXERCISE]
    verdict = SessionVerdict(tuple(one.verdict for one in own), cells.needed("outcome", Outcome), (FROM_A_TABLE,))
    began_us, ended = cells.moment("started_utc_us"), cells.text("ended_utc_us")
    ended_us = cells.moment("ended_utc_us") if ended else None
    minutes = cells.number("minutes", 0, 10_000)
    if minutes is None and ended_us is not None and cells.needed("source", Source) is Source.SENSOR:
        minutes = (ended_us - began_us) / 60e6  # as it counted there: from begin to end
    return SessionRecord(
        session_id=session_id,
        trainee=person.id,
        day=cells.day(),
        started_utc_us=began_us,
        ended_utc_us=ended_us,
        rung=cells.text("rung") or None,
        prescription=asked,
        mount=asked.exercise.mount,
        sensor=cells.text("sensor"),
        recording=cells.text("recording"),
        sets=tuple(own),
        verdict=verdict,
        demo=cells.truth("demo"),
        place=cells.word("place", Place),
        partners=tuple(one for one in sets if one.kind is SetKind.PARTNER),
        warm_ups=tuple(one for one in sets if one.kind is SetKind.WARM_UP),
        method=cells.needed("method", Method),
        source=Source.IMPORTED,
        seen_by=cells.text("seen_by"),
        set_up=SetUp(
            bar_cm=cells.number("bar_cm"),
            heels_cm=cells.number("heels_cm"),
            block_cm=cells.number("block_cm"),
            support=cells.word("support", Support),
            hand_share=cells.number("hand_share", 0, 1),
        ),
        rpe=cells.line.whole("rpe", 0, 10),
        minutes=minutes,
        note=cells.text("note"),
    )


def _asked(cells: Cells) -> Prescription:
    key, mount = cells.text("exercise"), cells.needed("mount", Mount)
    if not key:
        cells.line.fault("exercise", "a value is needed here")
    ours = OURS.get(key)
    up = cells.number("asked_up_s", 0, 3600)
    return Prescription(
        exercise=Exercise(key, ours.name if ours else key, mount, ours.cues if ours else ()),
        sets=cells.count("asked_sets"),
        reps=cells.count("asked_reps"),
        tempo=Tempo(cells.some("asked_down_s", 0), cells.some("asked_bottom_s", 0), up, cells.some("asked_top_s", 0)),
        rest_s=cells.some("asked_rest_s", 0),
        grip=cells.needed("grip", Grip),
        load_kg=cells.some("load_kg"),
        half_pause_s=cells.number("asked_half_pause_s", 0),
        hold_s=cells.number("asked_hold_s", 0),
    )


def set_from(cells: Cells, reps: Sequence[tuple[Rep, RepVerdict]], session: Cells) -> SetRecord:
    """Return a set with its reps, and the verdict as it was."""
    rest_s = cells.number("rest_before_s", 0)
    verdict = SetVerdict(
        count=cells.count("count"),
        target_reps=cells.count("target_reps"),
        reps=tuple(verdict for _, verdict in reps),
        reps_outcome=cells.needed("reps_outcome", Outcome),
        tempo_outcome=cells.needed("tempo_outcome", Outcome),
        tut_s=cells.number("tut_s", 0),
        target_tut_s=cells.number("target_tut_s", 0),
        tut_outcome=cells.needed("tut_outcome", Outcome),
        rest_before_s=rest_s,
        target_rest_s=session.number("asked_rest_s", 0) or 0.0,
        rest_outcome=cells.needed("rest_outcome", Outcome),
        outcome=cells.needed("outcome", Outcome),
        remark=cells.text("remark"),
        tut_sd_s=cells.number("tut_sd_s", 0),
        in_tempo=cells.count("in_tempo"),
        slowing=cells.number("slowing", 0),
        clean=cells.line.whole("clean", 0, 10_000),
        held=bool(session.text("asked_hold_s")),
    )
    return SetRecord(
        number=cells.count("set"),
        bouts=(),
        start_s=cells.some("start_s"),
        end_s=cells.some("end_s"),
        reps=tuple(rep for rep, _ in reps),
        measured=cells.truth("measured"),
        why=cells.word("why", Why),
        rest_before_s=rest_s,
        verdict=verdict,
        clock_ratio=cells.some("clock_ratio", 0),
        kind=cells.needed("set_kind", SetKind),
    )


def rep_from(cells: Cells) -> tuple[Rep, RepVerdict]:
    """Return a rep and whether it was as asked; of its phases no table tells."""
    sds = (cells.number(f"{edge}_sd_s", 0) for edge in _EDGES)
    plain = {name: cells.number(name) for name in _REP if name not in _LIVE | {"start_s", "end_s"}}
    start_s, end_s = cells.some("start_s"), cells.some("end_s")
    rep = Rep(
        start_s=start_s,
        end_s=end_s,
        kind=cells.needed("kind", RepKind),
        timing_sd=TimingSd(*sds),
        **plain,  # type: ignore[arg-type]
    )
    return rep, RepVerdict((), cells.word("outcome", Outcome) or Outcome.NOT_MEASURABLE)


def said_from(cells: Cells) -> Statement | None:
    """Return what was said; None, and a fault, where it is of no known kind."""
    said_us, on = cells.moment("said_utc_us"), cells.day()
    by = cells.text("by")
    match cells.text("kind"):
        case "pain":
            worst = cells.line.whole("pain_worst", 0, 10)
            return Pain(
                said_utc_us=said_us,
                day=on,
                now=cells.count("pain_now", 10),
                worst=worst,
                sharp=cells.truth("sharp"),
                where=cells.text("where"),
            )
        case "signs":
            return Signs(said_utc_us=said_us, day=on, any=cells.truth("signs"))
        case "form":
            yes, seen = cells.truth("answer"), cells.truth("self_seen")
            question = cells.needed("question", Question)
            return Form(said_utc_us=said_us, day=on, question=question, yes=yes, by=by, self_seen=seen)
        case "release":
            return Release(said_utc_us=said_us, day=on, role=cells.needed("role", Role), by=by)
        case "placement":
            rung, step, why = cells.text("rung"), cells.count("step"), cells.text("why")
            return Placement(said_utc_us=said_us, day=on, rung=rung, by=by, step=step, why=why)
        case "worn":
            mount, asked = cells.needed("mount", Mount), cells.needed("asked_mount", Mount)
            return Worn(said_utc_us=said_us, day=on, rung=cells.text("rung"), mount=mount, asked=asked)
        case "note":
            return Note(
                said_utc_us=said_us,
                day=on,
                session=cells.text("session_id"),
                at_s=cells.some("at_s"),
                text=cells.text("text"),
                by=by,
                gone=cells.line.choice("gone", ("true", "false")) == "true",  # earlier tables have no such column
            )
    known = "pain, signs, form, release, placement, worn or note"
    cells.line.fault("kind", f"{cells.text('kind')} is not known; give {known}")
    return None
