"""A recorded session again, with the events as they were emitted.

The arrivals go through the same session as live ones did; only the motion core is replaced by what it said then.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from analysis.motion.events import Event
from analysis.motion.mounts import Mount
from analysis.motion.samples import Samples
from analysis.training.view import NOTHING, View
from sensor.calibration import Calibration
from sensor.playback import Playback
from sensor.recording import Recording
from sensor.recording_file import RecordingError
from tui.expected import EXPECTED
from tui.replay.replay_clock import ReplayClock
from tui.replay.spans import spans_of
from tui.session.board import Board
from tui.session.control import Feed, PlayState, Span
from tui.session.messages import Moment, Snapshot
from tui.session.session import Session
from tui.session.stored import (
    CALIBRATION_OF,
    calibration_from_json,
    decode_event,
    prescription_from_json,
    view_from_json,
)
from tui.session.track import Track, motion_for
from tui.training.live import TICK_S
from tui.trouble import Trouble

FRAME_S = 0.05
"""Real seconds between two pictures."""


class StoredMotion:
    """What the motion core said, given out again when the samples that caused it come (`tui.session.track.Motion`)."""

    def __init__(self, events: list[Event]) -> None:
        self._events = events
        self._next = 0

    def push_live(self, samples: Samples) -> list[Event]:
        """Return the events that had been caused when these samples came."""
        until_s = float(samples.t_s[-1])
        first = self._next
        while self._next < len(self._events) and self._events[self._next].emitted_s <= until_s:
            self._next += 1
        return self._events[first : self._next]

    def settle(self, samples: Samples) -> list[Event]:
        """Return nothing: the events are told in the order in which they were emitted."""
        return []

    def part(self) -> list[Event]:
        """Return nothing: what this caused was emitted with the last samples."""
        return []

    def finish(self) -> list[Event]:
        """Return what is left: the events that the end of the stream caused."""
        first, self._next = self._next, len(self._events)
        return self._events[first:]


class Muffled:
    """A feed that can be silenced, for the way to where a seek goes."""

    def __init__(self, feed: Feed) -> None:
        self._feed = feed
        self.silent = False

    def post_snapshot(self, snapshot: Snapshot) -> None:
        """Pass it on, unless silent."""
        if not self.silent:
            self._feed.post_snapshot(snapshot)

    def post_moment(self, moment: Moment) -> None:
        """Pass it on, unless silent."""
        if not self.silent:
            self._feed.post_moment(moment)


class ReplayRun:
    """A recording that is being played (`tui.session.control.ReplayControl`).

    Parameters
    ----------
    recording
        What to play.
    speed
        Seconds of the recording in one real second.
    stay
        Wait at the end (dashboard) instead of returning (text).
    """

    def __init__(self, recording: Recording, *, speed: float, stay: bool) -> None:
        arrivals = list(recording.arrivals())
        if not arrivals:
            raise RecordingError(f"{recording.path}: holds no packets; the session ended before a sensor was found")
        self._recording = recording
        self._events = stored_events(recording)
        self._began_s, self._ended_s = arrivals[0].at_s, arrivals[-1].at_s
        self._clock = ReplayClock(at_s=self._began_s, end_s=self._ended_s, speed=speed)
        self._from_s = self._began_s
        self._stay = stay
        self._seeking = asyncio.Event()
        track = Track(StoredMotion([]))
        for arrival in arrivals:
            track.push(arrival)
        self.spans: tuple[Span, ...] = spans_of(arrivals, self._events, track.clock, self._began_s)

    async def run(self, feed: Feed) -> None:
        """Play until the end, or for ever where the picture shall stay."""
        self._clock.start()
        while True:
            self._seeking.clear()
            playing = asyncio.create_task(self._play(feed))
            seeking = asyncio.create_task(self._seeking.wait())
            try:
                await asyncio.wait({playing, seeking}, return_when=asyncio.FIRST_COMPLETED)
            finally:
                playing.cancel()
                seeking.cancel()
                results = await asyncio.gather(playing, seeking, return_exceptions=True)
            if isinstance(results[0], Exception):
                raise results[0]
            if not self._seeking.is_set():
                return

    def pause(self) -> None:
        """Hold the picture."""
        self._clock.pause()

    def resume(self) -> None:
        """Go on from here; from the end, from the start."""
        if self.state.position_s >= self.state.duration_s:
            self.seek(0.0)
        self._clock.resume()

    def seek(self, position_s: float) -> None:
        """Go to a place of the recording."""
        self._from_s = self._began_s + position_s
        self._clock.jump(self._from_s)
        self._seeking.set()

    def set_speed(self, speed: float) -> None:
        """Play `speed` seconds of the recording a second."""
        self._clock.set_speed(speed)

    @property
    def state(self) -> PlayState:
        """Where the replay stands."""
        here_s = self._clock.now_s()
        return PlayState(
            position_s=here_s - self._began_s,
            duration_s=self._ended_s - self._began_s,
            speed=self._clock.speed,
            playing=self._clock.playing and here_s < self._ended_s,
        )

    async def _play(self, feed: Feed) -> None:
        """Play from where the last seek went: in silence up to there, then at the clock's pace."""
        here_s = self._from_s
        muffled = Muffled(feed)
        session = self._session(muffled)
        muffled.silent = here_s > self._began_s
        session.begin()
        for arrival in self._recording.arrivals():
            if arrival.at_s >= here_s:
                break
            session.handle(arrival)
        self._clock.jump(here_s)  # the way to here took a while, and was none of the recording's time
        muffled.silent = False
        async with asyncio.TaskGroup() as tasks:
            passing = tasks.create_task(self._draw(session) if self._stay else self._let_time_pass(session))
            async for arrival in Playback(self._recording, self._clock, from_s=here_s - self._began_s):
                session.handle(arrival)
            session.end()
            if not self._stay:
                passing.cancel()

    async def _draw(self, session: Session) -> None:
        while True:
            session.tick()
            await asyncio.sleep(FRAME_S)

    async def _let_time_pass(self, session: Session) -> None:
        """Tell what comes by time alone, as often as the live session did."""
        while True:
            await self._clock.sleep(TICK_S)
            session.tick()

    def _session(self, feed: Feed) -> Session:
        track = Track(StoredMotion(self._events))
        return Session(track=track, board=recorded_board(self._recording, self._began_s), clock=self._clock, feed=feed)


def recorded_board(recording: Recording, began_s: float) -> Board:
    """Return an empty board as the recorded session began with."""
    meta = recording.meta
    return Board(
        trainee=meta.get("trainee", ""),
        prescription=prescription_from_json(meta.get("prescription", "")),
        began_s=began_s,
        view=known_view(recording),
    )


def known_view(recording: Recording) -> View:
    """Return what was known beside the motion then."""
    return view_from_json(recording.meta["view"]) if "view" in recording.meta else NOTHING


def stored_events(recording: Recording) -> list[Event]:
    """Return the events that were emitted live; of a session that was gone on with, those of all of it."""
    stored = list(recording.events())
    return [decode_event(one.body) for one in stored if one.run == stored[-1].run]


def applied_calibration(recording: Recording) -> Calibration:
    """Return what was applied to the sensor's counts then, whatever has been learnt since."""
    text = recording.meta.get("calibration")
    return Calibration() if text is None else calibration_from_json(text)


def applied_to(recording: Recording) -> Callable[[str], Calibration]:
    """Return what was applied to the counts of each sensor, by its id: one that came later has an entry of its own."""
    meta, first = recording.meta, applied_calibration(recording)

    def of(sensor_id: str) -> Calibration:
        text = meta.get(f"{CALIBRATION_OF}{sensor_id}")
        return first if text is None else calibration_from_json(text)

    return of


def recomputed_events(recording: Recording) -> list[Event]:
    """Analyse the raw packets again, in the order in which they arrived, with the calibration applied then."""
    asked = prescription_from_json(recording.meta["prescription"])
    track = Track(motion_for(Mount(recording.meta["mount"]), asked), applied_to(recording))
    events = [event for arrival in recording.arrivals() for event in track.push(arrival)]
    return events + track.finish()


@contextmanager
def as_written(path: Path) -> Iterator[None]:
    """Turn what no session would have written (a changed file) into one line."""
    try:
        yield
    except EXPECTED:
        raise
    except (KeyError, ValueError) as error:
        raise Trouble(f"{path}: holds something that no session wrote ({error}); use a copy of the file") from error
