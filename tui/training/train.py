"""`rungwise train`: a real sensor, today's prescription, the live dashboard, the log."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import AbstractAsyncContextManager
from datetime import date
from functools import partial

from analysis.logbook.book import Logbook
from analysis.motion.mounts import Mount
from analysis.training.statements import Statement
from sensor.source import HostClock, Source
from tui.home import Home, day_of
from tui.mending.going_on import BrokenOff, LaterClock, broken_off, gone_on_with
from tui.mending.mending import Mending, worn_today
from tui.questions.asking import Asking
from tui.questions.each_asked import EachAsked
from tui.sensors.sensors import SensorFile
from tui.session.control import Feed
from tui.session.opening import Opening
from tui.session.plans import (
    Plan,
    as_test,
    in_turn_with,
    todays_plan,
    with_hangs,
    with_reference,
)
from tui.session.session import Session
from tui.share.now import UNASKED, Felt
from tui.training.live import TICK_S, LiveRun
from tui.trouble import Trouble, clear_errors
from tui.wanted import Wanted


def refusal(plan_for: Callable[[str], Plan], who: str) -> str:
    """Say on one line why somebody cannot train today; empty where nothing is against it."""
    try:
        with clear_errors():
            plan_for(who)
    except Trouble as trouble:
        return trouble.format_message().split("\n")[0]  # below it stands what to type, later
    return ""


class Training:
    """One trainee's training, before a sensor is looked for.

    Parameters
    ----------
    open_source
        Opens where the arrivals come from, with the session's clock.
    asks
        Whether there is somebody to answer questions; then a session that was broken off can be gone on with, too.
    shares
        Others train beside them: what was not begun with a set leaves nothing behind.

    Attributes
    ----------
    ahead_s
        By how much the seconds of the session are ahead of those of the clock that was given.
    run
        The session to run.
    asking
        The questions to the first; None where nobody answers any.
    asked
        The questions to whoever has the bar; None where nobody answers any.
    """

    def __init__(
        self,
        home: Home,
        logbook: Logbook,
        clock: HostClock,
        name: str,
        wanted: Wanted,
        *,
        open_source: Callable[[HostClock], AbstractAsyncContextManager[Source]],
        asks: bool,
        shares: bool = False,
    ) -> None:
        broken = broken_off(home, logbook, name, day_of(clock.utc_us())) if asks else None
        later = LaterClock(clock, broken.path) if broken else None
        self.ahead_s = later.ahead_s if later else 0.0
        clock = later or clock
        self._home, self._logbook, self._clock = home, logbook, clock
        self._name, self._wanted = name, wanted
        self._mounts: dict[str, Mount] = {}
        self._each: dict[str, Asking] = {}
        self.asking = self._ask(name, broken) if asks else None
        self._opening = Opening(
            home=home,
            logbook=logbook,
            clock=clock,
            plan_for=self._plan_for,
            sensors=SensorFile(home.sensors),
            settled=lambda who: not shares and (self.asking is None or self._asking_of(who).is_settled),
        )
        self.mending = Mending(opening=self._opening, chosen=self._sits_on)
        self.run = LiveRun(
            open_source=lambda: open_source(clock),
            clock=clock,
            open_session=self._open_session,
            trainees=(name,),
            refusal=lambda who: refusal(self._plan_for, who),
            mending=lambda _: self.mending,
        )
        if self.asking:
            self.asking.attend(self.run)
        self.asked = EachAsked(self._asking_of, self._each, self.run) if asks else None

    def _ask(self, who: str, broken: BrokenOff | None) -> Asking:
        self._each[who] = Asking(
            home=self._home,
            logbook=self._logbook,
            clock=self._clock,
            name=who,
            plan_for=partial(self._prescribed, who),
            chosen=self._mounts.get(who, self._wanted.mount),
            broken=broken,
        )
        return self._each[who]

    def _asking_of(self, who: str) -> Asking:
        """Return the questions to somebody: who gets the bar by a key is asked as the first one was."""
        if who not in self._each:
            self._ask(who, None).attend(self.run)
        return self._each[who]

    async def drive(self, feed: Feed) -> None:
        """Run the session, as soon as there is one: pain of days before may have settled by what is answered now."""
        while self.asking and self.asking.is_refused and not self.run.is_stopping:
            await self._clock.sleep(TICK_S)
        if not self.run.is_stopping:
            await self.run.run(feed)

    def _open_session(self, who: str, feed: Feed) -> Session:
        goes_on = self._asking_of(who).goes_on if self.asking else None
        if goes_on is None:
            return self._opening.open_session(who, feed)
        return gone_on_with(
            goes_on,
            self._plan_for(who),
            feed,
            home=self._home,
            logbook=self._logbook,
            clock=self._clock,
            sensors=SensorFile(self._home.sensors),
        )

    def begins(self, feed: Feed) -> Session:
        """Begin the session, or go on with the one that was broken off."""
        return self._open_session(self._name, feed)

    def refusal(self) -> str:
        """Say on one line why the trainee cannot train today; empty where nothing is against it."""
        return refusal(self._plan_for, self._name)

    def felt(self, who: str) -> Felt:
        """Return what somebody said of themselves today."""
        asking = self._each.get(who)
        return Felt(asking.pain, asking.follows[0] if asking.is_refused else "") if asking else UNASKED

    def today(self) -> date:
        """Return the day, where the trainee is."""
        return day_of(self._clock.utc_us())

    def _sits_on(self, plan: Plan) -> None:
        """Take note where somebody's sensor sits after all, for now and for next time."""
        who, said = plan.trainee.name, worn_today(plan, self._clock.utc_us())
        self._mounts[who] = plan.mount
        if self.asking:
            self._asking_of(who).chosen = plan.mount
        if said and self.asking:
            self._asking_of(who).say(said)
        elif said and self._logbook.trainee(who):
            self._logbook.say(plan.trainee.id, said)

    def _prescribed(self, who: str, said: Sequence[Statement] = ()) -> Plan:
        mount = self._mounts.get(who, self._wanted.mount)
        return todays_plan(self._home, self._logbook, who, self.today(), mount, self._wanted.place, said)

    def _plan_for(self, who: str) -> Plan:
        plan = self._asking_of(who).plan if self.asking else self._prescribed(who)
        if self.asking and self._asking_of(who).goes_on:
            return plan  # as it was begun
        plan = with_hangs(self._wanted.hang_s, with_reference(self._logbook, plan))
        return in_turn_with(self._wanted.superset, as_test(self._wanted.test, plan))
