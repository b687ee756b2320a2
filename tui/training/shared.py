"""Several people on one bar: each with a session, a plan, questions and a log of their own."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable, Iterable, Mapping
from contextlib import AbstractAsyncContextManager
from datetime import date
from types import TracebackType
from typing import Self

from analysis.logbook.book import Logbook
from analysis.motion.in_session import IN_A_SESSION
from analysis.motion.pipeline import Pipeline
from sensor.source import Arrival, HostClock, Source
from tui.home import Home, day_of
from tui.questions.everyone import Everyone
from tui.session.control import Feed
from tui.session.session import Session
from tui.session.track import Track
from tui.share.now import UNASKED, Felt
from tui.training.in_turn import InTurn
from tui.training.live import LiveRun
from tui.training.lookout import Lookout
from tui.training.person import Person
from tui.training.routes import Route
from tui.training.train import Training
from tui.training.turn_wishes import TurnWishes
from tui.training.turns import Turns
from tui.training.worn import Worn
from tui.trouble import Trouble, clear_errors
from tui.wanted import Wanted

OpenSource = Callable[[HostClock], AbstractAsyncContextManager[Source]]


class SharedTraining:
    """The training of several people, before a sensor is looked for.

    Parameters
    ----------
    wanted
        Whose turns, in their order (`Wanted.turns`), and what else was said: it holds for all of them.
    open_source
        Opens where the arrivals come from, with the clock.
    asks
        Whether there is somebody to answer questions.
    wearer
        Gives the name of who wears a sensor, by its id; None: they share one.

    Attributes
    ----------
    run
        Everybody's sessions.
    turns
        The wishes about whose turn it is.
    asked
        The questions beside them; None where nobody answers any.
    """

    def __init__(
        self,
        home: Home,
        logbook: Logbook,
        clock: HostClock,
        wanted: Wanted,
        *,
        open_source: OpenSource,
        asks: bool,
        wearer: Callable[[str], str | None] | None = None,
    ) -> None:
        self._wearer, self._clock = wearer, clock
        self._each: dict[str, Training] = {}
        self._barred: dict[str, str] = {}
        """Why somebody cannot even be asked: a plan that does not read."""
        for name in wanted.turns:
            try:
                with clear_errors():
                    self._each[name] = Training(
                        home, logbook, clock, name, wanted, open_source=open_source, asks=asks, shares=True
                    )
            except Trouble as trouble:
                self._barred[name] = trouble.format_message().split("\n")[0]
        self.run = LiveRun(
            open_source=lambda: open_source(clock),
            clock=clock,
            open_session=self._open_session,
            trainees=tuple(wanted.turns),
            refusal=self._refusal,
            route=self._route,
            ahead_s=lambda who: self._each[who].ahead_s,
            mending=lambda who: self._each[who].mending,
        )
        self.turns = TurnWishes(self.run)
        asking = {name: one.asking for name, one in self._each.items() if one.asking}
        self.asked = Everyone(asking, self.run) if asking else None

    async def drive(self, feed: Feed) -> None:
        """Run everybody's sessions.

        Raises
        ------
        Trouble
            When nobody may train, and nobody answers what could change that.
        """
        refused = {name: self._refusal(name) for name in (*self._each, *self._barred)}
        if self.asked is None and all(refused.values()):
            raise Trouble("\n".join(f"{name}: {why}" for name, why in refused.items()))
        if not self.run.is_stopping:
            await self.run.run(feed)

    def felt(self, who: str) -> Felt:
        """Return what somebody said of themselves today."""
        return self._each[who].felt(who) if who in self._each else UNASKED

    def today(self) -> date:
        """Return the day, where they are."""
        return day_of(self._clock.utc_us())

    def leave(self) -> None:
        """Keep what was answered of questions that are left in the middle."""
        if self.asked:
            self.asked.leave()

    def _refusal(self, who: str) -> str:
        return self._barred.get(who) or self._each[who].refusal()

    def _open_session(self, who: str, feed: Feed) -> Session:
        return self._each[who].begins(feed)

    def _route(self, people: Mapping[str, Person], turns: Turns) -> Route:
        if self._wearer:
            return Worn(people, turns, self._wearer)

        def look_out(name: str, before: Iterable[Arrival], since_s: float) -> Lookout:
            mount = people[name].session.board.prescription.exercise.mount
            return Lookout(Track(Pipeline(mount, parameters=IN_A_SESSION)), before, since_s)

        return InTurn(people, turns, look_out)


class OfWearer:
    """A source whose sensor somebody wears: remembers whose each sensor is that it hears of.

    Parameters
    ----------
    source
        Not opened yet.
    name
        Who wears it.
    wearers
        Where to write it down, by the sensor's id.
    """

    def __init__(self, source: AbstractAsyncContextManager[Source], name: str, wearers: dict[str, str]) -> None:
        self._source, self._name, self._wearers = source, name, wearers
        self._opened: Source | None = None

    async def __aenter__(self) -> Self:
        self._opened = await self._source.__aenter__()
        return self

    async def __aexit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        await self._source.__aexit__(kind, error, trace)

    async def __aiter__(self) -> AsyncIterator[Arrival]:
        assert self._opened is not None
        async for arrival in self._opened:
            if arrival.sensor_id:
                self._wearers[arrival.sensor_id] = self._name
            yield arrival
