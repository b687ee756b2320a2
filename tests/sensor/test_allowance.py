"""What a hostile sensor sends is bounded; what an honest one sends is not touched."""

import pytest
from fakeradio import Connection, FakeRadio
from stepclock import StepClock, settle

from sensor.allowance import BURST_BYTES, BYTES_PER_S, Allowance
from sensor.protocol import max_samples
from sensor.radio import RadioSettings, RadioSource


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
