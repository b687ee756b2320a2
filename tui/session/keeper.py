"""Keeps one session: its raw packets and events in a recording, its sets in the logbook, while it goes on.

Nothing is written before a sensor has shown itself and what is asked is settled, or a set begins. Live answers are
written when a set ends, refined ones when they come, and a cluster set at every gap as far as it is done; where the end
of the session changes what was refined before, a further run is written: nothing is overwritten.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from functools import partial
from pathlib import Path
from uuid import UUID, uuid4

from analysis.logbook.book import Logbook
from analysis.logbook.entries import RunKind
from analysis.motion.events import BoutOpened, Event
from analysis.training.corrections import Because
from analysis.training.pointing import Draft
from analysis.training.prescription import Prescription
from analysis.training.records import SetRecord
from sensor.calibration import Calibration
from sensor.clock import ClockEstimate
from sensor.own.description import is_description
from sensor.postures import Seen
from sensor.protocol import Info, ProtocolError
from sensor.recording import Recording
from sensor.source import Arrival, Channel, HostClock
from tui.home import Home, day_of
from tui.mending.by_key import ByKey
from tui.sensors.sensors import SensorFile, SensorsError, met_with, refine_known
from tui.session.board import Board
from tui.session.keeping import Handed
from tui.session.kept_runs import KeptRuns
from tui.session.later import Later, Setbacks
from tui.session.plans import Plan, log_of, proposed
from tui.session.recorded_as import PRESCRIPTION, meta_of
from tui.session.stored import CALIBRATION_OF, calibration_to_json, encode_event, prescription_to_json
from tui.words import format as words
from tui.words.sensor_words import learnt_lines

LIVE_RUN = "live"
"""Name of the run in a recording that holds the events as they were emitted."""
MOST_EARLY = 20_000
"""As many arrivals wait in memory for what is asked to be settled: about twenty minutes of a sensor."""


class SessionKeeper:
    """The keeper of a live session (`tui.session.keeping.Keeper`).

    Parameters
    ----------
    home, logbook
        Where to keep.
    plan
        Whose session, and what is asked.
    clock
        The session's clock.
    calibration_of
        What is applied to the counts of a sensor, by its id.
    settled
        Tells whether what is asked cannot change any more.
    sensors
        Where to keep what the session tells of its sensor; None: nowhere.
    began_s
        When it began, where that was before now, on its clock.
    synced
        As of `Recording.create`.
    """

    def __init__(
        self,
        home: Home,
        logbook: Logbook,
        plan: Plan,
        clock: HostClock,
        calibration_of: Callable[[str], Calibration],
        sensors: SensorFile | None,
        settled: Callable[[], bool] = lambda: True,
        began_s: float | None = None,
        synced: bool = True,
    ) -> None:
        self.session_id = uuid4()
        self._home = home
        self._logbook = logbook
        self._plan = plan
        self._clock = clock
        self._calibration_of = calibration_of
        self._sensors = sensors
        self._settled, self._began_s, self._synced = settled, began_s, synced
        self._recording: Recording | None = None
        self._setbacks = Setbacks(clock)
        self._later = Later(logbook, clock, self._setbacks)
        self._by_key = ByKey(logbook, self._later, clock, plan.trainee.name)
        self._early: list[Arrival] = []
        self._early_events: list[Event] = []
        self._relives = False
        self._run_name = LIVE_RUN
        self._sensor_id = ""
        self._met: set[str] = set()
        self._runs = KeptRuns(logbook, self._later)
        self._closed = False

    def arrived(self, arrival: Arrival) -> None:
        """Keep raw bytes, and that a sensor was met."""
        if arrival.channel is Channel.INFO and arrival.sensor_id not in self._met:
            self._met.add(arrival.sensor_id)
            self._meet(arrival)
            self._note_calibration(arrival.sensor_id)
        if self._recording is not None:
            with self._setbacks.recording():
                self._recording.append(arrival)
            return
        self._early.append(arrival)
        if arrival.channel is Channel.INFO:
            self._sensor_id = self._sensor_id or arrival.sensor_id
        if len(self._early) >= MOST_EARLY:
            self._begin()
        else:
            self._begin_when_settled()

    def emitted(self, event: Event) -> None:
        """Keep what the motion core said."""
        self._early_events.append(event)
        if isinstance(event, BoutOpened):
            self._begin()
        self._keep_events()

    def _keep_events(self) -> None:
        while self._recording and self._early_events and not self._relives:
            event = self._early_events.pop(0)
            with self._setbacks.recording():
                self._recording.append_event(event.emitted_s, encode_event(event), self._run_name)

    def go_on(self, session_id: UUID, path: Path, runs: int) -> None:
        """Write on behind a session that was broken off; until `relived`, what is emitted is what it led to before.

        Parameters
        ----------
        runs
            How often its events were written by now.
        """
        self.session_id, self._run_name, self._relives = session_id, f"{LIVE_RUN} {runs + 1}", True
        self._recording = Recording.go_on(path, self._clock)
        self._logbook.reopen_session(session_id)

    def flush(self) -> Handed:
        """Write what waits for the log, and return what is kept.

        Raises
        ------
        LogbookError
            When it cannot be written now; nothing is changed then.
        """
        with self._logbook.hurried():
            self._later.finish()
        path = self._recording.path if self._recording else None
        session_id = self.session_id if self._recording else None
        return Handed(plan=self._plan, session_id=session_id, path=path, run=self._run_name, early=tuple(self._early))

    def let_go(self) -> None:
        """Keep nothing more: another goes on with the session, which is not closed."""
        self._closed = True
        if self._recording:
            self._recording.close()

    def relived(self) -> None:
        """Keep the events of before and of now as one answer, whole or not at all."""
        self._relives = False
        self._keep_events()
        if self._recording:
            with self._setbacks.recording():
                self._recording.commit()

    def tick(self) -> None:
        """Begin when what is asked is settled; commit what is a second old, and try again what could not be written."""
        self._begin_when_settled()
        if self._recording and not self._closed:
            with self._setbacks.recording():
                self._recording.commit_when_due()
            self._later.tick()

    def setbacks(self) -> tuple[str, ...]:
        """Return what is to be told now of what could not be written."""
        return self._setbacks.lines()

    def set_found(self, record: SetRecord, kind: RunKind, clock: ClockEstimate) -> None:
        """Keep a set as a run of this kind found it; a part of one in a run of its own: the next part holds it too."""
        if self._recording:
            self._runs.found(self.session_id, record, kind, clock)

    def said(self, what: Draft, how: str, why: Because) -> None:
        """Keep what was said of a set by key: with one that was told a session begins, as with one that was seen."""
        self._begin()
        if self._recording:
            self._by_key.said(self.session_id, what, how, why)

    def taken_back(self, what: Draft) -> None:
        """Keep that it does not hold any more."""
        if self._recording:
            self._by_key.taken_back(self.session_id, what)

    def asked_anew(self, prescription: Prescription) -> None:
        """Keep what is asked of the sets that are still to begin."""
        self._plan = replace(self._plan, prescription=prescription)
        if self._recording:
            with self._setbacks.recording():
                self._recording.note({PRESCRIPTION: prescription_to_json(prescription)})
            self._later.write(partial(self._logbook.note_asked, self.session_id, prescription))

    def ended(self, board: Board) -> tuple[str, ...]:
        """Close recording and session; return what comes next, in words."""
        if self._recording is None:
            return ()
        self._closed = True
        try:
            self._recording.close()
        finally:  # a recording that cannot be closed costs no set its place in the log
            self._later.finish()
            self._runs.settle(self.session_id, board.measured, board.clock)
            self._logbook.finish_session(self.session_id, self._clock.utc_us(), board.verdict())
        return self.next_lines()

    def next_lines(self) -> tuple[str, ...]:
        """Work out the next session from all that is in the log by now, keep it, and return it in words."""
        if self._recording is None or self._plan.rung is None:
            return ()
        log = log_of(self._logbook, self._plan.trainee)
        proposal = proposed(log, self._plan.training, day_of(self._clock.utc_us()))
        self._logbook.record_next(
            self._plan.trainee.id, proposal, made_utc_us=self._clock.utc_us(), after_session=self.session_id
        )
        return tuple(words.next_lines(proposal))

    def learnt(self, sensor_id: str, seen: Seen) -> tuple[str, ...]:
        """Merge what the still postures tell with what is known of the sensor; return it in words."""
        if self._sensors is None:
            return ()
        try:
            known = refine_known(self._sensors, sensor_id, seen, self._clock.utc_us())
        except SensorsError as error:
            return (f"what this session tells of the sensor is not kept: {error}",)
        return learnt_lines(seen, self._calibration_of(sensor_id).force, known)

    def _meet(self, arrival: Arrival) -> None:
        """Remember a sensor that says what it is; one that a file describes is called by its file."""
        if self._sensors is None or is_description(arrival.payload):
            return
        with suppress(SensorsError, ProtocolError):  # the session goes on without
            info, before = Info.from_bytes(arrival.payload), self._sensors.met().get(arrival.sensor_id)
            self._sensors.keep_met({arrival.sensor_id: met_with(before, info, self._clock.utc_us())})

    def _note_calibration(self, sensor_id: str) -> None:
        """Keep what is applied to a sensor that came once the session had begun: it may count from now on."""
        if self._recording is not None:
            applied = calibration_to_json(self._calibration_of(sensor_id))
            with self._setbacks.recording():
                self._recording.note({f"{CALIBRATION_OF}{sensor_id}": applied})

    def _begin_when_settled(self) -> None:
        if self._sensor_id and not self._closed and self._settled():
            self._begin()

    def _begin(self) -> None:
        if self._recording is not None or not self._sensor_id:
            return
        plan, sensor_id = self._plan, self._sensor_id
        path = self._home.recording(self.session_id)
        meta, own = meta_of(plan, self._calibration_of(sensor_id)), self.session_id
        self._recording = Recording.create(path, session_id=own, clock=self._clock, meta=meta, synced=self._synced)
        for arrival in self._early:
            with self._setbacks.recording():
                self._recording.append(arrival)
        self._early.clear()
        self._keep_events()
        ago_s = 0.0 if self._began_s is None else self._clock.now_s() - self._began_s
        self._later.write(partial(self._start, path.name, sensor_id, self._clock.utc_us() - round(ago_s * 1e6)))

    def _start(self, recording: str, sensor_id: str, began_utc_us: int) -> None:
        """Begin the session in the log."""
        plan = self._plan
        self._logbook.keep_trainee(plan.trainee)
        self._logbook.start_session(
            session_id=self.session_id,
            trainee=plan.trainee.id,
            station=self._logbook.station(),
            started_utc_us=began_utc_us,
            prescription=plan.prescription,
            mount=plan.mount,
            sensor=sensor_id,
            recording=recording,
            rung=plan.rung,
            method=plan.method,
            set_up=plan.set_up,
            day=day_of(began_utc_us),
            demo=plan.demo,
            place=plan.place,
        )
