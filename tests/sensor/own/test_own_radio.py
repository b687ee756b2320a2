"""A described sensor over the radio: found, started and read as described, its notifications untouched."""

from __future__ import annotations

import pytest
from tags import Tag

from sensor.own.loading import parse
from sensor.protocol import BATTERY_LEVEL_UUID, SetRate
from sensor.radio import RadioError, RadioSettings, RadioSource
from sensor.radio_sort import sort_of
from sensor.source import Arrival, Channel
from tests.sensor.fakeradio import Connection, FakeRadio, Properties
from tests.sensor.stepclock import StepClock

SERVICE, DATA, START, CHARGE = (f"4a7c000{n}-52e1-4b19-9a51-0c83c1d9e001" for n in (1, 2, 3, 4))
NAMED = Tag("B").text.replace('"ff01"', f'"{DATA}"')
TEXT = NAMED.replace('name = "tag"\n[motion]', f'service = "{SERVICE}"\n[motion]')
TEXT += f"""
[battery]
characteristic = "{CHARGE}"
[[start]]
characteristic = "{START}"
hex = "01 64"
response = false
[[start]]
characteristic = "{START}"
hex = "02"
"""
CHARACTERISTICS: dict[str, Properties] = {
    DATA: ["notify"],
    START: ["write", "write-without-response"],
    CHARGE: ["read"],
}


def radio(connection: Connection | None = None, **changes: Properties) -> FakeRadio:
    return FakeRadio([connection or Connection()], service=SERVICE, characteristics={**CHARACTERISTICS, **changes})


async def run(air: FakeRadio, gather_s: float = 0.0, name: str | None = None) -> list[Arrival]:
    """Listen for a while, let what is connected then notify, and return what came."""
    clock, arrivals = StepClock(), []
    settings = RadioSettings(
        io_s=0.05, stall_s=4.0, find_s=2.0, gather_s=gather_s, sort=sort_of(parse(TEXT)), name=name
    )
    async with RadioSource(clock, settings, air.backends()) as source:
        await clock.advance(2.0)
        for client in (one for one in air.clients if DATA in one.notify):
            client.send(b"raw", b"\x00\x01", uuid=DATA)
        async for arrival in source:
            arrivals.append(arrival)
            if arrival.payload == b"\x00\x01":
                break
    return arrivals


async def test_it_is_found_described_started_and_passed_on_raw() -> None:
    air = radio()
    arrivals = await run(air)
    assert air.searched == [[SERVICE]]
    assert air.log[2:7] == ["connect", "read 0004", "subscribe 0002", "write 0003", "write 0003"]
    assert air.clients[0].written == [b"\x01\x64", b"\x02"]
    assert air.clients[0].answered == [False, True]
    assert [(one.channel, one.payload) for one in arrivals] == [
        (Channel.LINK, b"searching"),
        (Channel.LINK, b"connected"),
        (Channel.INFO, TEXT.encode()),
        (Channel.BATTERY, b"0004"),
        (Channel.DATA, b"raw"),
        (Channel.DATA, b"\x00\x01"),
    ]


async def test_by_its_name_alone_every_sensor_is_looked_at() -> None:
    air = radio()
    air.sensors = [("AA", "clip", -40), ("BB", "tag", -60)]
    settings = RadioSettings(io_s=0.05, name="tag", gather_s=0.0, sort=sort_of(parse(NAMED)))
    clock = StepClock()
    async with RadioSource(clock, settings, air.backends()):
        await clock.advance(1.0)
    assert air.searched == [None]
    assert air.log.count("connect") == 1


async def test_of_two_alike_the_description_must_say_which() -> None:
    air = radio()
    air.sensors = [("AA", "one", -40), ("BB", "two", -60)]
    with pytest.raises(RadioError, match=r"2 sensors are in range: .*BB.* `address = \"AA\"` under \[find\]"):
        await run(air, gather_s=1.0)
    assert air.log.count("connect") == 0


async def test_one_of_another_name_than_described_is_told_with_what_to_correct() -> None:
    air = radio()
    air.sensors = [("AA", "one", -40)]
    with pytest.raises(
        RadioError, match=r"called two found, but in range: one at AA\..* correct name .*under \[find\]"
    ):
        await run(air, name="two")


async def test_without_a_battery_it_is_a_sensor_all_the_same() -> None:
    air = radio()
    del air.characteristics[CHARGE]
    assert (await run(air))[-1].payload == b"\x00\x01"


@pytest.mark.parametrize(
    ("lacks", "properties", "named"),
    [(DATA, None, "motion.characteristic"), (DATA, ["read"], "motion.characteristic"), (START, None, "start.0")],
)
async def test_another_sensor_than_described_is_told_once(lacks: str, properties: Properties, named: str) -> None:
    """Trying again would not help, so it ends in one sentence that names the key."""
    air = radio()
    del air.characteristics[lacks]
    if properties:
        air.characteristics[lacks] = properties
    with pytest.raises(RadioError, match=rf"tag that was found has no .*{lacks}.*{named}"):
        await run(air)
    assert air.log.count("connect") == 1
    assert air.log[-1] == "disconnect"


async def test_it_takes_no_commands() -> None:
    source = RadioSource(StepClock(), RadioSettings(sort=sort_of(parse(TEXT))), radio().backends())
    with pytest.raises(RadioError, match="takes no commands"):
        await source.send(SetRate(100.0))


def test_the_usual_battery_is_read_where_none_is_described() -> None:
    assert sort_of(parse(Tag().text)).battery == BATTERY_LEVEL_UUID
