"""Runs a live session: pumps a source into sessions, lets time pass, and answers the keys."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Sequence
from contextlib import AbstractAsyncContextManager
from typing import TYPE_CHECKING

from analysis.logbook.errors import LogbookError
from analysis.logbook.people import name_key
from analysis.motion.mounts import Mount
from sensor.source import HostClock, Source
from tui.mending.mending import Mending
from tui.session.control import Feed
from tui.session.messages import Stage
from tui.session.plans import Plan
from tui.session.session import Session
from tui.training.bar import CATCH_UP_S, Bar, MakeRoute
from tui.training.person import Person

if TYPE_CHECKING:
    from tui.mending.going_on import BrokenOff

TICK_S = 0.1
"""How often the screen is refreshed by time alone, session seconds."""

READING_S = 0.002
"""How often it is asked for what a thread reads: its processor is shared with the screen, real seconds."""

OpenSource = Callable[[], AbstractAsyncContextManager[Source]]
OpenSession = Callable[[str, Feed], Session]
"""Begins a session for a trainee, by name."""


class LiveRun:
    """A source, and sessions on it: one after another, or several people's at once (`tui.session.control.LiveControl`).

    Parameters
    ----------
    open_source
        Opens where the arrivals come from.
    clock
        The session's clock.
    open_session
        Begins a session for a trainee.
    trainees
        Whose session is first; of several, the order of their turns.
    refusal
        Says why somebody cannot get the bar (pain, a plan that cannot be read); empty: nothing is against it.
    route
        Tells whose an arrival is, where several train at once; None: one does.
    ahead_s
        By how much the seconds of somebody's session are ahead of those of `clock`, by name.
    mending
        Mends a session of somebody's on the spot; None: nobody can.
    """

    def __init__(
        self,
        *,
        open_source: OpenSource,
        clock: HostClock,
        open_session: OpenSession,
        trainees: Sequence[str],
        refusal: Callable[[str], str] = lambda _: "",
        route: MakeRoute | None = None,
        ahead_s: Callable[[str], float] = lambda _: 0.0,
        mending: Callable[[str], Mending] | None = None,
    ) -> None:
        self._open_source = open_source
        self._clock = clock
        self._refusal, self._mending = refusal, mending

        def open_person(name: str, feed: Feed) -> Person:
            return Person(name, open_session(name, feed), clock, ahead_s(name))

        self.bar = Bar(trainees, clock, open_person, refusal, route)
        self._stopping = asyncio.Event()
        self._over = False
        self._failure: Exception | None = None
        self._next_trainee: tuple[str, float] | None = None
        """Who gets the bar once what is on its way has come, and when at the latest."""

    async def run(self, feed: Feed) -> None:
        """Run until the source ends or someone stops it; the log is complete when this returns, however it returns."""
        self.bar.begin(feed)
        tasks = [asyncio.create_task(one) for one in (self._pump(), self._stopping.wait(), self._let_time_pass())]
        try:
            done, _ = await asyncio.wait(tasks, return_when=asyncio.FIRST_COMPLETED)
            if self._stopping.is_set() and self._failure is None:
                await self._catch_up()
        finally:
            for task in tasks:
                task.cancel()
            await asyncio.gather(*tasks, return_exceptions=True)
            self._over = True
            self.bar.end()
        for task in done:
            task.result()
        if self._failure:
            raise self._failure

    async def _catch_up(self) -> None:
        """Let what is on its way still come, and be read: the set that was done a moment ago may be in it."""
        until_s = self._clock.now_s() + CATCH_UP_S
        while self.bar.is_busy or (self._is_catching_up and self._clock.now_s() < until_s):
            await self._clock.sleep(TICK_S)

    @property
    def _is_catching_up(self) -> bool:
        return any(person.session.is_catching_up for person in self.bar.people.values())

    @property
    def trainee(self) -> str:
        """Who is on the bar."""
        return self.bar.route.on

    @property
    def _session(self) -> Session | None:
        return self.bar.on.session if self.bar.on else None

    @property
    def stage(self) -> Stage | None:
        """Where the session stands; None before the first one begins."""
        return self.bar.on.stage if self.bar.on else None

    @property
    def has_sets(self) -> bool:
        """Whether a set was done that counts."""
        return any(person.session.board.sets for person in self.bar.people.values())

    @property
    def is_stopping(self) -> bool:
        """Whether somebody asked to leave."""
        return self._stopping.is_set()

    @property
    def closing(self) -> tuple[str, ...]:
        """What the last session was, or everybody's, and what comes next, in words."""
        if self.bar.is_shared:
            return self.bar.closing
        return self._session.board.closing if self._session else ()

    def stop(self) -> None:
        """Leave as soon as the log is complete."""
        self._stopping.set()

    def end_session(self) -> None:
        """No more sets today: close the session and work out the next one."""
        if self._session and self._session.is_catching_up and not self._stopping.is_set():
            self._session.remark("waiting for what is still on its way; then the session is closed")
        self._stopping.set()

    def renew(self) -> None:
        """Begin the session anew with what is asked now; one in which something was done stays as it is."""
        if self._session and not self._over:
            self.bar.renew(self.trainee)

    def leave(self, name: str) -> None:
        """Close the session of somebody who goes; the others', if there are any, go on."""
        if self.bar.is_shared:
            self.bar.leave(name)
        else:
            self.end_session()

    def renew_next(self) -> None:
        """Work out the next session again, where it is worked out already: more was said since."""
        if self._session:
            self._session.renew_next()

    def switch_trainee(self, name: str) -> None:
        """Close the session in progress and begin one for `name` on the same sensor; nothing once the run is over.

        What is on its way from the sensor is waited for: it belongs to who was on the bar before.
        """
        if self._session is None or self._over:
            return
        self._next_trainee = None if name == self.trainee else (name, self._clock.now_s() + CATCH_UP_S)
        if self._next_trainee and self._session.is_catching_up:
            self._session.remark(f"waiting for what is still on its way; then {name} is on the bar")
        try:
            self._switch_when_due()
        except Exception as error:  # a key must not take the screen down: the run ends and tells why
            self._fail(error)

    def _switch_when_due(self) -> None:
        if self._next_trainee is None or self._session is None:
            return
        name, until_s = self._next_trainee
        if not self._session.is_catching_up or self._clock.now_s() >= until_s:
            self._next_trainee = None
            refused = self._refusal(name)
            if refused:
                self._session.remark(f"{name}: {refused}")
            else:
                self.bar.end()
                self.bar.take_over(name)

    def drop_last_set(self) -> None:
        """Do not count the last set, or the one in progress; what was recorded stays."""
        self._wish(lambda session: session.by_key.drop_last())

    def take_back_set(self) -> None:
        """Count the set that was left out last again, or no longer the one that was told last."""
        self._wish(lambda session: session.by_key.take_back())

    def relabel_last_set(self) -> None:
        """Take the last set of a superset for the other exercise's."""
        self._wish(lambda session: session.by_key.relabel_last())

    def tell_set(self, count: int) -> None:
        """Count a set of so many reps, or a hold of so many seconds, without the sensor, over now."""
        self._wish(lambda session: session.tell_set(count), of_last=False)

    def wear_on(self, mount: Mount) -> None:
        """Read the session again as if the sensor had sat there from the beginning."""
        self._mend(lambda mending, session, feed: mending.worn_on(session, mount, feed))

    def give_session(self, name: str) -> None:
        """Take all of the session so far for somebody else's; who may not train today gets none."""
        if self._session is None or self.bar.is_shared or name_key(name) == name_key(self.trainee):
            return
        refused = self._refusal(name)
        if refused:
            self._session.remark(f"{name}: {refused}")
        else:
            self._mend(lambda mending, session, feed: mending.belongs_to(session, name, feed), name)

    def join(self, broken: BrokenOff, plan: Plan, of: str = "") -> None:
        """Let what was done since join a session that was broken off, which is gone on with as planned.

        Parameters
        ----------
        of
            Whose; empty: who is on the bar.
        """
        self._mend(lambda mending, session, feed: mending.joins(session, broken, plan, feed), of=of)

    def _mend(self, mended: Callable[[Mending, Session, Feed], Session], name: str = "", of: str = "") -> None:
        person = self.bar.people.get(of or self.trainee)
        if person is None or self._mending is None or self._over or person.session.board.ended:
            return
        session, mending = person.session, self._mending(person.name)
        if session.is_behind or (self.bar.is_shared and self.bar.is_busy):
            session.remark("one moment: what was recorded is still being read")
            return
        try:
            self.bar.mend(person, lambda session, feed: mended(mending, session, feed), name)
        except LogbookError as error:
            session.remark(f"not mended now: {error}")
        except Exception as error:
            self._fail(error)

    def _wish(self, wish: Callable[[Session], object], *, of_last: bool = True) -> None:
        """Pass on a wish about the last set, or about whose turn it is."""
        person = self.bar.asked if of_last else self.bar.on
        if person is not None:
            self.bar.concerned = person.name
            self.attempt(lambda: wish(person.session))
            self.attempt(person.session.renew_next)  # of one that is closed: no time passes there any more

    def attempt(self, do: Callable[[], object]) -> None:
        """Do what a key asked for; where it fails, the run ends and tells why: a key must not take the screen down."""
        try:
            do()
        except Exception as error:
            self._fail(error)

    def _fail(self, error: Exception) -> None:
        self._failure = error
        self._stopping.set()

    async def _pump(self) -> None:
        async with self._open_source() as source:
            async for arrival in source:
                self.bar.give(arrival)
                await asyncio.sleep(0)  # a source that is behind does not wait, and all else would stand still

    async def _let_time_pass(self) -> None:
        while True:
            await self._clock.sleep(0.0 if self.bar.is_busy else TICK_S)
            until_s = self._clock.now_s() + TICK_S
            while self.bar.is_busy and self._clock.now_s() < until_s:  # a screen that stands still tells nothing
                self.bar.work_off()
                await asyncio.sleep(READING_S)
            self.bar.tick()
            self._switch_when_due()
            self._close_what_is_left()

    def _close_what_is_left(self) -> None:
        """Close the sessions in which nothing moved for ten minutes after the last set; with the last of them, all."""
        if self._stopping.is_set():
            return
        for name, person in self.bar.people.items():
            if person.session.is_left_alone and not self.bar.is_leaving(name):
                person.session.remark("ten minutes since the last set: the session is closed")
                self.leave(name)
        if self.bar.is_shared and self.bar.is_over:
            self._stopping.set()
