"""What `rungwise gather` and `rungwise gateway` do, until they are stopped."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import AsyncExitStack
from dataclasses import replace
from functools import partial

import click

from analysis.logbook.book import Logbook
from sensor.bridging import Bridging, Commanded
from sensor.broker_address import NAME, Access, BrokerError
from sensor.gateway import GatewaySettings
from sensor.gateway_topics import Bridge, topic_name
from sensor.radio import RadioSource
from sensor.source import HostClock, SystemClock
from tui.home import Home
from tui.running import INTERRUPTED, new_runner
from tui.sensors.choosing import radio_settings
from tui.sensors.sensors import SensorFile, address_of
from tui.training.gather import Gathering
from tui.trouble import Trouble, clear_errors
from tui.words.lines import print_lines

FAILED = 1
"""Exit status where a fault ended somebody's session."""


def _say(line: str) -> None:
    print_lines([line])


def run_gather(home: Home, url: str, access: Access, worn: Mapping[str, str]) -> None:
    """Take sessions of everybody whose sensor is heard, until stopped."""
    with clear_errors(), Logbook.open(home.logbook) as logbook:
        met = SensorFile(home.sensors).met()
        settings = GatewaySettings(bridge=Bridge.parse(url), access=access, address_of=partial(address_of, met))
        gathering = Gathering(home, logbook, SystemClock(), settings, worn=worn, tell=_say)
        try:
            with new_runner(network=True) as runner:
                runner.run(_told_apart(gathering))
        except KeyboardInterrupt:
            click.echo("stopped; what was done until now is in the log", err=True)
            raise SystemExit(FAILED if gathering.failed else INTERRUPTED) from None


async def _told_apart(gathering: Gathering) -> None:
    """Raise what is expected to go wrong by itself, not as one of a group."""
    try:
        await gathering.run()
    except* BrokerError as several:
        raise several.exceptions[0] from None


def run_gateway(home: Home, url: str, access: Access, sensors: Sequence[str], *, virtual: bool) -> None:
    """Pass on what the radio hears to a broker, until stopped."""
    with clear_errors():
        file, clock = SensorFile(home.sensors), SystemClock()
        met = file.met()
        names = {address: one.name for address, one in met.items() if one.name}
        names |= {address_of(met, one): one for one in sensors if NAME.fullmatch(one)}
        only = sensors[0] if len(sensors) == 1 and NAME.fullmatch(sensors[0]) else ""
        bridging = Bridging(
            Bridge.parse(url),
            access,
            clock,
            called=lambda address: topic_name(names.get(address, only), address),
            tell=_say,
        )
        try:
            with new_runner(network=not virtual) as runner:
                runner.run(_bridge(bridging, file, clock, sensors, virtual=virtual))
        except KeyboardInterrupt:
            raise SystemExit(INTERRUPTED) from None


async def _bridge(
    bridging: Bridging, file: SensorFile, clock: HostClock, sensors: Sequence[str], *, virtual: bool
) -> None:
    async with AsyncExitStack() as opened:
        sources: list[Commanded] = []
        if virtual:
            from sensor.virtual.link import link_available, virtual_link
            from sensor.virtual.motion import TraineeFeed
            from sensor.virtual.script import demo_script

            if not link_available():
                raise Trouble("the virtual link is not installed; install it: pip install 'rungwise[demo]'")
            sources.append(await opened.enter_async_context(virtual_link(TraineeFeed(demo_script()), clock)))
        for one in () if virtual else sensors or (None,):
            settings = replace(radio_settings(file, one), find_s=None)
            sources.append(await opened.enter_async_context(RadioSource(clock, settings)))
        try:
            await bridging.run(sources)
        except* Exception as several:
            raise several.exceptions[0] from None
