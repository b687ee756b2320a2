"""How the radio source looks for its sensor, and follows its battery; on a made-up sensor."""

from __future__ import annotations

import asyncio
from dataclasses import replace

import pytest
from bleak.exc import BleakError
from fakeradio import CHARACTERISTICS, Connection, FakeRadio
from radioreader import SETTINGS, Reader, read_all, run_for
from stepclock import StepClock, settle

from sensor.protocol import BATTERY_LEVEL_UUID
from sensor.radio import RadioError, RadioSettings, RadioSource, scan
from sensor.source import LinkState


async def test_the_battery_is_heard_of_by_notification() -> None:
    clock, radio = StepClock(), FakeRadio()
    async with RadioSource(clock, SETTINGS, radio.backends()) as source:
        reader = Reader(source)
        await clock.advance(0.5)
        radio.clients[0].send(b"\x09", uuid=BATTERY_LEVEL_UUID)
        await settle()
    reader.stop()
    assert reader.batteries == [b"2a19", b"\x09"]


async def test_a_sensor_that_floods_with_its_battery_level_is_not_listened_to() -> None:
    clock, radio = StepClock(), FakeRadio()
    async with RadioSource(clock, SETTINGS, radio.backends()) as source:
        reader = Reader(source)
        await clock.advance(0.5)
        for _ in range(10):
            radio.clients[0].send(*[b"\x09"] * 100, uuid=BATTERY_LEVEL_UUID)
            radio.clients[0].send(b"x")
            await clock.advance(0.1)
    reader.stop()
    assert reader.batteries == [b"2a19", b"\x09"]


async def test_the_battery_of_a_sensor_that_does_not_notify_is_read_now_and_then(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(CHARACTERISTICS, BATTERY_LEVEL_UUID, ["read"])
    reader = await run_for(FakeRadio(), 125.0, replace(SETTINGS, stall_s=1000.0, battery_s=60.0))
    assert reader.batteries == [b"2a19"] * 3


async def test_of_two_sensors_that_would_do_one_must_be_chosen() -> None:
    radio = FakeRadio(sensors=[("AA", "belt", -40), ("BB", "belt", -70), ("CC", "bar", -70)])
    with pytest.raises(
        RadioError, match=r"2 sensors are in range: belt at AA, belt at BB.*--sensor AA.*switch the oth"
    ):
        await read_all(RadioSource(StepClock(auto=True), RadioSettings(name="belt"), radio.backends()))


@pytest.mark.parametrize("ask_for", ["--sensor {}", "rungwise sensor {}"])
async def test_the_one_is_chosen_as_the_command_at_hand_takes_it(ask_for: str) -> None:
    radio = FakeRadio(sensors=[("AA", "belt", -40), ("BB", "belt", -70)])
    settings = RadioSettings(ask_for=ask_for, names={"BB": "bar"})
    with pytest.raises(RadioError, match=rf"bar at BB, belt at AA.*`{ask_for.format('AA')}`"):
        await read_all(RadioSource(StepClock(auto=True), settings, radio.backends()))


@pytest.mark.parametrize("ask_for", ["--sensor {}", "rungwise sensor {}"])
@pytest.mark.parametrize(
    ("asked", "said"),
    [({"name": "blet"}, "called blet"), ({"address": "CC"}, "called bar"), ({"address": "DD"}, "at DD")],
)
async def test_who_asks_for_one_that_is_not_there_is_told_those_that_are(
    ask_for: str, asked: dict[str, str], said: str
) -> None:
    radio = FakeRadio(sensors=[("AA", "belt", -40), ("BB", "RW-2", -70)])
    settings = RadioSettings(find_s=30.0, ask_for=ask_for, names={"CC": "bar"}, **asked)
    with pytest.raises(
        RadioError, match=rf"No sensor {said} found, but in range: RW-2 at BB, belt at AA.*`{ask_for.format('AA')}`"
    ):
        await read_all(RadioSource(StepClock(auto=True), settings, radio.backends()))
    with pytest.raises(RadioError, match=rf"No sensor {said} found. Wake it, bring it within"):
        await read_all(RadioSource(StepClock(auto=True), settings, FakeRadio(sensors=[]).backends()))


async def test_a_scanner_that_does_not_answer_is_not_waited_for() -> None:
    radio = FakeRadio(scan_hangs=[True])
    with pytest.raises(RadioError, match="Switch it off and on again"):
        await read_all(RadioSource(StepClock(), SETTINGS, radio.backends()))


async def test_a_sensor_without_battery_level_is_a_sensor() -> None:
    radio = FakeRadio([Connection(failing=frozenset({"read 2a19"}), on_start=lambda client: client.send(b"x"))])
    reader = await run_for(radio, 1.0)
    assert reader.data == [b"x"]


async def test_only_the_sensor_asked_for_is_taken() -> None:
    both = [("AA", "bar", -40), ("BB", "belt", -70)]
    by_name, by_address = FakeRadio(sensors=list(both)), FakeRadio(sensors=list(both))
    await run_for(by_name, 1.0, RadioSettings(name="belt", gather_s=0))
    await run_for(by_address, 1.0, RadioSettings(address="bb"))
    assert [client.address for client in by_name.clients + by_address.clients] == ["BB", "BB"]


async def test_a_search_in_vain_ends_with_what_to_do() -> None:
    source = RadioSource(StepClock(auto=True), RadioSettings(find_s=30.0), FakeRadio(sensors=[]).backends())
    with pytest.raises(RadioError, match="Wake it"):
        await read_all(source)


async def test_bluetooth_missing_at_first_is_an_error_with_what_to_do() -> None:
    radio = FakeRadio(scan_errors=[FileNotFoundError(2, "No such file or directory")])
    with pytest.raises(RadioError, match=r"D-Bus.*apt install bluez.*rungwise demo"):
        await read_all(RadioSource(StepClock(), SETTINGS, radio.backends()))


async def test_bluetooth_missing_later_is_waited_for() -> None:
    radio = FakeRadio(
        [Connection(on_start=lambda client: client.lose_link()), Connection()],
        scan_errors=[None, BleakError("off"), BleakError("off")],
    )
    reader = await run_for(radio, 3.0)
    assert reader.links == ["searching", "connected", "lost", "searching", "blocked", "searching", "connected"]


async def test_each_look_ends_and_a_new_one_begins() -> None:
    """Where Bluetooth was off for a moment, the system's own search is dead and does not say so."""
    radio, clock = FakeRadio(sensors=[]), StepClock()
    async with RadioSource(clock, SETTINGS, radio.backends()) as source:
        reader = Reader(source)
        await clock.advance(20.0)
        radio.sensors.append(("AA", "clip", -50))  # the fake tells of sensors at the begin of a scan only
        await clock.advance(10.5)
    reader.stop()
    assert radio.log[:4] == ["scan", "stop scan", "scan", "stop scan"]
    assert reader.links == ["searching", "connected"]


async def test_bluetooth_off_while_the_sensor_is_looked_for_at_first_is_told_until_it_is_on_again() -> None:
    radio, clock = FakeRadio(sensors=[], scan_errors=[None, BleakError("off"), BleakError("off")]), StepClock()
    async with RadioSource(clock, SETTINGS, radio.backends()) as source:
        reader = Reader(source)
        await clock.advance(40.0)
    reader.stop()
    assert reader.links == ["searching", "blocked", "searching"]


async def test_a_scan_that_cannot_be_stopped_has_ended_by_itself() -> None:
    radio = FakeRadio(stop_errors=[BleakError("No discovery started")])
    reader = await run_for(radio, 0.5)
    assert reader.links == ["searching", "connected"]


async def test_asked_to_it_ends_when_the_sensor_is_gone() -> None:
    radio = FakeRadio([Connection(on_start=lambda client: (radio.sensors.clear(), client.lose_link())[1])])
    clock = StepClock(auto=True)
    async with RadioSource(clock, RadioSettings(until_gone=True), radio.backends()) as source:
        reader = Reader(source)
        await reader.ended()
    assert reader.links == ["searching", "connected", "lost", "searching", "ended"]


async def test_asked_to_it_ends_at_once_when_the_adapter_is_gone() -> None:
    gone: asyncio.Future[None] = asyncio.get_running_loop().create_future()
    radio = FakeRadio([Connection()], adapter_gone=gone)
    clock = StepClock()
    async with RadioSource(clock, RadioSettings(until_gone=True, gather_s=0), radio.backends()) as source:
        reader = Reader(source)
        await clock.advance(1.0)
        radio.sensors.clear()
        gone.set_result(None)
        radio.clients[0].lose_link()
        await reader.ended()
    assert reader.links[-1] == LinkState.ENDED


async def test_scan_lists_the_strongest_first() -> None:
    radio = FakeRadio(sensors=[("AA", "bar", -80), ("BB", "belt", -40)])
    found = await scan(StepClock(auto=True), backends=radio.backends())
    assert [(s.address, s.name, s.rssi_dbm) for s in found] == [("BB", "belt", -40), ("AA", "bar", -80)]


async def test_scan_without_bluetooth_says_what_to_do() -> None:
    with pytest.raises(RadioError, match="Switch it off and on again"):
        await scan(StepClock(auto=True), backends=FakeRadio(scan_errors=[BleakError("?")]).backends())
