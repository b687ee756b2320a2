"""bleak as it is, on its BlueZ backend, down to a GATT server in a process of its own; and what it does by itself."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import AsyncExitStack, asynccontextmanager

import pytest
from bleak import BleakClient, BleakScanner
from bleak.backends.device import BLEDevice

from sensor.protocol import (
    CONTROL_UUID,
    DATA_UUID,
    SERVICE_UUID,
    Start,
    Stop,
    decode,
    encode_command,
)
from sensor.radio import RadioSettings, scan
from sensor.source import Channel, SystemClock
from sensor.virtual.device import NAME
from sensor.virtual.faults import Faults
from sensor.virtual.link import packet_source
from sensor.virtual.motion import TraineeFeed
from sensor.virtual.process_setup import SENSOR_ADDRESS, Setup
from sensor.virtual.script import Beat, regular_script
from sensor.virtual.spawn import virtual_sensor
from tests.air.documented import check_control, check_services
from tests.air.listener import PATIENCE_S, listening
from tests.air.routes import StockBleak, bus_of_this_loop
from tests.air.stand_in import StandIn
from tests.air.streaming import streaming

pytestmark = pytest.mark.stock_bleak
FEED = TraineeFeed(regular_script(trainee="T", sets=1, reps=1, beat=Beat(1, 1, 1, 0), rest_s=10), seed=5)
FAST = 20.0


async def test_a_whole_motion_comes_from_a_sensor_in_its_own_process(daemon: StandIn) -> None:
    """Byte for byte, with two packets lost in the air and one link: the stock way changes nothing."""
    setup = Setup(feed=FEED, speed=FAST, faults=Faults(skip=(7, 8), lose_link_after=(40,)))
    settings = RadioSettings(stall_s=10 * FAST, gone_after_s=2 * FAST, until_gone=True, gather_s=0)
    async with AsyncExitStack() as stack:
        await daemon.tell("take", port=await stack.enter_async_context(virtual_sensor(setup)))
        stack.push_async_callback(daemon.tell, "clear")
        await stack.enter_async_context(bus_of_this_loop())
        heard = await stack.enter_async_context(listening(SystemClock(FAST), settings))
        await heard.until_ended()
        assert heard.error is None
    whole = [decode(a.payload) async for a in packet_source(FEED, SystemClock(1e4)) if a.channel is Channel.DATA]
    samples = {p.first_index + i: p.counts[i].tobytes() for p in whole for i in range(len(p))}
    assert {p.first_index + i: p.counts[i].tobytes() for p in heard.packets for i in range(len(p))} == samples
    assert heard.repeated == []
    assert heard.links == ["searching", "connected", "lost", "searching", "connected", "lost", "searching", "ended"]


async def test_scan_sees_name_and_strength(stock: StockBleak, setup: Setup) -> None:
    async with stock.sensors(setup):
        (found,) = await scan(SystemClock(), 0.5)
    assert (found.address, found.name) == (SENSOR_ADDRESS, NAME)
    assert -127 < found.rssi_dbm < 20  # dBm: Bluetooth Core Specification, Vol 4, Part E, 7.7.65.2


@asynccontextmanager
async def connected(device: BLEDevice | None = None, gone: asyncio.Event | None = None) -> AsyncIterator[BleakClient]:
    """Have bleak's own client on the sensor; `gone` is set when the link is."""
    found = device or await BleakScanner.find_device_by_address(SENSOR_ADDRESS, service_uuids=[SERVICE_UUID])
    assert found is not None
    async with BleakClient(found, disconnected_callback=lambda _: gone.set() if gone else None) as client:
        yield client


async def test_services_and_control(stock: StockBleak, setup: Setup) -> None:
    async with stock.sensors(setup), connected() as client:
        check_services(client)
        await check_control(client)


@pytest.mark.parametrize("by_signal", [True, False], ids=["StartNotify", "AcquireNotify"])
async def test_both_ways_of_notifying_give_the_same(stock: StockBleak, setup: Setup, by_signal: bool) -> None:
    came: list[bytes] = []
    async with stock.sensors(setup), connected() as client:
        await client.start_notify(
            DATA_UUID, lambda _, payload: came.append(bytes(payload)), bluez={"use_start_notify": by_signal}
        )
        await client.write_gatt_char(CONTROL_UUID, encode_command(Start()), response=True)
        await SystemClock().sleep(0.5)
        await client.write_gatt_char(CONTROL_UUID, encode_command(Stop()), response=True)
        await client.stop_notify(DATA_UUID)
    packets = [decode(payload) for payload in came]
    assert packets
    assert [packet.first_index for packet in packets] == [10 * k for k in range(len(packets))]


@pytest.mark.parametrize("disconnects", [True, False])
async def test_packets_are_doubled_unless_the_lost_client_is_disconnected(
    stock: StockBleak, daemon: StandIn, setup: Setup, disconnects: bool
) -> None:
    """Why `RadioSource` disconnects after every loss: on BlueZ whoever had subscribed still has."""
    came: list[int] = []

    async def start(client: BleakClient) -> None:
        await client.start_notify(DATA_UUID, lambda _, payload: came.append(decode(bytes(payload)).first_index))
        await client.write_gatt_char(CONTROL_UUID, encode_command(Start()), response=True)

    async with stock.sensors(setup):
        device = await BleakScanner.find_device_by_address(SENSOR_ADDRESS)
        gone = asyncio.Event()
        async with connected(device, gone) as lost, listening_ends(lost):
            await start(lost)
            await daemon.tell("disturb", fault="lose")
            await asyncio.wait_for(gone.wait(), PATIENCE_S)
            if disconnects:
                await lost.disconnect()
            came.clear()
            async with connected(device) as client:
                await start(client)
                await SystemClock().sleep(0.5)
    assert came
    assert (len(came) == len(set(came))) is disconnects


@asynccontextmanager
async def listening_ends(client: BleakClient) -> AsyncIterator[None]:
    """Be sure that a client whose link was lost lets go of the bus."""
    try:
        yield
    finally:
        await client.disconnect()


async def test_a_stale_mtu_does_no_harm(stock: StockBleak, daemon: StandIn, setup: Setup) -> None:
    """BlueZ says 23 (bleak warns of it, which would be an error here); the sensor's packets come whole all the same."""
    await daemon.tell("keep_mtu_stale", stale=True)
    async with streaming(stock, setup) as (_, heard):
        pass
    assert min(len(payload) for payload in heard.payloads(Channel.DATA)) > 23 - 3
    async with stock.sensors(setup):
        await daemon.tell("keep_mtu_stale", stale=True)
        async with connected() as client:
            with pytest.warns(UserWarning, match="default MTU"):
                assert client.mtu_size == 23
