"""Goes on with a session that was broken off: the same session, as if the sensor had been lost meanwhile.

What was recorded is taken again, so set count, rest and clocks stand where they stood, and what comes now is written
behind it: one session for verdict, next session, replay and export.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from uuid import UUID

from analysis.logbook.book import Logbook
from analysis.training.corrections import Correction
from analysis.training.pointing import Draft
from analysis.training.records import SessionRecord, Source
from sensor.calibration import Calibration
from sensor.recording import Anchor, Recording
from sensor.recording_file import RecordingError
from sensor.source import Channel, HostClock
from tui.home import Home
from tui.mending.by_key import said_by_key
from tui.mending.key_wishes import Wish
from tui.replay.replay import applied_to, known_view
from tui.sensors.sensors import SensorFile, calibration_of
from tui.session.board import Board
from tui.session.control import Feed
from tui.session.keeper import SessionKeeper
from tui.session.plans import Plan, done_by, log_of, proposed, trainee_called, training_for
from tui.session.session import Session
from tui.session.track import Track, motion_for


@dataclass(frozen=True, slots=True)
class BrokenOff:
    """A session of today with sets still to do.

    Attributes
    ----------
    path
        Its recording.
    """

    record: SessionRecord
    path: Path


class LaterClock:
    """A clock whose seconds go on from those of a recording (`sensor.source.HostClock`).

    Parameters
    ----------
    clock
        Today's.
    path
        The recording; its wall-clock anchors tell how long ago it was.

    Attributes
    ----------
    ahead_s
        By how much its seconds are ahead of those of `clock`.
    """

    def __init__(self, clock: HostClock, path: Path) -> None:
        self._clock = clock
        with Recording.open(path) as recording:
            anchor, (_, last_s) = recording.anchors()[-1], recording.span_s
        later_s = anchor.at_s + (clock.utc_us() - anchor.utc_us) / 1e6
        self.ahead_s = max(later_s, last_s) - clock.now_s()

    def now_s(self) -> float:
        """Return seconds on the recording's scale."""
        return self._clock.now_s() + self.ahead_s

    def utc_us(self) -> int:
        """Return the wall-clock time."""
        return self._clock.utc_us()

    async def sleep(self, duration_s: float) -> None:
        """Wait."""
        await self._clock.sleep(duration_s)


def broken_off(home: Home, logbook: Logbook, name: str, today: date) -> BrokenOff | None:
    """Return the last session of a trainee with a set where it is of today, with sets still to do; else None."""
    done = [one for one in done_by(logbook, trainee_called(logbook, name)) if one.sets]
    last = done[-1] if done else None
    if last is None or last.day != today or last.source is not Source.SENSOR or not last.recording or last.demo:
        return None
    path = home.recording(last.session_id)
    if len(last.sets) >= last.prescription.sets or not _is_whole(path):
        return None
    return BrokenOff(last, path)


def _is_whole(path: Path) -> bool:
    try:
        with Recording.open(path) as recording:
            return bool(recording.anchors()) and "prescription" in recording.meta
    except RecordingError:
        return False


def plan_of(home: Home, logbook: Logbook, name: str, broken: BrokenOff) -> Plan:
    """Return what that session was asked to do."""
    record, trainee = broken.record, trainee_called(logbook, name)
    log = log_of(logbook, trainee)
    training = training_for(home, trainee, log)
    with Recording.open(broken.path) as recording:
        view = known_view(recording)
    return Plan(
        trainee=trainee,
        prescription=record.prescription,
        mount=record.mount,
        rung=record.rung,
        training=training,
        method=record.method,
        cautions=proposed(log, training, record.day).cautions,
        place=record.place,
        set_up=record.set_up,
        reference_m=view.reference_m,
    )


def gone_on_with(
    broken: BrokenOff, plan: Plan, feed: Feed, *, home: Home, logbook: Logbook, clock: HostClock, sensors: SensorFile
) -> Session:
    """Return the session with all that was recorded still to be taken again (`Session.relive`).

    Parameters
    ----------
    clock
        Its seconds go on from those of the recording (`LaterClock`).
    """
    kept = Kept(home=home, logbook=logbook, clock=clock, sensors=sensors)
    return kept.again(broken.record.session_id, broken.path, plan, feed)


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """Where sessions are kept, and how one of them goes on.

    Attributes
    ----------
    sensors
        Where to keep what the session tells of its sensor; None: nowhere.
    """

    home: Home
    logbook: Logbook
    clock: HostClock
    sensors: SensorFile | None

    def again(self, session_id: UUID, path: Path, plan: Plan, feed: Feed, *, here: str = "") -> Session:
        """Return a session with all that was recorded still to be taken again.

        Parameters
        ----------
        here
            As of `Session.after`.
        """
        with Recording.open(path) as recording:
            past, applied = list(recording.arrivals()), self._calibration_of(recording)
            runs = len({one.run for one in recording.events()})
        board = Board(
            trainee=plan.trainee.name,
            prescription=plan.prescription,
            began_s=past[0].at_s if past else self.clock.now_s(),
            cautions=plan.cautions,
            view=plan.view,
        )
        keeper = SessionKeeper(self.home, self.logbook, plan, self.clock, applied, self.sensors)
        keeper.go_on(session_id, path, runs)
        track = Track(motion_for(plan.mount, plan.prescription), applied)
        session = Session(track=track, board=board, clock=self.clock, feed=feed, keeper=keeper)
        session.after(past, self.wishes(session_id, path), here=here)
        return session

    def _calibration_of(self, recording: Recording) -> Callable[[str], Calibration]:
        """Return what is applied to each sensor: as it was to those that are in it, as is known now to others."""
        then, known = applied_to(recording), self.sensors.read() if self.sensors else {}
        met = {one.sensor_id for one in recording.arrivals() if one.channel is Channel.INFO}
        return lambda sensor_id: then(sensor_id) if sensor_id in met else calibration_of(known, sensor_id)

    def wishes(self, session_id: UUID, path: Path) -> list[Wish]:
        """Return what keys said of its sets and still holds, in order of time."""
        with Recording.open(path) as recording:
            anchor = recording.anchors()[0]
        return [_wish(one, anchor) for one in said_by_key(self.logbook.corrections(session_id))]


def _wish(made: Correction, anchor: Anchor) -> Wish:
    """Return when, on the recording's scale, a key asked for what."""
    at_s = anchor.at_s + (made.made_utc_us - anchor.utc_us) / 1e6
    return Wish(at_s, Draft(made.kind, made.start_s, made.end_s, made.value))
