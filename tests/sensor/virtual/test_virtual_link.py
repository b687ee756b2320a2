"""The whole radio path for real: a GATT server in a process of its own, a virtual link over loopback, bleak on top.

Nothing here waits for a given real time; speeds are high, and every test ends by what arrives.
"""

from __future__ import annotations

import asyncio
from asyncio.subprocess import Process
from pathlib import Path
from typing import IO

import numpy as np
import pytest
from bleak import BleakClient
from stepclock import StepClock

from sensor.protocol import (
    DATA_UUID,
    Info,
    Packet,
    PacketFlags,
    SetRate,
    decode,
)
from sensor.radio import RadioError, RadioSettings, scan
from sensor.source import Arrival, Channel, SystemClock
from sensor.virtual.adapter import virtual_adapter
from sensor.virtual.backend import backends
from sensor.virtual.device import NAME, advertisement
from sensor.virtual.faults import Faults
from sensor.virtual.link import link_available, packet_source, virtual_link, virtual_performance
from sensor.virtual.motion import FileFeed, TraineeFeed
from sensor.virtual.process_setup import SENSOR_ADDRESS, Setup
from sensor.virtual.script import Beat, regular_script
from sensor.virtual.spawn import VirtualSensorError, _spawn, virtual_sensor
from tests.air.documented import check_control, check_services

SPEED = 50.0
FEED = TraineeFeed(regular_script(trainee="T", sets=1, reps=1, beat=Beat(1, 1, 1, 0), rest_s=10), seed=5)
# Where the host must come back while the motion still goes on, it gets seconds of real time for it.
SLOW = 15.0
LONG = TraineeFeed(regular_script(trainee="T", sets=1, reps=3, beat=Beat(1, 1, 1, 0), rest_s=10), seed=5)
PATIENT = RadioSettings(stall_s=10 * SPEED, gone_after_s=20 * SPEED, until_gone=True)


async def packets_without_radio(feed: TraineeFeed | FileFeed = FEED) -> list[bytes]:
    return data([arrival async for arrival in packet_source(feed, StepClock(auto=True))])


async def over_the_link() -> list[Arrival]:
    async with virtual_link(FEED, SystemClock(SPEED), speed=SPEED, settings=PATIENT) as source:
        arrivals = [arrival async for arrival in source]
        assert source.dropped == 0
    return arrivals


def data(arrivals: list[Arrival]) -> list[bytes]:
    return [arrival.payload for arrival in arrivals if arrival.channel is Channel.DATA]


def links(arrivals: list[Arrival]) -> list[str]:
    return [arrival.payload.decode() for arrival in arrivals if arrival.channel is Channel.LINK]


def by_index(packets: list[Packet]) -> dict[int, bytes]:
    return {p.first_index + i: p.counts[i].tobytes() for p in packets for i in range(len(p))}


async def whole_motion(feed: TraineeFeed | FileFeed) -> dict[int, bytes]:
    return by_index([decode(payload) for payload in await packets_without_radio(feed)])


async def test_the_radio_path_changes_no_byte() -> None:
    assert link_available()
    arrivals = await over_the_link()
    assert data(arrivals) == await packets_without_radio()
    assert links(arrivals) == ["searching", "connected", "lost", "searching", "ended"]
    assert {arrival.sensor_id for arrival in arrivals[1:]} == {SENSOR_ADDRESS}
    assert [a.channel for a in arrivals[2:5]] == [Channel.INFO, Channel.BATTERY, Channel.DATA]
    assert Info.from_bytes(arrivals[2].payload).rate_hz == 100.0
    assert arrivals[3].payload == bytes([87])


async def test_the_end_of_a_performance_is_told_as_its_end_and_a_loss_before_it_as_a_loss() -> None:
    setup = Setup(faults=Faults(lose_link_after=(60,)))
    async with virtual_performance(LONG, SystemClock(SLOW), speed=SLOW, setup=setup) as source:
        arrivals = [arrival async for arrival in source]
    assert links(arrivals) == ["searching", "connected", "lost", "searching", "connected", "ended"]
    assert by_index([decode(p) for p in data(arrivals)]) == await whole_motion(LONG)


@pytest.fixture
def table(tmp_path: Path) -> FileFeed:
    """Six seconds of a recording with a hole of one second in the middle."""
    t_s = np.concatenate([np.arange(300) / 100, 4.0 + np.arange(300) / 100])
    rows = "\n".join(f"{t:.2f},0.0{i % 10},0,1.0,0,{i % 7},0" for i, t in enumerate(t_s))
    (tmp_path / "a.csv").write_text(f"t_s,ax_g,ay_g,az_g,gx_dps,gy_dps,gz_dps\n{rows}\n")
    return FileFeed(tmp_path / "a.csv")


async def test_a_recorded_table_comes_through_with_its_holes(table: FileFeed) -> None:
    async with virtual_link(table, SystemClock(SPEED), speed=SPEED) as source:
        got = data([arrival async for arrival in source])
    assert got == await packets_without_radio(table)
    assert sorted(by_index([decode(p) for p in got])) == [*range(300), *range(400, 700)]


async def test_at_the_smallest_mtu_every_sample_comes_in_a_packet_of_its_own(table: FileFeed) -> None:
    """ATT MTU 23 (Bluetooth Core Specification, Vol 3, Part F, 3.2.8); and packet 7, lost in the air, is sent again."""
    setup = Setup(max_att_mtu=23, faults=Faults(skip=(7,)))
    async with virtual_link(table, SystemClock(SPEED), speed=SPEED, settings=PATIENT, setup=setup) as source:
        payloads = data([arrival async for arrival in source])
    assert {len(payload) for payload in payloads} == {20}
    packets = [decode(payload) for payload in payloads]
    assert by_index(packets) == await whole_motion(table)
    # Once, or twice where the machine is so busy that the answer takes longer than a retry, 20 ms here.
    assert {p.first_index for p in packets if PacketFlags.RESENT in p.flags} == {6}


async def test_a_lost_link_is_made_anew_and_the_ring_gives_back_what_was_missed() -> None:
    setup = Setup(faults=Faults(lose_link_after=(60,)))
    packets: list[Packet] = []
    arrivals: list[Arrival] = []
    async with virtual_link(LONG, SystemClock(SLOW), speed=SLOW, settings=PATIENT, setup=setup) as source:
        async for arrival in source:
            arrivals.append(arrival)
            if arrival.channel is Channel.DATA:
                packets.append(decode(arrival.payload))
    assert links(arrivals)[:5] == ["searching", "connected", "lost", "searching", "connected"]
    live = [p for p in packets if not p.flags & PacketFlags.RESENT]
    assert len(by_index(live)) == sum(len(p) for p in live)  # none twice
    assert [p.first_index for p in live[:60]] == list(range(0, 600, 10))
    assert by_index(packets) == await whole_motion(LONG)


async def test_a_sensor_that_falls_silent_is_connected_anew() -> None:
    setup = Setup(faults=Faults(stall_after=(60,)))
    impatient = RadioSettings(stall_s=0.7 * SLOW, gone_after_s=20 * SLOW, until_gone=True)
    async with virtual_link(LONG, SystemClock(SLOW), speed=SLOW, settings=impatient, setup=setup) as source:
        arrivals = [arrival async for arrival in source]
    assert links(arrivals)[:6] == ["searching", "connected", "stalled", "lost", "searching", "connected"]
    got = by_index([decode(payload) for payload in data(arrivals)])
    expected = await whole_motion(LONG)
    assert set(range(600)) <= set(got)
    assert max(got) > 600
    assert all(expected[index] == sample for index, sample in got.items())


async def test_a_file_that_is_no_table_is_named(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("hello\n")
    with pytest.raises(VirtualSensorError, match=r"a\.csv, line 1"):
        async with virtual_link(FileFeed(tmp_path / "a.csv"), SystemClock()):
            pass


async def test_a_process_that_breaks_down_is_told_with_its_last_words(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sensor.virtual.spawn.PROCESS", "sensor.virtual.no_such_module")
    with pytest.raises(VirtualSensorError, match="No module named"):
        async with virtual_sensor(Setup(feed=FEED)):
            pass


async def test_a_process_that_is_killed_ends_the_source_and_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    spawned: list[Process] = []

    async def spawn(stderr: IO[bytes]) -> Process:
        spawned.append(await start(stderr))
        return spawned[0]

    start = _spawn
    monkeypatch.setattr("sensor.virtual.spawn._spawn", spawn)
    arrivals: list[Arrival] = []
    with pytest.raises(VirtualSensorError, match="broke down"):
        await read_and_kill(spawned, arrivals)
    assert links(arrivals) == ["searching", "connected", "lost", "searching", "ended"]


async def read_and_kill(spawned: list[Process], arrivals: list[Arrival]) -> None:
    async with virtual_link(FEED, SystemClock(), settings=PATIENT) as source:
        async for arrival in source:
            arrivals.append(arrival)
            if len(arrivals) == 6:
                spawned[0].kill()


async def test_leaving_early_leaves_no_process_and_no_task_behind() -> None:
    before = asyncio.all_tasks()
    async with virtual_sensor(Setup(feed=FEED)) as port:
        pass
    with pytest.raises(OSError, match="onnect"):
        await asyncio.open_connection("127.0.0.1", port)
    assert asyncio.all_tasks() == before


async def test_scan_services_and_control_as_bleak_sees_them() -> None:
    """One process serves all three, one after the other: it takes a second to start."""
    async with virtual_sensor(Setup(feed=FEED, speed=SPEED)) as port, virtual_adapter(port) as adapter:
        classes = backends(adapter)
        found = await scan(SystemClock(), 0.3, classes)
        assert [(sighting.address, sighting.name) for sighting in found] == [(SENSOR_ADDRESS, NAME)]
        async with BleakClient(SENSOR_ADDRESS, backend=classes.client) as client:
            check_services(client)
            await check_control(client)
            data = client.services.get_characteristic(DATA_UUID)
            assert data is not None
            assert data.max_write_without_response_size == client.mtu_size - 3 == 514
            assert (await client.read_gatt_char("2a24")).decode() == "virtual"  # model number, Bluetooth SIG


async def test_a_new_rate_takes_effect_and_is_announced() -> None:
    clock, asked = SystemClock(SPEED), False
    infos: list[Info] = []
    rates: set[tuple[int, int]] = set()
    async with virtual_link(FEED, clock, speed=SPEED, settings=PATIENT) as source:
        async for arrival in source:
            if arrival.channel is Channel.INFO:
                infos.append(Info.from_bytes(arrival.payload))
            elif arrival.channel is Channel.DATA:
                rates.add((decode(arrival.payload).boot_tag, len(decode(arrival.payload))))
                if not asked:
                    asked = True
                    await source.send(SetRate(200.0))
    assert [info.rate_hz for info in infos] == [100.0, 200.0]
    assert {(infos[0].boot_tag, 10), (infos[1].boot_tag, 20)} <= rates
    with pytest.raises(RadioError, match="No sensor"):
        await source.send(SetRate(100.0))


def test_the_advertisement_fits_into_31_bytes() -> None:
    """Bluetooth Core Specification, Vol 3, Part C, 11: legacy advertising data holds 31 bytes."""
    assert len(advertisement("Rungwise")) == 31
    with pytest.raises(ValueError, match="at most 8"):
        advertisement("Rungwise!")


def test_the_setup_survives_its_trip_to_the_process() -> None:
    for feed in (FEED, FileFeed(Path("a b.csv"))):
        setup = Setup(feed=feed, speed=20.0, boot_id=7, faults=Faults((1,), (2,), (3, 4)), max_att_mtu=23)
        assert Setup.from_json(setup.to_json()) == setup
