"""The radio source against a made-up sensor on bleak's public face, with every fault that it must survive."""

from __future__ import annotations

import asyncio

import pytest
from bleak.exc import BleakDeviceNotFoundError, BleakError
from fakeradio import Connection, FakeRadio
from radioreader import SETTINGS, STALL_S, Reader, run_for
from stepclock import StepClock, settle

from sensor.protocol import Resend, SetRate
from sensor.radio import RadioError, RadioSettings, RadioSource
from sensor.source import Channel

OPENING = ["read 0004", "read 2a19", "subscribe 0002", "write 0003"]


async def test_a_connection_is_announced_then_described_then_started() -> None:
    radio = FakeRadio([Connection(on_start=lambda client: client.send(b"one", b"two"))])
    reader = await run_for(radio, 1.0)
    assert radio.log == ["scan", "stop scan", "connect", *OPENING, "subscribe 2a19", "disconnect"]
    channels = [(a.channel, a.payload) for a in reader.arrivals]
    assert channels == [
        (Channel.LINK, b"searching"),
        (Channel.LINK, b"connected"),
        (Channel.INFO, b"0004"),
        (Channel.BATTERY, b"2a19"),
        (Channel.DATA, b"one"),
        (Channel.DATA, b"two"),
    ]
    assert {a.sensor_id for a in reader.arrivals[1:]} == {"AA"}


async def test_arrivals_bear_the_time_of_the_session_clock() -> None:
    clock, radio = StepClock(), FakeRadio()
    async with RadioSource(clock, SETTINGS, radio.backends()) as source:
        reader = Reader(source)
        await clock.advance(2.5)
        radio.clients[0].send(b"x")
        await settle()
    reader.stop()
    assert [a.at_s for a in reader.arrivals if a.channel is Channel.DATA] == [2.5]


async def test_after_a_lost_link_the_client_is_disconnected_before_the_next_one_connects() -> None:
    radio = FakeRadio([Connection(on_start=lambda client: client.lose_link()), Connection()])
    reader = await run_for(radio, 1.0)
    assert reader.links == ["searching", "connected", "lost", "searching", "connected"]
    assert radio.log.index("disconnect") < [i for i, entry in enumerate(radio.log) if entry == "connect"][1]
    assert len(radio.clients) == 2  # a new client for each connection


async def test_a_link_that_is_always_lost_at_once_is_made_anew_with_a_pause() -> None:
    """The first time at once, for it may be chance; then once a retry, so at most 2 + duration ÷ retry times."""
    losing = [Connection(on_start=lambda client: client.lose_link()) for _ in range(30)]
    radio = FakeRadio([*losing, Connection()])
    await run_for(radio, 10 * SETTINGS.retry_s)
    assert 10 <= radio.log.count("connect") <= 12


async def test_a_link_that_held_for_a_while_is_made_anew_at_once_each_time() -> None:
    clock, radio = StepClock(), FakeRadio()
    async with RadioSource(clock, SETTINGS, radio.backends()):
        for times in range(1, 5):
            await clock.advance(SETTINGS.retry_s)
            assert len(radio.clients) == times
            radio.clients[-1].lose_link()
            await settle()
            assert len(radio.clients) == times + 1


async def test_a_silent_link_is_given_up_and_made_anew() -> None:
    radio = FakeRadio()
    reader = await run_for(radio, STALL_S + 0.5)
    assert reader.links == ["searching", "connected", "stalled", "lost", "searching", "connected"]
    assert radio.log.count("disconnect") == 2  # the dead link, and closing


async def test_a_link_with_packets_is_not_given_up() -> None:
    clock, radio = StepClock(), FakeRadio()
    async with RadioSource(clock, SETTINGS, radio.backends()) as source:
        reader = Reader(source)
        for _ in range(10):
            await clock.advance(STALL_S / 2)
            radio.clients[0].send(b"x")
    reader.stop()
    assert reader.links == ["searching", "connected"]


async def test_three_failing_connections_are_survived() -> None:
    failing = [Connection(connect_error=error) for error in (BleakError("no"), TimeoutError(), OSError("busy"))]
    radio = FakeRadio([*failing, Connection(on_start=lambda client: client.send(b"x"))])
    reader = await run_for(radio, 10.0, RadioSettings(stall_s=100.0, io_s=0.05, gather_s=0))
    assert radio.log.count("connect") == 4
    assert reader.links == ["searching"] * 4 + ["connected"]
    assert reader.data == [b"x"]


async def test_a_device_that_the_system_forgot_is_searched_again() -> None:
    radio = FakeRadio([Connection(connect_error=BleakDeviceNotFoundError("AA", "not found")), Connection()])
    reader = await run_for(radio, 2.0)
    assert radio.log.count("scan") == 2
    assert reader.links[-1] == "connected"


@pytest.mark.parametrize("operation", ["read 0004", "subscribe 0002", "write 0003"])
async def test_a_request_that_fails_leads_to_a_new_connection(operation: str) -> None:
    radio = FakeRadio([Connection(failing=frozenset({operation})), Connection()])
    reader = await run_for(radio, 2.0)
    assert reader.links == ["searching", "connected", "lost", "searching", "connected"]


@pytest.mark.parametrize("operation", ["connect", "read 0004", "subscribe 0002", "write 0003"])
async def test_a_request_that_hangs_leads_to_a_new_connection(operation: str) -> None:
    hanging = Connection(connect_hangs=operation == "connect", hanging=frozenset({operation}))
    radio = FakeRadio([hanging, Connection()])
    clock = StepClock(auto=True)
    async with RadioSource(clock, SETTINGS, radio.backends()) as source:
        async for arrival in source:
            if arrival.payload == b"connected" and len(radio.clients) == 2:
                break
    assert radio.log.count("connect") == 2


async def test_a_sensor_that_fails_once_more_when_it_is_back_is_connected_within_three_seconds() -> None:
    """By the clock of the session, with the settings as they are by default."""
    away = Connection(connect_error=BleakError("out of range"))
    radio, clock = FakeRadio([Connection(on_start=lambda client: client.lose_link()), away, Connection()]), StepClock()
    async with RadioSource(clock, RadioSettings(), radio.backends()) as source:
        reader = Reader(source)
        await clock.advance(RadioSettings().gather_s)
        assert reader.links.count("lost") == 1
        await clock.advance(3.0)
    reader.stop()
    assert reader.links[-1] == "connected"
    assert len(radio.clients) == 3


async def test_a_disconnect_that_hangs_is_survived() -> None:
    lossy = Connection(disconnect_hangs=True, on_start=lambda client: client.lose_link())
    radio = FakeRadio([lossy, Connection()])
    async with RadioSource(StepClock(), SETTINGS, radio.backends()) as source:
        async for arrival in source:
            if arrival.payload == b"connected" and len(radio.clients) == 2:
                break
    assert len(radio.clients) == 2


async def test_a_slow_reader_costs_data_packets_and_is_told_how_many() -> None:
    flood = Connection(on_start=lambda client: client.send(*[bytes([i]) for i in range(10)]))
    radio = FakeRadio([flood, Connection()])
    clock = StepClock()
    async with RadioSource(clock, RadioSettings(queue_size=6, gather_s=0), radio.backends()) as source:
        await clock.advance(0.5)
        radio.clients[0].lose_link()
        await clock.advance(0.1)
        assert source.dropped == 8  # the four arrivals before leave room for two
        reader = Reader(source)
        await settle()
        reader.stop()
    assert reader.data == [b"\x00", b"\x01"]
    told = [arrival.payload for arrival in reader.arrivals if arrival.channel is Channel.NOTICE]
    assert [sentence[:41] for sentence in told] == [b"sends faster than this computer reads: so"]
    assert reader.links[:3] == ["searching", "connected", "lost"]


async def test_commands_reach_the_sensor_and_a_new_rate_is_followed_by_new_information() -> None:
    clock, radio = StepClock(), FakeRadio()
    async with RadioSource(clock, SETTINGS, radio.backends()) as source:
        reader = Reader(source)
        await clock.advance(0.5)
        await source.send(Resend(7, 9))
        await source.send(SetRate(200.0))
        await settle()
    reader.stop()
    # packet.md: start 01; re-send 05, u32 first, u16 count; rate 03, u32 mHz
    assert radio.clients[0].written == [b"\x01", b"\x05\x07\0\0\0\x09\0", b"\x03\x40\x0d\x03\x00"]
    assert [a.channel for a in reader.arrivals].count(Channel.INFO) == 2


async def test_commands_without_a_sensor_say_so() -> None:
    with pytest.raises(RadioError, match="No sensor is connected"):
        await RadioSource(StepClock(), SETTINGS, FakeRadio().backends()).send(SetRate(100.0))


async def test_a_refused_command_says_so() -> None:
    clock, radio = StepClock(), FakeRadio()
    async with RadioSource(clock, SETTINGS, radio.backends()) as source:
        await clock.advance(0.5)
        radio.clients[0].going = Connection(failing=frozenset({"write 0003"}))
        with pytest.raises(RadioError, match="did not take the command"):
            await source.send(SetRate(100.0))


@pytest.mark.parametrize("moment_s", [0.0, 0.5])
async def test_closing_leaves_no_task_behind(moment_s: float) -> None:
    before = asyncio.all_tasks()
    await run_for(FakeRadio(sensors=[] if moment_s == 0 else [("AA", "clip", -50)]), moment_s)
    await settle()
    assert asyncio.all_tasks() == before
