"""Two sensors in one session: each sample of both is recorded on one clock, and the first one counts."""

import asyncio
from contextlib import asynccontextmanager
from uuid import UUID

import numpy as np
import pytest
from devices import indices, run
from stepclock import StepClock

from sensor.assembly import Assembler
from sensor.protocol import Info, Layout, Packet, encode
from sensor.radio_errors import RadioError
from sensor.recording import Recording
from sensor.source import Arrival, Channel
from sensor.together import Together

RATES = {"belt": 100.0, "bar": 50.0}


def says(name):
    info = Info(boot_id=7, rate_hz=RATES[name], axes=3, force_g_per_count=2**-12, turn_deg_s_per_count=0.0)
    return Arrival(name, 0.0, Channel.INFO, bytes(info))


def sends(name, first):
    counts = np.full((10, 3), first % 1000, np.int16)
    packet = Packet(boot_tag=7, first_index=first, device_us=round(first * 1e6 / RATES[name]), counts=counts)
    return Arrival(name, (first + 10) / RATES[name], Channel.DATA, encode(packet, Layout.LARGE))


def stream(name, packets=30):
    return [says(name), *(sends(name, 10 * k) for k in range(packets))]


@asynccontextmanager
async def source(arrivals, *, late=0, error=None):
    async def give():
        for _ in range(late):
            await asyncio.sleep(0)
        for arrival in arrivals:
            await asyncio.sleep(0)
            yield arrival
        if error:
            raise error
        await asyncio.sleep(0.05)

    yield give()


async def read(*sources, slow=False):
    async with Together(sources, list(RATES)[: len(sources)], StepClock()) as together:
        if slow:
            await asyncio.sleep(0.02)  # all that the sources give comes before anything is read
        return [arrival async for arrival in together]


async def test_both_are_recorded_whole_into_one_session(tmp_path):
    clock = StepClock()
    with Recording.create(tmp_path / "a.rungwise", session_id=UUID(int=1), clock=clock, meta={}) as recording:
        for arrival in await read(source(stream("belt")), source(stream("bar"))):
            recording.append(arrival)
    with Recording.open(tmp_path / "a.rungwise") as recording:
        kept = list(recording.in_order())
    for name in RATES:
        own = [arrival for arrival in kept if arrival.sensor_id == name]
        assert own == stream(name)
        assert indices(run(Assembler(name), own)) == list(range(300))


async def test_the_first_says_what_it_is_before_anything_of_the_others():
    arrivals = await read(source(stream("belt"), late=20), source(stream("bar")))
    assert arrivals[0] == says("belt")
    assert {arrival.sensor_id for arrival in arrivals} == {"belt", "bar"}


async def test_another_that_breaks_down_does_not_end_the_session_and_the_first_does():
    broken = source(stream("bar", 3), error=RadioError("No sensor found."))
    arrivals = await read(source(stream("belt")), broken)
    assert [a for a in arrivals if a.sensor_id == "belt"] == stream("belt")
    told = Arrival("bar", 0.0, Channel.NOTICE, b"is not recorded any more: No sensor found.")
    assert [a for a in arrivals if a.sensor_id == "bar"] == [*stream("bar", 3), told]
    with pytest.raises(RadioError, match="No sensor"):
        await read(source([], error=RadioError("No sensor found.")), source(stream("bar")))


async def test_one_that_is_not_found_is_told_by_the_name_it_was_asked_for_with():
    arrivals = await read(source(stream("belt")), source([], error=RadioError("No sensor found.")))
    assert [(a.sensor_id, a.channel) for a in arrivals if a.sensor_id != "belt"] == [("bar", Channel.NOTICE)]


async def test_a_slow_reader_costs_nothing_here(monkeypatch):
    """The sources' own queues fill, and back-fill knows what those drop."""
    monkeypatch.setattr("sensor.together.QUEUE_SIZE", 8)
    arrivals = await read(source(stream("belt")), source(stream("bar")), slow=True)
    for name in RATES:
        assert [a for a in arrivals if a.sensor_id == name] == stream(name)


async def test_where_all_are_alike_none_is_waited_for_and_the_last_ends_it():
    sources = (source(stream("belt"), late=20, error=OSError("the adapter is gone")), source(stream("bar")))
    async with Together(sources, list(RATES)[:2], StepClock(), alike=True) as together:
        arrivals = [arrival async for arrival in together]
    assert arrivals[0] == says("bar")
    assert [one for one in arrivals if one.sensor_id == "bar"] == stream("bar")
    assert arrivals[-1].channel is Channel.NOTICE  # the other broke down, and that ended nothing


async def test_where_all_are_alike_and_all_break_down_it_is_an_error():
    gone = [source([], error=RadioError("no adapter")) for _ in range(2)]
    with pytest.raises(RadioError, match="no adapter"):
        async with Together(gone, list(RATES)[:2], StepClock(), alike=True) as together:
            assert [arrival.channel async for arrival in together] == []
