"""Mends a session on the spot: another takes its place, and takes again what was recorded, so that nothing is lost.

What came is in the recording, or in memory as long as nothing had to be recorded; sets, rest and clocks of the new
session follow from it as if it had been right from the beginning, and what comes meanwhile waits its turn.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from analysis.motion.mounts import Mount
from analysis.training.corrections import Because
from analysis.training.statements import Worn
from sensor.recording import Recording
from sensor.source import Arrival, Channel, LinkState
from tui.home import day_of
from tui.mending.key_wishes import Wish
from tui.session.control import Feed
from tui.session.keeping import Handed
from tui.session.opening import Opening
from tui.session.plans import Plan, worn_at
from tui.session.session import Session
from tui.session.stored import prescription_to_json, view_to_json
from tui.words.mount_words import MOUNT_NAMES

if TYPE_CHECKING:
    from tui.mending.going_on import BrokenOff, Kept


def worn_today(plan: Plan, now_utc_us: int) -> Worn | None:
    """Return what is to be said of where the sensor sits, for next time; None outside the ladder."""
    number = plan.training.ladder.number(plan.rung) if plan.rung else None
    if plan.rung is None or number is None:
        return None
    asked = plan.training.ladder.rungs[number].exercise.mount
    return Worn(said_utc_us=now_utc_us, day=day_of(now_utc_us), rung=plan.rung, mount=plan.mount, asked=asked)


def _handed(session: Session) -> Handed:
    """Write what waits for the log, and return what is kept of a session: nothing is changed yet."""
    assert session.keeper is not None  # a replay is not mended
    return session.keeper.flush()


def _arrivals(path: Path) -> list[Arrival]:
    with Recording.open(path) as recording:
        return list(recording.arrivals())


def _away(before: Sequence[Arrival], after: Sequence[Arrival]) -> tuple[Arrival, ...]:
    """Return that the sensor of before was away until something came again."""
    counts = next((one.sensor_id for one in before if one.channel is Channel.INFO), None)
    if counts is None or not after:
        return ()
    return (Arrival(counts, after[0].at_s, Channel.LINK, LinkState.AWAY.value.encode()),)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mending:
    """Makes the sessions that take another's place.

    Attributes
    ----------
    opening
        Begins sessions.
    chosen
        Told a plan with the sensor where it sits after all, so that it is known next time.
    """

    opening: Opening
    chosen: Callable[[Plan], None] = lambda _: None

    def worn_on(self, session: Session, mount: Mount, feed: Feed) -> Session:
        """Return the session as if the sensor had sat there from the beginning.

        Both answers stay in the log, and the recording says from now on where the sensor sat, so that a replay and
        whoever goes on with it read it alike.

        Raises
        ------
        LogbookError
            When the log cannot be written now; nothing is changed then.
        """
        handed = _handed(session)
        plan = worn_at(mount, handed.plan)
        here = f"read again, with the sensor on the {MOUNT_NAMES[mount]}"
        if handed.session_id is None or handed.path is None:
            session.let_go()
            self.chosen(plan)
            return self._anew(handed, plan, feed, here)
        with self.opening.logbook.hurried():
            self.opening.logbook.note_mount(handed.session_id, mount, plan.place, plan.prescription)
        session.let_go()
        self.chosen(plan)
        with Recording.go_on(handed.path, self.opening.clock) as recording:
            recording.note(
                {
                    f"mount of {handed.run}": handed.plan.mount.value,
                    "mount": mount.value,
                    "prescription": prescription_to_json(plan.prescription),
                    "view": view_to_json(plan.view),
                }
            )
        return self._kept.again(handed.session_id, handed.path, plan, feed, here=here)

    def belongs_to(self, session: Session, name: str, feed: Feed) -> Session:
        """Return a session of somebody else's that takes all that was recorded in this one, as its own.

        It is judged by what is asked of that one. In the first one's every set is left out, with the reason; it keeps
        its recording.

        Raises
        ------
        LogbookError
            When the log cannot be written now; nothing is changed then.
        Trouble
            When nothing may be asked of that one today; nothing is changed then.
        """
        plan, handed = self.opening.plan_for(name), _handed(session)
        here = f"this session is {name}'s"
        if handed.session_id is None or handed.path is None:
            session.let_go()
            return self._anew(handed, plan, feed, here)
        wishes = self._kept.wishes(handed.session_id, handed.path)
        session.leave_to(f"all of it was {name}'s:", Because.SOMEBODY_ELSE)
        past = _arrivals(handed.path)
        theirs = self.opening.open_plan(plan, feed, began_s=past[0].at_s)
        theirs.after(past, wishes, here=here, keep=True)
        return theirs

    def joins(self, session: Session, broken: BrokenOff, plan: Plan, feed: Feed) -> Session:
        """Return the session that was broken off with all that was recorded since in this one, which keeps no set.

        Raises
        ------
        LogbookError
            When the log cannot be written now; nothing is changed then.
        """
        handed = _handed(session)
        wishes: Sequence[Wish] = ()
        began = datetime.fromtimestamp(broken.record.started_utc_us / 1e6, UTC).astimezone()
        if handed.session_id is None or handed.path is None:
            session.let_go()
            past: Sequence[Arrival] = handed.early
        else:
            wishes = self._kept.wishes(handed.session_id, handed.path)
            session.leave_to(f"it joined the session of {began:%H:%M}:", Because.OTHER)
            past = _arrivals(handed.path)
        here = "gone on with, and what was done since has joined it"
        before = _arrivals(broken.path)
        whole = self._kept.again(broken.record.session_id, broken.path, plan, feed, here=here)
        whole.after((*_away(before, past), *past), wishes, here=here, keep=True)
        return whole

    def _anew(self, handed: Handed, plan: Plan, feed: Feed, here: str) -> Session:
        """Return a new session that takes what came so far, of which nothing is recorded yet."""
        session = self.opening.open_plan(plan, feed)
        session.after(handed.early, here=here, keep=True)
        return session

    @property
    def _kept(self) -> Kept:
        from tui.mending.going_on import Kept  # late: it needs replays, and those need live runs

        opening = self.opening
        return Kept(home=opening.home, logbook=opening.logbook, clock=opening.clock, sensors=opening.sensors)
