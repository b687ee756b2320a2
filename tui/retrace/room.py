"""The ways into a replay: a session of the logbook, a recording, a file of motion."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING
from uuid import UUID

from analysis.logbook.book import Logbook
from analysis.motion.mounts import Mount
from analysis.training.records import SessionRecord
from analysis.training.statements import Note as Noted
from analysis.training.words import day
from tui.book.moments import here_now, utc_us
from tui.replay.replay import as_written
from tui.retrace.desk import Desk, Other
from tui.retrace.marks import Marking
from tui.retrace.recorded import notes_of, recorded, seen_sets
from tui.retrace.view import Note, SeenSet
from tui.rooms import Enter, Library
from tui.trouble import Trouble

if TYPE_CHECKING:
    from textual.screen import Screen


def replay_enter(library: Library, session: str, at_s: float | None = None, *, speed: float = 1.0) -> Enter:
    """Return the way into the replay of a session.

    Parameters
    ----------
    session
        Its id, as text.
    at_s
        Where to begin, seconds of the sensor's own clock; None: the whole.
    """

    def enter() -> Callable[[], Screen[None]]:
        path = library.home.recording(UUID(session))
        if not path.is_file():
            raise Trouble("There is no recording of this session: it was entered by hand, or its file is elsewhere.")
        return _entered(library.logbook, path, at_s, speed)

    return enter


def last_enter(library: Library) -> Enter:
    """Return the way into the replay of the last recorded session of whoever's rooms these are."""

    def enter() -> Callable[[], Screen[None]]:
        people = [one for one in library.logbook.trainees() if library.who() in ("", one.name)]
        done = [one for person in people for one in library.logbook.sessions(person.id)]
        kept = [one for one in done if library.home.recording(one.session_id).is_file()]
        if not kept:
            whose = f" of {library.who()}" if library.who() else ""
            raise Trouble(f"No session{whose} was recorded yet. `rungwise train` records one; try `rungwise demo`.")
        last = max(kept, key=lambda one: one.started_utc_us)
        return replay_enter(library, str(last.session_id))()

    return enter


def file_enter(library: Library, path: Path, mount: Mount | None, *, speed: float) -> Enter:
    """Return the way into the replay of a recording or, where it is said where the sensor sat, of a table of motion."""

    def enter() -> Callable[[], Screen[None]]:
        if mount is None:
            return _entered(library.logbook, path, None, speed)
        from tui.retrace.tabled import tabled
        from tui.screens.retrace import RetraceScreen

        opened = tabled(path, mount)
        return lambda: RetraceScreen(opened, speed=speed)

    return enter


def _entered(logbook: Logbook, path: Path, at_s: float | None, speed: float) -> Callable[[], Screen[None]]:
    from tui.screens.retrace import RetraceScreen

    with as_written(path):
        opened = recorded(path, logbook)
    desk = _desk(logbook, opened.record) if opened.record else None
    return lambda: RetraceScreen(opened, at_s=at_s, speed=speed, desk=desk)


def _desk(logbook: Logbook, record: SessionRecord) -> Desk:
    def others() -> tuple[Other, ...]:
        done = [one for one in logbook.sessions(record.trainee, with_reps=True) if one.session_id != record.session_id]
        return tuple(_other(one, record) for one in reversed(done) if any(done.reps for done in one.sets))

    def keep(made: Marking) -> tuple[Note, ...]:
        now = here_now()
        said = Noted(
            said_utc_us=utc_us(now),
            day=now.date(),
            session=str(record.session_id),
            at_s=made.at_s,
            text=made.text,
            by=made.who,
            gone=made.gone,
        )
        logbook.say(record.trainee, said)
        return notes_of(logbook, record)

    return Desk(others, keep)


def _other(record: SessionRecord, looked_at: SessionRecord) -> Other:
    def sets() -> tuple[SeenSet, ...]:
        return seen_sets(record)

    exercise = record.prescription.exercise.name
    return Other(f"{day(record.day)} · {exercise}", sets, exercise == looked_at.prescription.exercise.name)
