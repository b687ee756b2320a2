"""Begins sessions: puts keeper, track and board together for one trainee's plan."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from analysis.logbook.book import Logbook
from sensor.source import HostClock
from tui.home import Home
from tui.sensors.sensors import SensorFile, calibration_of
from tui.session.board import Board
from tui.session.control import Feed
from tui.session.keeper import SessionKeeper
from tui.session.plans import Plan
from tui.session.session import Session
from tui.session.track import Track, motion_for
from tui.training.unwatched import UnwatchedSession, UnwatchedTrack


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """What every session of a run has in common.

    Attributes
    ----------
    plan_for
        Gives the plan of a trainee, by name.
    sensors
        What is known of the sensors, to be applied and added to; None where the motion is another sensor's than the
        one that sends it.
    settled
        Tells whether what is asked of a trainee cannot change any more.
    watched
        Whether anybody looks on; else there is the refined answer alone, for a fraction of the work.
    """

    home: Home
    logbook: Logbook
    clock: HostClock
    plan_for: Callable[[str], Plan]
    sensors: SensorFile | None
    settled: Callable[[str], bool] = lambda _: True
    watched: bool = True

    def open_session(self, trainee: str, feed: Feed) -> Session:
        """Begin a session for `trainee`."""
        return self.open_plan(self.plan_for(trainee), feed)

    def open_plan(self, plan: Plan, feed: Feed, began_s: float | None = None) -> Session:
        """Begin a session as planned.

        Parameters
        ----------
        began_s
            When it began, where that was before now, on its clock.
        """
        board = Board(
            trainee=plan.trainee.name,
            prescription=plan.prescription,
            began_s=self.clock.now_s() if began_s is None else began_s,
            cautions=plan.cautions,
            view=plan.view,
        )
        known = partial(calibration_of, self.sensors.read() if self.sensors else {})
        motion = motion_for(plan.mount, plan.prescription, live=self.watched)
        track = (Track if self.watched else UnwatchedTrack)(motion, known)
        keeper = SessionKeeper(
            self.home,
            self.logbook,
            plan,
            self.clock,
            known,
            self.sensors,
            partial(self.settled, plan.trainee.name),
            began_s,
            synced=self.watched,
        )
        session = Session if self.watched else UnwatchedSession
        return session(track=track, board=board, clock=self.clock, feed=feed, keeper=keeper)
