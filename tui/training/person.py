"""Somebody who trains now: a session, and the arrivals that are on their way to it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from analysis.training.prescription import Changed
from analysis.training.records import SetRecord
from sensor.source import Arrival, Channel, HostClock, LinkState
from tui.mending.again import AT_ONCE
from tui.mending.standing import Standing
from tui.session.messages import Snapshot, Stage
from tui.session.session import Session


class Person:
    """Gives a session its arrivals in their order; while it takes again what was before, they wait.

    Parameters
    ----------
    name
        Whose session it is.
    session
        Not begun yet.
    clock
        That of the arrivals.
    ahead_s
        By how much the seconds of the session's clock are ahead of it.
    """

    def __init__(self, name: str, session: Session, clock: HostClock, ahead_s: float = 0.0) -> None:
        self.name, self.session = name, session
        self.shown: Snapshot | None = None
        """The newest that the session told."""
        self._clock, self._ahead_s = clock, ahead_s
        self._standing: Standing | None = None
        self._given_s = float("-inf")
        self._sensor_id = ""
        """The sensor that counts: the first that says what it is."""

    def begin(self, latest: Iterable[Arrival]) -> None:
        """Begin on a sensor that may be there already.

        Parameters
        ----------
        latest
            What the sensors said of themselves last: a new recording must make sense by itself, and begin now.
        """
        self.session.begin()
        if self.session.has_past:
            self.session.remark("reading what was done so far")
        self._stands(self.session)
        self._meet(latest)

    def go_on_as(self, session: Session) -> None:
        """Go on with another session in the place of this one; it takes again what was before."""
        self.session = session
        self._stands(session)
        session.remark("one moment: what was recorded is read again")

    def _stands(self, session: Session) -> None:
        """Let the picture of now go on by time alone until a session has taken again what was before."""
        shown = self.shown if session.has_past else None
        self._standing = Standing(replace(shown, trainee=self.name), self._clock.now_s()) if shown else None

    @property
    def picture(self) -> Snapshot | None:
        """What is shown as long as what was before is read again; None where the session itself knows."""
        if self._standing is None or not self.session.has_past:
            return None
        return self._standing.picture(self._clock.now_s(), self.session.again.share)

    @property
    def stage(self) -> Stage:
        """Where the session stands, as it is shown."""
        standing = self.picture
        return standing.stage if standing else self.session.board.stage

    def give(self, arrival: Arrival) -> None:
        """Take one arrival, as soon as those before it are taken; nothing once the session is closed."""
        if not self.session.board.ended:
            self.session.handle(self._shifted(arrival))

    def catch_up(self, arrivals: Iterable[Arrival]) -> None:
        """Take what came a while ago, a few at a time (`work_off`)."""
        if not self.session.board.ended:
            self.session.catch_up(self._shifted(one) for one in arrivals)

    def lend(self) -> None:
        """Take note that what the sensor does from now on is somebody else's."""
        if self._sensor_id:
            self.give(Arrival(self._sensor_id, self._clock.now_s(), Channel.LINK, LinkState.LENT.value.encode()))

    def _shifted(self, arrival: Arrival) -> Arrival:
        match arrival.channel:
            case Channel.DATA:
                self._given_s = max(self._given_s, arrival.at_s)
            case Channel.INFO:
                self._sensor_id = self._sensor_id or arrival.sensor_id
        return replace(arrival, at_s=arrival.at_s + self._ahead_s) if self._ahead_s else arrival

    @property
    def given_s(self) -> float:
        """When the last motion came that was given to them, by the clock of the arrivals; minus infinity: none was."""
        return self._given_s

    @property
    def last_set(self) -> SetRecord | None:
        """The last set that was found, whatever was said of it."""
        return self.session.board.measured[-1] if self.session.board.measured else None

    def ask_anew(self, changed: Changed) -> None:
        """Ask of the sets that are still to begin what a coach changed; of all, where none was done."""
        board, now_s = self.session.board, self._clock.now_s() + self._ahead_s
        begun = bool(board.measured) or board.stage is Stage.SET
        holds = replace(changed, from_s=board.clock.to_device(now_s) if begun else None)
        asked = replace(board.prescription, changes=(*board.prescription.changes, holds))
        board.ask_anew(asked)
        if self.session.keeper:
            self.session.keeper.asked_anew(asked)

    def host_s(self, at_s: float) -> float:
        """Return a time of the session's motion on the clock of the arrivals."""
        return self.session.board.clock.to_host(at_s) - self._ahead_s

    def tell_set(self, count: int, ended_s: float, how: str) -> bool:
        """Count a set of theirs that their own sensor did not see; return whether that can be told now.

        Parameters
        ----------
        ended_s
            When it was over, on the clock of the arrivals.
        how
            In words, how that is known.
        """
        return self.session.tell_set(count, ended_s + self._ahead_s, how)

    @property
    def is_busy(self) -> bool:
        """Whether arrivals wait."""
        return self.session.is_behind

    def work_off(self) -> None:
        """Take a few of the arrivals that wait."""
        self.session.relive(AT_ONCE)

    def _meet(self, latest: Iterable[Arrival]) -> None:
        now_s = self._clock.now_s()
        for arrival in latest:
            self.session.handle(self._shifted(replace(arrival, at_s=now_s)))
