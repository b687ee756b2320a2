"""A sensor that speaks over an encrypted link only: pairing over the virtual radio, and the sentence where it fails."""

from __future__ import annotations

import asyncio

import pytest
from bleak import BleakClient
from bleak.exc import BleakError
from fakeradio import Connection, FakeRadio
from stepclock import StepClock

from sensor.protocol import CONTROL_UUID, INFO_UUID, Info, Start, decode, encode_command
from sensor.radio import RadioError, RadioSettings, RadioSource, scan
from sensor.radio_errors import wants_pairing
from sensor.source import Arrival, Channel, SystemClock
from sensor.virtual.adapter import virtual_adapter
from sensor.virtual.backend import backends
from sensor.virtual.faults import Faults
from sensor.virtual.link import packet_source, virtual_link
from sensor.virtual.motion import TraineeFeed
from sensor.virtual.process_setup import Setup
from sensor.virtual.script import Beat, regular_script
from sensor.virtual.spawn import virtual_sensor

SPEED = 25.0
FEED = TraineeFeed(regular_script(trainee="T", sets=1, reps=1, beat=Beat(1, 1, 1, 0), rest_s=10), seed=5)
PATIENT = RadioSettings(stall_s=10 * SPEED, gone_after_s=20 * SPEED, until_gone=True)


def samples(arrivals: list[Arrival]) -> dict[int, bytes]:
    packets = [decode(a.payload) for a in arrivals if a.channel is Channel.DATA]
    return {p.first_index + i: p.counts[i].tobytes() for p in packets for i in range(len(p))}


async def test_it_is_paired_with_and_streams_again_after_a_lost_link() -> None:
    setup = Setup(private=True, faults=Faults(lose_link_after=(40,)))
    async with virtual_link(FEED, SystemClock(SPEED), speed=SPEED, settings=PATIENT, setup=setup) as source:
        arrivals = [arrival async for arrival in source]
    whole = [arrival async for arrival in packet_source(FEED, StepClock(auto=True))]
    assert len([a for a in arrivals if a.payload == b"connected"]) == 2
    assert samples(arrivals) == samples(whole)


async def test_without_pairing_it_says_nothing_of_itself_and_takes_no_command() -> None:
    """Insufficient encryption: ATT error 0x0F (Bluetooth Core Specification, Vol 3, Part F, 3.4.1.1)."""
    async with virtual_sensor(Setup(private=True)) as port, virtual_adapter(port) as adapter:
        (found,) = await scan(SystemClock(), 0.5, backends(adapter))
        async with BleakClient(found.device, backend=backends(adapter).client) as client:
            with pytest.raises(BleakError) as refused:
                await client.read_gatt_char(INFO_UUID)
            assert wants_pairing(refused.value)
            with pytest.raises(BleakError) as refused:
                await client.write_gatt_char(CONTROL_UUID, encode_command(Start()), response=True)
            assert wants_pairing(refused.value)
            await client.pair()
            assert Info.from_bytes(bytes(await client.read_gatt_char(INFO_UUID))).boot_id == 1


async def test_a_sensor_that_will_not_pair_is_told_in_one_sentence() -> None:
    radio = FakeRadio([Connection(unpaired=True, pairing_fails=True)])
    async with RadioSource(StepClock(auto=True), RadioSettings(io_s=0.05), radio.backends()) as source:
        with pytest.raises(RadioError, match=r"Pair it in the system's Bluetooth settings"):
            await asyncio.wait_for(_all(source), 5)


async def _all(source: RadioSource) -> list[Arrival]:
    return [arrival async for arrival in source]


@pytest.mark.parametrize(
    ("said", "wants"),
    [
        ("ATT_INSUFFICIENT_ENCRYPTION_ERROR", True),
        ("[org.bluez.Error.NotPermitted] Read not permitted", True),
        ("Encryption is insufficient.", True),
        ("[org.bluez.Error.NotAuthorized] Not Authorized", True),
        ("Not connected", False),
    ],
)
def test_refusals_for_want_of_encryption_are_known(said: str, wants: bool) -> None:
    assert wants_pairing(BleakError(said)) is wants
