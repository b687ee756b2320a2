"""What a hostile sensor sends is bounded; what an honest one sends is not touched."""

import pytest
from fakeradio import Connection, FakeRadio
from radioreader import Reader
from stepclock import StepClock, settle

from sensor.allowance import BURST_BYTES, BYTES_PER_S, MOST_BYTES_PER_S, Allowance, needs
from sensor.own.loading import parse
from sensor.protocol import Info, max_samples
from sensor.radio import RadioSettings, RadioSource
from sensor.radio_sort import sort_of
from sensor.source import Channel
from tests.sensor.own.tags import Tag


def test_a_flood_is_cut_to_the_burst_and_the_rate():
    """Token bucket: in time T no more than burst + rate × T passes (closed form)."""
    allowance, seconds = Allowance(), 100
    passed = sum(512 for k in range(seconds * 10_000) if allowance.take(512, k / 10_000))
    assert passed <= BURST_BYTES + BYTES_PER_S * seconds
    assert passed == pytest.approx(BURST_BYTES + BYTES_PER_S * seconds, rel=0.001)


def test_six_axes_at_a_kilohertz_pass_for_hours_and_a_whole_ring_at_once():
    allowance = Allowance()
    packet = 10 + 12 * max_samples(247, 6)
    each_s = max_samples(247, 6) / 1000
    assert all(allowance.take(packet, k * each_s) for k in range(round(3600 / each_s)))
    ring = 65535  # the most that a u16 announces
    smallest = 8 + 12  # one sample a packet: the small layout at an ATT MTU of 23
    assert all(allowance.take(smallest, 3600.0) for _ in range(ring))


@pytest.mark.parametrize("rate_hz", [100.0, 1600.0, 3200.0])
def test_what_a_sensor_says_that_it_sends_passes_for_hours(rate_hz):
    """An hour at 3.2 kHz, each sample in a packet of its own at the largest head: 10 + 12 bytes (packet.md)."""
    allowance, seconds = Allowance(), 3600
    allowance.expect(needs(Info(boot_id=1, rate_hz=rate_hz, force_g_per_count=0.001, turn_deg_s_per_count=0.1)))
    assert all(allowance.take(round(22 * rate_hz), k) for k in range(seconds))


def test_no_sensor_is_allowed_more_than_the_air_carries():
    """A packet of 251 bytes at 2 Mbit/s: 2 + 4 + 2 + 251 + 3 bytes, 150 µs, 2 + 4 + 2 + 3 bytes, 150 µs (closed form).

    Bluetooth Core Specification 5.4, Vol 6, Part B, 2.1 (packet) and 4.1 (T_IFS); 4 bytes of L2CAP, 3 of ATT.
    """
    taken_us = 262 * 8 / 2 + 150 + 11 * 8 / 2 + 150
    in_the_air = (251 - 7) / (taken_us * 1e-6)
    assert in_the_air < MOST_BYTES_PER_S < 1.01 * in_the_air
    allowance, seconds = Allowance(), 100
    allowance.expect(1e12)
    passed = sum(512 for k in range(seconds * 1000) if allowance.take(512, k / 1000))
    assert passed <= BURST_BYTES + MOST_BYTES_PER_S * seconds


@pytest.mark.parametrize(("samples", "bytes_per_s"), [("samples = 5\n", 1600 * (6 + 2 / 5)), ("", 1600 * (6 + 2))])
def test_a_described_sensor_needs_what_its_layout_takes(samples, bytes_per_s):
    """Bytes of a sample and its share of a head of 2 bytes; one sample a notification where it is not told."""
    text = (
        Tag()
        .text.replace("samples = 5\n", samples)
        .replace("100.0", "1600")
        .replace("header = []", "header = ['skip 2']")
    )
    assert sort_of(parse(text)).bytes_per_s == pytest.approx(bytes_per_s)


def test_a_clock_that_stands_still_gives_no_more():
    allowance = Allowance()
    assert allowance.take(round(BURST_BYTES), 5.0)
    assert not allowance.take(1, 5.0)
    assert allowance.take(1, 6.0)


async def test_a_sensor_that_floods_fills_neither_memory_nor_disk():
    flood = [bytes(512)] * 20_000
    radio = FakeRadio([Connection(on_start=lambda client: client.send(*flood))])
    async with RadioSource(StepClock(), RadioSettings(queue_size=100_000, gather_s=0), radio.backends()) as source:
        await settle()
        await settle()
        assert source.dropped == len(flood) - BURST_BYTES // 512
        told = [arrival async for arrival in until_told(source)]
    assert told[-1].payload.startswith(b"sends more than it says")


async def until_told(source):
    async for arrival in source:
        yield arrival
        if arrival.channel is Channel.NOTICE:
            return


@pytest.mark.parametrize(("rate_hz", "notices"), [(3200.0, 0), (100.0, 1)])
async def test_what_is_too_much_is_by_what_the_sensor_says_and_is_told_once(rate_hz, notices):
    info = bytes(Info(boot_id=1, rate_hz=rate_hz, force_g_per_count=0.001, turn_deg_s_per_count=0.1))
    radio, clock = FakeRadio(information=info), StepClock()
    async with RadioSource(clock, RadioSettings(queue_size=1_000_000, gather_s=0), radio.backends()) as source:
        reader = Reader(source)
        for _ in range(100):  # 44.8 kB/s: six axes at 3.2 kHz, four samples in 56 bytes
            await clock.advance(4.0)
            radio.clients[0].send(*[bytes(512)] * 350)
        await settle()
        reader.stop()
    told = [arrival.payload for arrival in reader.arrivals if arrival.channel is Channel.NOTICE]
    assert len(told) == notices
    assert (source.dropped > 0) == bool(notices)
