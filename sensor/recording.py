"""One SQLite file a session: every arrival as it came, before anything interprets it.

A kill or a power cut at any moment loses at most what came since the last commit (one a second, see `commit_when_due`).
While it is written, the file has companions (`-wal`, `-shm`) that belong to it; closing folds them in. Readers have no
delays: pacing is `sensor.playback`.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Self
from uuid import UUID

from sensor.recording_file import (
    APPLICATION_ID,
    FORMAT_VERSION,
    RecordingError,
    named_errors,
    opened_to_read,
    opened_to_write,
)
from sensor.recording_order import InOrder
from sensor.source import Arrival, Channel, HostClock

COMMIT_EVERY_S = 1.0
ANCHOR_EVERY_S = 60.0

_SCHEMA = f"""
BEGIN;
CREATE TABLE meta (key TEXT PRIMARY KEY, value TEXT NOT NULL) WITHOUT ROWID;
CREATE TABLE sensor (id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE);
CREATE TABLE arrival (
    id INTEGER PRIMARY KEY,
    sensor INTEGER NOT NULL REFERENCES sensor (id),
    at_s REAL NOT NULL,
    channel TEXT NOT NULL,
    payload BLOB NOT NULL
);
CREATE TABLE anchor (id INTEGER PRIMARY KEY, at_s REAL NOT NULL, utc_us INTEGER NOT NULL);
CREATE TABLE event (id INTEGER PRIMARY KEY, run TEXT NOT NULL, emitted_s REAL NOT NULL, body TEXT NOT NULL);
PRAGMA application_id = {APPLICATION_ID};
PRAGMA user_version = {FORMAT_VERSION};
"""
_SELECT = "SELECT arrival.id, name, at_s, channel, payload FROM arrival JOIN sensor ON sensor.id = arrival.sensor"
_FULL = "free some space on the disk"
_DAMAGED = "the file is damaged; use a copy of it"


@dataclass(frozen=True, slots=True)
class Anchor:
    """The wall clock (µs since 1970-01-01 UTC) at a host monotonic time."""

    at_s: float
    utc_us: int


@dataclass(frozen=True, slots=True)
class StoredEvent:
    """One event as it was emitted.

    Attributes
    ----------
    run
        The analysis run that it belongs to, as the writer named it.
    emitted_s
        Motion time of the packet that caused it.
    body
        JSON text.
    """

    run: str
    emitted_s: float
    body: str


class Recording:
    """A session's file. Made with `create` to be written, with `open` to be read.

    Written times are those of the session's clock; `at_s` keeps every digit, so that a replay computes the very same.
    """

    def __init__(self, path: Path, connection: sqlite3.Connection, clock: HostClock | None) -> None:
        self.path = path
        self._db = connection
        self._clock = clock
        self._sensors: dict[str, int] = {}
        self._anchored_s = float("-inf")
        self._committed_s = float("-inf")
        self._closed = False

    @classmethod
    def create(
        cls, path: Path, *, session_id: UUID, clock: HostClock, meta: Mapping[str, str], synced: bool = True
    ) -> Self:
        """Begin a new file.

        Parameters
        ----------
        path
            Must not exist; its folder must.
        session_id
            What the logbook calls this session.
        clock
            The session's clock: it paces the commits and gives the wall-clock anchors.
        meta
            Any further facts, as text (mount, trainee's UUID, version, …).
        synced
            Wait at each commit until the disk has it. Else a power cut may cost the last seconds; the end of the
            program costs nothing that was committed (SQLite, PRAGMA synchronous, NORMAL in WAL mode).

        Raises
        ------
        RecordingError
            When the file exists or cannot be written.
        """
        if path.exists():
            raise RecordingError(f"{path}: exists already; give the new recording another name")
        with named_errors(path, "check the folder and the space on the disk"):
            connection = opened_to_write(path, synced=synced)
            connection.executescript(_SCHEMA)
            recording = cls(path, connection, clock)
            facts = {**meta, "session_id": str(session_id)}
            connection.executemany("INSERT INTO meta VALUES (?, ?)", facts.items())
            recording.commit()
        return recording

    @classmethod
    def go_on(cls, path: Path, clock: HostClock) -> Self:
        """Open a file to write on behind what it holds, whether it was closed or broke off.

        Parameters
        ----------
        clock
            Its seconds go on from those of the file.

        Raises
        ------
        RecordingError
            As `open` does, and when the file cannot be written.
        """
        cls.open(path).close()
        with named_errors(path, "check the folder and the space on the disk"):
            connection = opened_to_write(path, synced=True)
            recording = cls(path, connection, clock)
            recording._sensors = dict(connection.execute("SELECT name, id FROM sensor"))
            recording.commit()
        return recording

    @classmethod
    def open(cls, path: Path) -> Self:
        """Open a file for reading only; it may be one that was never closed, or that is being written.

        Raises
        ------
        RecordingError
            When there is no such file, it is no recording, or it is one of a later version.
        """
        if not path.is_file():
            raise RecordingError(f"{path}: no such file; check the path")
        with named_errors(path, "give the path of a recording made by rungwise"):
            return cls(path, opened_to_read(path), None)

    def append(self, arrival: Arrival) -> None:
        """Keep one arrival; it is safe after the next commit, a second from now at the latest if more come."""
        with self._writing():
            self._db.execute(
                "INSERT INTO arrival (sensor, at_s, channel, payload) VALUES (?, ?, ?, ?)",
                (self._sensor(arrival.sensor_id), arrival.at_s, arrival.channel.value, arrival.payload),
            )
        self.commit_when_due()

    def append_event(self, emitted_s: float, body: str, run: str) -> None:
        """Keep one event (JSON text) of an analysis run as it was emitted."""
        with self._writing():
            self._db.execute("INSERT INTO event (run, emitted_s, body) VALUES (?, ?, ?)", (run, emitted_s, body))

    def note(self, facts: Mapping[str, str]) -> None:
        """Write what holds of the session instead of what `create` was given; safe with the next commit."""
        with self._writing():
            self._db.executemany("INSERT OR REPLACE INTO meta VALUES (?, ?)", facts.items())

    def commit(self) -> None:
        """Make everything appended so far safe, and anchor the clock to the wall once a minute."""
        clock = self._writer_clock()
        self._committed_s = clock.now_s()
        if self._committed_s - self._anchored_s >= ANCHOR_EVERY_S:
            self._anchor(clock)
        if self._db.in_transaction:
            with named_errors(self.path, _FULL):
                self._db.execute("COMMIT")

    def commit_when_due(self) -> None:
        """Commit if the last one is a second of the session's clock ago; appending does so too."""
        if self._writer_clock().now_s() - self._committed_s >= COMMIT_EVERY_S:
            self.commit()

    def close(self) -> None:
        """Commit, fold the companion files into the one, and let go of it; closing again does nothing."""
        if self._closed:
            return
        self._closed = True
        if self._clock is not None:
            self._anchor(self._clock)
            self.commit()
            # A reader may be at it at this moment: then the companions stay, and the file is as good with them.
            with suppress(sqlite3.OperationalError):
                self._db.execute("PRAGMA journal_mode = DELETE")
        self._db.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @property
    def meta(self) -> dict[str, str]:
        """The facts given to `create`, and `session_id`."""
        return dict(self._read("SELECT key, value FROM meta ORDER BY key"))

    @property
    def session_id(self) -> UUID:
        """What the logbook calls this session."""
        return UUID(self.meta["session_id"])

    @property
    def span_s(self) -> tuple[float, float]:
        """Times of the first and the last arrival, (0, 0) without any."""
        ((first_s, last_s),) = self._read("SELECT min(at_s), max(at_s) FROM arrival")
        return first_s or 0.0, last_s or 0.0

    def arrivals(self) -> Iterator[Arrival]:
        """All arrivals of all sensors, as they arrived."""
        return (_arrival(row) for row in self._read(f"{_SELECT} ORDER BY arrival.id"))

    def in_order(self) -> Iterator[Arrival]:
        """Motion only, as if nothing had been late: by sensor, boot id and sample index, each boot's information first.

        Payloads that are no packets are left out; duplicates are not.
        """
        order = InOrder()
        for row in self._read(f"{_SELECT} ORDER BY arrival.id"):
            order.add(row[0], _arrival(row))
        for first, last in order.runs():
            yield from map(
                _arrival, self._read(f"{_SELECT} WHERE arrival.id BETWEEN ? AND ? ORDER BY arrival.id", first, last)
            )

    def events(self) -> Iterator[StoredEvent]:
        """All events, as they were emitted."""
        return (StoredEvent(*row) for row in self._read("SELECT run, emitted_s, body FROM event ORDER BY id"))

    def anchors(self) -> tuple[Anchor, ...]:
        """Wall-clock anchors: at the start, each minute, and at the end if the file was closed."""
        return tuple(Anchor(*row) for row in self._read("SELECT at_s, utc_us FROM anchor ORDER BY id"))

    def _read(self, query: str, *values: object) -> Iterator[Any]:
        with named_errors(self.path, _DAMAGED):
            yield from self._db.execute(query, values)

    def _writer_clock(self) -> HostClock:
        if self._clock is None:
            raise RecordingError(f"{self.path}: is open for reading only; begin a new recording to write")
        return self._clock

    @contextmanager
    def _writing(self) -> Iterator[None]:
        self._writer_clock()
        with named_errors(self.path, _FULL):
            if not self._db.in_transaction:
                self._db.execute("BEGIN")
            yield

    def _anchor(self, clock: HostClock) -> None:
        self._anchored_s = clock.now_s()
        with self._writing():
            row = (self._anchored_s, clock.utc_us())
            self._db.execute("INSERT INTO anchor (at_s, utc_us) VALUES (?, ?)", row)

    def _sensor(self, name: str) -> int:
        if name not in self._sensors:
            number = self._db.execute("INSERT INTO sensor (name) VALUES (?)", (name,)).lastrowid
            assert number is not None
            self._sensors[name] = number
        return self._sensors[name]


def _arrival(row: tuple[int, str, float, str, bytes]) -> Arrival:
    _, sensor_id, at_s, channel, payload = row
    return Arrival(sensor_id, at_s, Channel(channel), payload)
