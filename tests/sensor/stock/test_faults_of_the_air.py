"""Faults between host and sensor, each on both routes: every one ends in recovery, or in a sentence with what to do."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sensor.assembly import Assembler, Restart
from sensor.protocol import PacketFlags
from sensor.radio import RadioError
from sensor.source import Channel, SystemClock
from sensor.virtual.process_setup import SENSOR_ADDRESS, Setup
from tests.air.listener import listening
from tests.air.room import SECOND_ADDRESS
from tests.air.routes import Route
from tests.air.streaming import SETTINGS, SPEED, assert_recovered, streaming


async def test_loss_in_mid_stream(route: Route, setup: Setup) -> None:
    async with streaming(route, setup) as (there, heard):
        await there.disturb("lose")
        await assert_recovered(heard)
        assert heard.links[:5] == ["searching", "connected", "lost", "searching", "connected"]
        assert any(PacketFlags.RESENT in packet.flags for packet in heard.packets)


async def test_silent_stall(route: Route, setup: Setup) -> None:
    """Neither side notices: bleak says that it is connected, and nothing comes."""
    async with streaming(route, setup) as (there, heard):
        await there.disturb("stall")
        await assert_recovered(heard)
        assert heard.links[:6] == ["searching", "connected", "stalled", "lost", "searching", "connected"]


async def test_out_of_range_and_back(route: Route, setup: Setup) -> None:
    async with streaming(route, setup) as (there, heard):
        await there.disturb("leave")
        await heard.until_link("searching", times=2)
        await there.disturb("come_back")
        await assert_recovered(heard)


async def test_connecting_fails_three_times(route: Route, setup: Setup) -> None:
    async with streaming(route, setup) as (there, heard):
        await there.disturb("refuse", times=3)
        await there.disturb("lose")
        await assert_recovered(heard)
        assert heard.links.count("searching") >= 5  # the first one, and one before each of four attempts


@pytest.mark.parametrize("request_kind", ["ATT_READ_REQUEST", "ATT_WRITE_REQUEST"])
async def test_a_request_that_hangs(route: Route, setup: Setup, request_kind: str) -> None:
    """Reading the information, or subscribing: it is given up, and the link is made anew."""
    impatient = replace(SETTINGS, io_s=1.0)
    async with streaming(route, setup, impatient) as (there, heard):
        await there.disturb("hang", request=request_kind)
        await there.disturb("lose")
        await heard.until_link("lost", times=2)
        await assert_recovered(heard)


async def test_packets_lost_in_the_air(route: Route, setup: Setup) -> None:
    lossy = replace(setup, faults=replace(setup.faults, skip=(3, 4, 9)))
    async with streaming(route, lossy) as (_, heard):
        await heard.until_packets(10)
        await heard.until_whole()
        assert heard.links == ["searching", "connected"]


async def test_the_sensor_restarts(route: Route, setup: Setup) -> None:
    """Sample numbers and the sensor's clock begin anew under another boot id; nothing is mixed up."""
    async with streaming(route, setup) as (there, heard):
        await there.disturb("restart")
        await assert_recovered(heard)
        before, after = (info.boot_id for info in heard.infos[:2])
        assert before != after
        again = [packet for packet in heard.packets if packet.boot_tag == after & 0xFF]
        assert min(packet.device_us for packet in again) == min(packet.first_index for packet in again) * 10_000
        assembler = Assembler(SENSOR_ADDRESS)
        items = [item for arrival in heard.arrivals[1:] for item in assembler.push(arrival)]
        assert sum(isinstance(item, Restart) for item in items) == 1


async def test_the_battery_runs_low(route: Route, setup: Setup) -> None:
    async with streaming(route, setup) as (there, heard):
        await there.disturb("run_down", percent=9)
        await heard.until(lambda: heard.payloads(Channel.BATTERY) == [bytes([87]), bytes([9])])
        assert heard.links == ["searching", "connected"]


@pytest.mark.parametrize("ask_for", ["--sensor {}", "rungwise sensor {}"])
async def test_of_two_sensors_of_one_name_one_must_be_chosen(route: Route, setup: Setup, ask_for: str) -> None:
    asking = replace(SETTINGS, name="RW-demo", gather_s=1.0 * SPEED, ask_for=ask_for)
    async with route.sensors(setup, 2) as there, listening(SystemClock(SPEED), asking, there.backends) as heard:
        await heard.until_ended()
    assert isinstance(heard.error, RadioError)
    said = str(heard.error)
    assert "2 sensors are in range" in said
    assert f"RW-demo at {SENSOR_ADDRESS}" in said
    assert f"RW-demo at {SECOND_ADDRESS}" in said
    assert f"`{ask_for.format('F2:')}" in said


@pytest.mark.parametrize("address", [SENSOR_ADDRESS, SECOND_ADDRESS])
async def test_after_a_loss_the_same_sensor_is_taken_not_its_namesake(route: Route, setup: Setup, address: str) -> None:
    chosen = replace(SETTINGS, address=address)
    async with route.sensors(setup, 2) as there, listening(SystemClock(SPEED), chosen, there.backends) as heard:
        await heard.until_packets()
        await there.disturb("lose")
        await assert_recovered(heard)
    assert {arrival.sensor_id for arrival in heard.arrivals} == {address}


async def test_whoever_was_met_first_is_the_one_to_come_back_to(route: Route, setup: Setup) -> None:
    async with route.sensors(setup, 2) as there, listening(SystemClock(SPEED), SETTINGS, there.backends) as heard:
        for times in range(1, 5):
            await heard.until_link("connected", times)
            await heard.until_packets()
            await there.disturb("lose")
    assert len({arrival.sensor_id for arrival in heard.arrivals[1:]}) == 1
