"""Faults of Linux's Bluetooth itself, through bleak as it is: recovery, or one sentence with what to do next."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path

import pytest

from sensor.radio import RadioError, scan
from sensor.source import SystemClock
from sensor.virtual.process_setup import Setup
from tests.air.bus import ADDRESS_VARIABLE, forbidding_bus, private_bus
from tests.air.listener import listening
from tests.air.routes import StockBleak, bus_of_this_loop
from tests.air.stand_in import StandIn
from tests.air.streaming import SETTINGS, assert_recovered, streaming

pytestmark = pytest.mark.stock_bleak


async def test_the_daemon_is_killed(stock: StockBleak, daemon: StandIn, setup: Setup) -> None:
    """It says no goodbye: no callback, bleak says connected. The silence tells; the next daemon is found by itself.

    The sensor is in the stand-in's process, so that it begins anew with it.
    """
    async with streaming(stock, setup) as (_, heard):
        daemon.kill()
        await heard.until_link("blocked")
        assert heard.links[:5] == ["searching", "connected", "stalled", "lost", "searching"]
        daemon.start()
        again = replace(setup, boot_id=2)
        await daemon.tell("furnish", setup=again.to_json(), sensors=1)
        await assert_recovered(heard)
        assert [info.boot_id for info in heard.infos] == [1, 2]


async def test_the_device_is_gone_from_the_daemon(stock: StockBleak, daemon: StandIn, setup: Setup) -> None:
    async with streaming(stock, setup) as (_, heard):
        await daemon.tell("forget")
        await assert_recovered(heard)


async def test_the_device_is_gone_between_search_and_connection(
    stock: StockBleak, daemon: StandIn, setup: Setup
) -> None:
    async with streaming(stock, setup) as (_, heard):
        await daemon.tell("forget_at_connect", times=2)
        await daemon.tell("disturb", fault="lose")
        await assert_recovered(heard)
        assert heard.links.count("searching") >= 4


@pytest.mark.parametrize("method", ["Connect", "ReadValue", "StartNotify", "StartDiscovery"])
async def test_the_daemon_does_not_answer(stock: StockBleak, daemon: StandIn, setup: Setup, method: str) -> None:
    async with streaming(stock, setup, replace(SETTINGS, io_s=1.0)) as (_, heard):
        await daemon.tell("silence", method=method)
        await daemon.tell("disturb", fault="lose")
        await assert_recovered(heard)


async def test_bluetooth_goes_off_and_on(stock: StockBleak, daemon: StandIn, setup: Setup) -> None:
    async with streaming(stock, setup) as (_, heard):
        await daemon.tell("power", on=False)
        await heard.until_link("blocked")
        await daemon.tell("power", on=True)
        await assert_recovered(heard)
        assert heard.links == ["searching", "connected", "lost", "searching", "blocked", "searching", "connected"]


async def test_bluetooth_goes_off_and_on_while_the_sensor_is_looked_for(
    stock: StockBleak, daemon: StandIn, setup: Setup
) -> None:
    """The daemon forgets that it was to look and tells nobody; the sensor is found by the next look."""
    async with streaming(stock, setup) as (there, heard):
        await there.disturb("leave")
        await heard.until_link("searching", times=2)
        await daemon.tell("until_scanning")
        await daemon.tell("power", on=False)
        await daemon.tell("power", on=True)
        await there.disturb("come_back")
        await assert_recovered(heard)
        assert heard.links[-3:] == ["lost", "searching", "connected"]


async def test_bluetooth_is_off(stock: StockBleak, daemon: StandIn, setup: Setup) -> None:
    async with stock.sensors(setup):
        await daemon.tell("power", on=False)
        try:
            await assert_told("Bluetooth is switched off. Switch it on")
        finally:
            await daemon.tell("power", on=True)


@pytest.fixture
def elsewhere(bus: str, monkeypatch: pytest.MonkeyPatch) -> Iterator[ExitStack]:
    """Enter another bus here, and bleak takes it for the system's."""
    with ExitStack() as stack:
        enter = stack.enter_context
        stack.enter_context = lambda other: monkeypatch.setenv(ADDRESS_VARIABLE, enter(other))  # type: ignore[method-assign]
        yield stack


async def test_no_permission(elsewhere: ExitStack, tmp_path: Path) -> None:
    """The bus's own policy refuses, as it does for a user who may not talk to the daemon."""
    from dbus_fast import BusType  # comes with bleak, on Linux only
    from dbus_fast.aio import MessageBus

    elsewhere.enter_context(forbidding_bus(tmp_path))
    daemon = await MessageBus(bus_type=BusType.SYSTEM).connect()
    await daemon.request_name("org.bluez")
    await assert_told("does not let this user use Bluetooth. Ask its administrator (Linux: the group `bluetooth`)")
    daemon.disconnect()
    await daemon.wait_for_disconnect()


async def test_the_daemon_does_not_run(elsewhere: ExitStack) -> None:
    elsewhere.enter_context(private_bus())
    await assert_told("The Bluetooth service is not running. Start it (Linux: `sudo systemctl start bluetooth`)")


@pytest.mark.skipif(sys.platform != "linux", reason="D-Bus is how Linux reaches Bluetooth")
async def test_there_is_no_bus_at_all(monkeypatch: pytest.MonkeyPatch) -> None:
    """bleak raises a bare FileNotFoundError here."""
    monkeypatch.setenv(ADDRESS_VARIABLE, "unix:path=/nonexistent/system_bus_socket")
    await assert_told("the D-Bus system bus is missing. Install and start BlueZ")


async def assert_told(words: str) -> None:
    """Scanning and listening both end with this sentence, and with the way that needs no hardware."""
    async with bus_of_this_loop():
        with pytest.raises(RadioError) as refused:
            await scan(SystemClock())
        async with listening(SystemClock(), SETTINGS) as heard:
            await heard.until_ended()
        assert str(heard.error) == str(refused.value)
        assert words in str(heard.error)
        assert "`rungwise demo`" in str(heard.error)
