"""`rungwise gather`: every sensor that is heard through gateways, each a session of its own; no screen.

    Gateways ─► Bridged, one a sensor ─► a session of who wears it ─► recording, logbook
                                      └► another one …        sharing nothing but the logbook

A fault in one session ends that session alone; the others go on.
"""

from __future__ import annotations

import asyncio
import traceback
from collections.abc import Callable, Mapping
from contextlib import suppress
from pathlib import Path

from analysis.logbook.book import Logbook
from sensor.bridged import Bridged
from sensor.broker import BrokerError
from sensor.gateway import Gateways, GatewaySettings
from sensor.source import HostClock
from tui.home import Home, day_of
from tui.sensors.sensors import SensorFile
from tui.session.messages import Moment, Snapshot
from tui.session.opening import Opening
from tui.session.plans import Plan, todays_plan, with_reference
from tui.training.train import refusal
from tui.training.unwatched import UnwatchedSession

READ_S = 1.0
"""How often what came of a sensor is read, session seconds: a second's packets together take a tenth of the work."""
TICK_S = 2.0
"""How often time passes for a session, session seconds."""
AWAY_S = 1200.0
"""A sensor that was not heard for so long, session seconds, ends its session."""
_LOOK_S = 0.25

Tell = Callable[[str], None]


class Lines:
    """What happens in one session, as lines under its trainee's name (`tui.session.control.Feed`)."""

    def __init__(self, name: str, tell: Tell) -> None:
        self._name, self._tell = name, tell

    def post_snapshot(self, snapshot: Snapshot) -> None:
        """Show nothing."""

    def post_moment(self, moment: Moment) -> None:
        """Tell it."""
        text = moment.text.removeprefix(f"{self._name}: ")
        self._tell(f"{self._name}: {text}")


class Gathering:
    """Sessions of everybody whose sensor is heard.

    Parameters
    ----------
    settings
        Which gateways and sensors.
    worn
        Who wears each sensor, by the sensor's id or the name that its gateway gives it.
    tell
        Takes what happens, a line at a time.

    Attributes
    ----------
    failed
        Names of those whose session a fault ended.
    """

    def __init__(
        self,
        home: Home,
        logbook: Logbook,
        clock: HostClock,
        settings: GatewaySettings,
        *,
        worn: Mapping[str, str],
        tell: Tell,
    ) -> None:
        self._home, self._logbook, self._clock = home, logbook, clock
        self._settings, self._worn, self._tell = settings, worn, tell
        self._opening = Opening(
            home=home,
            logbook=logbook,
            clock=clock,
            plan_for=self._plan_for,
            sensors=SensorFile(home.sensors),
            watched=False,
        )
        self._busy: dict[str, str] = {}
        """The sensor of everybody who has a session, by name."""
        self.failed: list[str] = []

    async def run(self) -> None:
        """Take sessions until cancelled; every log is complete when this returns.

        Raises
        ------
        BrokerError
            When the broker refuses, and trying again is in vain.
        """
        met: set[tuple[str, str]] = set()
        async with Gateways(self._clock, self._settings) as heard, asyncio.TaskGroup() as group:
            told = ""
            while True:
                if heard.link.lasts:
                    raise BrokerError(heard.link.why)
                if heard.link.why not in ("", told):
                    self._tell(heard.link.why)
                told = heard.link.why
                for key, bridged in tuple(heard.sensors.items()):
                    if bridged.was_met and key not in met:
                        met.add(key)
                        group.create_task(self._guarded(key[1], bridged))
                await self._clock.sleep(_LOOK_S)

    async def _guarded(self, called: str, bridged: Bridged) -> None:
        try:
            await self._follow(called, bridged)
        except Exception as error:
            self._note_fault(self._worn.get(called, called), error)
            await _pass_over(self._clock, bridged)

    def _note_fault(self, name: str, error: Exception) -> None:
        self.failed.append(name)
        self._tell(f"{name}: this session ended by a fault ({error or type(error).__name__}); the others go on")
        with suppress(OSError):
            _write_down(self._home.crashes, name, error)

    async def _follow(self, called: str, bridged: Bridged) -> None:
        """Take one session of a sensor after the other, for as long as it is heard."""
        name = self._worn.get(called) or self._worn.get(bridged.sensor_id)
        if name is None:
            self._tell(f'{called} is heard, and nobody is said to wear it: --worn "NAME={called}"')
            await _pass_over(self._clock, bridged)
            return
        while True:
            why = refusal(self._plan_for, name)
            if not why and self._busy.setdefault(name, called) != called:
                why = f"has a session with {self._busy[name]} already; {called} is passed over"
            if why:
                self._tell(f"{name}: {why}")
                await _pass_over(self._clock, bridged)
                return
            await self._session(name, bridged)
            self._busy.pop(name, None)
            await _until_met_again(self._clock, bridged)

    async def _session(self, name: str, bridged: Bridged) -> None:
        try:
            session = self._opening.open_session(name, Lines(name, self._tell))
            assert isinstance(session, UnwatchedSession)
            session.begin()
            try:
                await self._drive(session, bridged)
                session.take(bridged.inbox.drain())
            finally:
                session.end()
        except Exception as error:
            self._note_fault(name, error)

    async def _drive(self, session: UnwatchedSession, bridged: Bridged) -> None:
        ticked_s = heard_s = self._clock.now_s()
        while not session.is_left_alone and not bridged.inbox.is_over:
            session.take(bridged.inbox.drain())
            now_s = self._clock.now_s()
            heard_s = now_s if bridged.is_up else heard_s
            if now_s - heard_s >= AWAY_S:
                return
            if now_s - ticked_s >= TICK_S:
                session.tick()
                ticked_s = now_s
            await self._clock.sleep(READ_S)

    def _plan_for(self, name: str) -> Plan:
        today = day_of(self._clock.utc_us())
        return with_reference(self._logbook, todays_plan(self._home, self._logbook, name, today))


async def _pass_over(clock: HostClock, bridged: Bridged) -> None:
    """Let go of what a sensor sends that has no session."""
    while not bridged.inbox.is_over:
        bridged.inbox.drain()
        await clock.sleep(READ_S)


async def _until_met_again(clock: HostClock, bridged: Bridged) -> None:
    """Wait until a sensor whose session is over has been away, and is heard again: that is another session."""
    for wanted in (False, True):
        while bridged.is_up is not wanted and not bridged.inbox.is_over:
            if not wanted:
                bridged.inbox.drain()
            await clock.sleep(READ_S)


def _write_down(path: Path, name: str, error: Exception) -> None:
    with path.open("a", encoding="utf-8") as file:
        file.write(f"session of {name}\n")
        traceback.print_exception(error, file=file)
