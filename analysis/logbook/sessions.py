"""What was done: written as it goes, read for the log and the ladder."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, insert, select, update

from analysis.logbook.base import OpenFile, new_id, session_id_of, station_id_of, trainee_id_of
from analysis.logbook.codec import to_json
from analysis.logbook.entries import AnalysisRun, RunKind
from analysis.logbook.errors import LogbookError
from analysis.logbook.outlines import in_one_go, outlines, settle, unsettle
from analysis.logbook.queries import session_found, session_with, sessions_of
from analysis.logbook.rep_rows import rep_values
from analysis.logbook.rows import end_values, run_of, session_values, set_up_value, set_values
from analysis.logbook.schema import analysis_run, rep, rep_set, session
from analysis.motion.mounts import Mount, Place
from analysis.training.judge import judge_session
from analysis.training.ladder import Method
from analysis.training.prescription import Prescription
from analysis.training.records import SessionRecord, SetRecord, Source
from analysis.training.setup import UNSAID, SetUp
from analysis.training.verdict import SessionVerdict


class Sessions(OpenFile):
    """The part of the logbook about sessions, sets and reps."""

    def start_session(
        self,
        *,
        session_id: UUID,
        trainee: UUID,
        station: UUID,
        started_utc_us: int,
        prescription: Prescription,
        mount: Mount,
        sensor: str,
        recording: str,
        rung: str | None = None,
        day: date | None = None,
        demo: bool = False,
        place: Place | None = None,
        method: Method = Method.OWN,
        source: Source = Source.SENSOR,
        seen_by: str = "",
        set_up: SetUp = UNSAID,
    ) -> None:
        """Begin a session.

        Parameters
        ----------
        session_id
            New; the recording carries the same.
        trainee, station
            Whose it is, and where; a station not known yet is noted as a foreign one.
        started_utc_us
            Microseconds since 1970-01-01 UTC.
        prescription
            What was asked.
        mount, sensor, recording
            Where the sensor sat, its name, file name of the raw recording.
        rung
            `NextSession.rung`; None outside the ladder.
        day
            The trainee's calendar day; by default that of this computer's time zone.
        demo
            Done by the virtual trainee.
        place
            Where on the body the sensor sits.
        method
            `NextSession.method`.
        source, seen_by
            Whether the sensor counts or a person tells it, and who watched.
        set_up
            What stands around the trainee.

        Raises
        ------
        LogbookError
            When the trainee is not known, or the session is there already.
        """
        with self._writing(f"Session {session_id} is in the logbook already. Start it with a new id.") as connection:
            record = SessionRecord(
                session_id=session_id,
                trainee=trainee,
                day=day or datetime.fromtimestamp(started_utc_us / 1e6, UTC).astimezone().date(),
                started_utc_us=started_utc_us,
                ended_utc_us=None,
                rung=rung,
                prescription=prescription,
                mount=mount,
                sensor=sensor,
                recording=recording,
                sets=(),
                verdict=judge_session((), prescription),
                demo=demo,
                place=place,
                method=method,
                source=source,
                seen_by=seen_by,
                set_up=set_up,
            )
            insert_session(connection, record, station)

    def start_run(
        self,
        session_id: UUID,
        *,
        kind: RunKind,
        version: str,
        parameters_sha: str,
        clock_ratio: float | None = None,
        clock_sd_ppm: float | None = None,
        moment_sd_s: float | None = None,
    ) -> int:
        """Begin an answer of the analysis, and return its number for :meth:`record_set`.

        Of a finished session the run of the latest kind answers alone, even where it has no sets.
        """
        with self._writing("") as connection:
            row = insert(analysis_run).values(
                session_id=session_id_of(connection, session_id),
                kind=kind.value,
                version=version,
                parameters_sha=parameters_sha,
                clock_ratio=clock_ratio,
                clock_sd_ppm=clock_sd_ppm,
                moment_sd_s=moment_sd_s,
            )
            unsettle(connection, session_id_of(connection, session_id))
            return new_id(connection, row)

    def note_clock(
        self, run: int, *, clock_ratio: float, clock_sd_ppm: float | None, moment_sd_s: float | None = None
    ) -> None:
        """Note what is known at last of the sensor's clock; sets keep the ratio with which they were judged."""
        known = {"clock_ratio": clock_ratio, "clock_sd_ppm": clock_sd_ppm, "moment_sd_s": moment_sd_s}
        with self._writing("") as connection:
            if not connection.execute(update(analysis_run).where(analysis_run.c.id == run).values(known)).rowcount:
                raise LogbookError(f"There is no analysis run {run}. Begin one with start_run.")

    def record_set(self, session_id: UUID, run: int, record: SetRecord) -> None:
        """Write one set and its reps, for good.

        Raises
        ------
        LogbookError
            When the run is none of the session's, the trainee is not known, or the run has a set at that time already.
        """
        with self._writing("") as connection:
            head = connection.execute(_run_of_session(session_id, run)).first()
            if head is None:
                raise LogbookError(f"Run {run} is none of session {session_id}. Begin one with start_run.")
            if connection.execute(_at_the_same_time(run, record)).first() is not None:
                raise LogbookError(
                    f"What this run found at the time of set {record.number} is recorded and never overwritten. "
                    "Begin a new run for a new answer."
                )
            unsettle(connection, head.id)
            insert_set(connection, run, head.trainee_id, record)

    def finish_session(self, session_id: UUID, ended_utc_us: int, verdict: SessionVerdict) -> None:
        """End a session and keep its verdict."""
        with self._writing("") as connection:
            number = session_id_of(connection, session_id)
            connection.execute(update(session).where(session.c.id == number).values(end_values(ended_utc_us, verdict)))
            settle(connection, number, session_id)

    def reopen_session(self, session_id: UUID) -> None:
        """Go on with a session: it is one that is broken off again, until it is finished anew."""
        with self._writing("") as connection:
            number = session_id_of(connection, session_id)
            nothing = {"ended_utc_us": None, "outcome": None}
            connection.execute(update(session).where(session.c.id == number).values(nothing))
            unsettle(connection, number)

    def note_session(self, session_id: UUID, *, rpe: int | None, minutes: float | None = None, note: str = "") -> None:
        """Keep what was asked after a session: perceived exertion (0–10), how long it took, a note."""
        with self._writing("") as connection:
            number = session_id_of(connection, session_id)
            connection.execute(
                update(session).where(session.c.id == number).values(rpe=rpe, minutes=minutes, note=note)
            )

    def note_mount(self, session_id: UUID, mount: Mount, place: Place | None, prescription: Prescription) -> None:
        """Keep where the sensor sat after all; what was found as if it sat elsewhere stays, and answers no more.

        Parameters
        ----------
        prescription
            What was asked, with the sensor there.
        """
        sat = {"mount": mount.value, "place": place and place.value, "prescription": to_json(prescription)}
        with self._writing("") as connection:
            number = session_id_of(connection, session_id)
            connection.execute(update(session).where(session.c.id == number).values(sat))
            connection.execute(insert(analysis_run).values(**_ANEW, session_id=number))
            unsettle(connection, number)

    def note_set_up(self, session_id: UUID, set_up: SetUp) -> None:
        """Keep what stood around the trainee in a session, said after it: instead of what was said before."""
        with self._writing("") as connection:
            number = session_id_of(connection, session_id)
            connection.execute(update(session).where(session.c.id == number).values(set_up=set_up_value(set_up)))

    def sessions(self, trainee: UUID, *, with_reps: bool = False) -> tuple[SessionRecord, ...]:
        """Return the sessions of a trainee, oldest first, those broken off included.

        Parameters
        ----------
        trainee
            Whose.
        with_reps
            Whether to read the reps and their verdicts too; without them `SetRecord.reps` and `SetVerdict.reps` are
            empty, the counts and the verdicts of the sets are there: of sessions long past once somebody looks.
        """
        with in_one_go(), self._reading() as connection:
            number = trainee_id_of(connection, trainee)
            if with_reps:
                return sessions_of(connection, number)
            return outlines(connection, self._reading, {number: trainee})[number]

    def session(self, session_id: UUID) -> SessionRecord | None:
        """Return one session as corrected, with everybody's sets and all reps, or None."""
        with self._reading() as connection:
            return session_with(connection, session_id)

    def sessions_called(self, letters: str) -> tuple[UUID, ...]:
        """Return the sessions whose id begins with these letters, in order of time."""
        with self._reading() as connection:
            rows = connection.execute(
                select(session.c.uuid)
                .where(session.c.uuid.startswith(letters.lower(), autoescape=True))
                .order_by(session.c.started_utc_us)
            )
            return tuple(UUID(row.uuid) for row in rows)

    def session_found(self, session_id: UUID, run: int | None = None) -> SessionRecord | None:
        """Return one session as measured, whatever people said against it; None where there is none.

        Parameters
        ----------
        session_id
            Which.
        run
            Number of one of its :meth:`runs`; by default those that answer for it.
        """
        with self._reading() as connection:
            return session_found(connection, session_id, run)

    def runs(self, session_id: UUID) -> tuple[AnalysisRun, ...]:
        """Return the answers that the analysis gave, the one in use last; parts of cluster sets are none."""
        with self._reading() as connection:
            number = session_id_of(connection, session_id)
            rows = connection.execute(select(analysis_run).where(analysis_run.c.session_id == number))
            runs = [run_of(row) for row in rows]
            anew = max((run.id for run in runs if run.kind is RunKind.ANEW), default=0)
            answers = (run for run in runs if run.kind not in (RunKind.PART, RunKind.ANEW))
            return tuple(sorted(answers, key=lambda run: (run.id > anew, list(RunKind).index(run.kind), run.id)))


_ANEW = {"kind": RunKind.ANEW.value, "version": "", "parameters_sha": ""}


def insert_session(connection: Connection, record: SessionRecord, station: UUID) -> int:
    """Write a session without its sets and its end, and return its number."""
    row = insert(session).values(
        trainee_id=trainee_id_of(connection, record.trainee),
        station_id=station_id_of(connection, station),
        **session_values(record),
    )
    return new_id(connection, row)


def insert_set(connection: Connection, run: int, owner: int, record: SetRecord) -> None:
    """Write a set and its reps into a run; `owner` is the number of the session's own trainee."""
    by = owner if record.trainee is None else trainee_id_of(connection, record.trainee)
    set_id = new_id(connection, insert(rep_set).values(run_id=run, trainee_id=by, **set_values(record)))
    pairs = enumerate(zip(record.reps, record.verdict.reps, strict=True), start=1)
    rows = [{"set_id": set_id, **rep_values(one, verdict, n)} for n, (one, verdict) in pairs]
    if rows:
        connection.execute(insert(rep), rows)


def _at_the_same_time(run: int, record: SetRecord) -> Any:
    return select(rep_set.c.id).where(
        rep_set.c.run_id == run, rep_set.c.start_s < record.end_s, rep_set.c.end_s > record.start_s
    )


def _run_of_session(session_id: UUID, run: int) -> Any:
    return (
        select(session.c.id, session.c.trainee_id)
        .join(analysis_run)
        .where(analysis_run.c.id == run, session.c.uuid == str(session_id))
    )
