"""The virtual sensor without its radio: what it sends, when, and what it answers."""

from __future__ import annotations

import functools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sensor.protocol import (
    Mark,
    Marked,
    Packet,
    PacketFlags,
    Resend,
    SetRange,
    SetRate,
    Start,
    Stop,
    decode,
)
from sensor.virtual.core import RefusedError, SensorCore
from sensor.virtual.motion import Counts, TraineeFeed, load_motion, smallest_scale, to_counts
from sensor.virtual.script import Beat, regular_script

FEED = TraineeFeed(regular_script(trainee="T", sets=1, reps=1, beat=Beat(1, 1, 1, 0), rest_s=10), seed=5, rate_hz=50.0)
MTU = 247
LATE_S = 1e6


@functools.cache
def expected() -> Counts:
    motion = load_motion(FEED)
    return to_counts(motion, smallest_scale(motion))


def started(att_mtu: int = MTU, at_s: float = 0.0) -> SensorCore:
    core = SensorCore(FEED, boot_id=0x1234)
    core.take(Start(), at_s, att_mtu)
    return core


def drain(core: SensorCore, now_s: float) -> list[Packet]:
    """Everything that is due at `now_s`, re-sent packets included."""
    packets: list[Packet] = []
    while got := core.due(now_s):
        packets += [decode(payload) for payload in got]
    return packets


def indices(packets: list[Packet]) -> list[int]:
    return [packet.first_index + i for packet in packets for i in range(len(packet))]


@settings(max_examples=15)
@given(att_mtu=st.integers(23, 517), steps_s=st.lists(st.floats(0, 20), min_size=1, max_size=8))
def test_every_sample_once_and_in_order_however_the_clock_is_asked(att_mtu: int, steps_s: list[float]) -> None:
    core = started(att_mtu)
    packets: list[Packet] = []
    for now_s in [*np.cumsum(steps_s), LATE_S]:
        packets += drain(core, float(now_s))
    assert indices(packets) == list(range(len(expected())))
    assert np.array_equal(np.vstack([p.counts for p in packets]), expected().values)
    assert core.finished


def test_packets_carry_their_own_time_and_boot_id_and_the_first_says_restarted() -> None:
    packets = drain(started(), LATE_S)
    assert {p.boot_tag for p in packets} == {0x34}
    assert [p.device_us for p in packets] == [int(expected().device_us[p.first_index]) for p in packets]
    assert packets[0].flags == PacketFlags.RESTARTED
    assert all(p.flags == PacketFlags.NONE for p in packets[1:])
    assert all(len(p) == 5 for p in packets[:-1])  # 0.1 s at 50 Hz


def test_a_packet_is_due_when_its_last_sample_has_been_taken() -> None:
    core = started(at_s=100.0)
    assert core.next_due_s() == pytest.approx(100.08)
    assert core.due(100.079) == []
    assert len(core.due(100.081)) == 1
    assert core.next_due_s() == pytest.approx(100.18)


def test_silent_before_start_and_after_stop() -> None:
    core = SensorCore(FEED, boot_id=1)
    assert core.due(LATE_S) == []
    assert core.next_due_s() == math.inf
    core.take(Start(), 0.0, MTU)
    core.take(Stop(), 1.0, MTU)
    assert core.due(LATE_S) == []


def test_time_goes_on_while_nobody_listens() -> None:
    core = started()
    before = drain(core, 1.0)
    core.pause()
    core.take(Start(), 3.0, MTU)
    after = drain(core, 4.0)
    assert indices(before) == list(range(50))
    assert indices(after)[0] == 151  # samples 0 … 150 were taken by 3.0 s
    assert after[0].device_us == 3_020_000


def test_resend_gives_what_the_ring_holds_marked_as_resent_and_live_first() -> None:
    core = started()
    drain(core, 1.0)
    core.pause()
    core.take(Start(), 5.0, MTU)
    core.take(Resend(50, 201), 5.0, MTU)
    first = [decode(payload) for payload in core.due(6.0)]
    assert not first[0].flags & PacketFlags.RESENT
    packets = first + drain(core, 6.0)
    resent = [p for p in packets if p.flags & PacketFlags.RESENT]
    assert indices(resent) == list(range(50, 251))
    assert np.array_equal(np.vstack([p.counts for p in resent]), expected().values[50:251])
    assert indices([p for p in packets if p not in resent]) == list(range(251, 301))


def test_resend_of_the_future_or_of_nothing_is_empty() -> None:
    core = started()
    drain(core, 1.0)
    for first_index, count in ((10_000, 50), (100, 10), (5, 0)):
        core.take(Resend(first_index, count), 1.0, MTU)
        assert core.due(1.0) == []


def test_the_ring_forgets_the_oldest(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sensor.virtual.core.RING_S", 2.0)
    core = started()
    drain(core, 10.0)
    assert core.info.ring_samples == 100
    core.take(Resend(0, 1000), 10.0, MTU)
    assert indices(drain(core, 10.0)) == list(range(401, 501))


def test_the_ring_holds_a_minute_at_100_hz() -> None:
    core = SensorCore(TraineeFeed(FEED.script, 5, 100.0), boot_id=1)
    assert core.info.ring_samples >= 6000


def test_mark_reads_back_index_and_device_time() -> None:
    core = started(at_s=10.0)
    assert core.marked == b""
    core.take(Mark(77), 12.5, MTU)
    assert Marked.from_bytes(core.marked) == Marked(token=77, next_index=126, device_us=2_500_000)


def test_a_new_range_begins_a_new_boot_id_with_the_same_motion() -> None:
    core = started()
    drain(core, 2.0)
    before = core.info
    core.take(SetRange(16, 2000), 2.0, MTU)
    after, packets = core.info, drain(core, LATE_S)
    assert after.boot_id == before.boot_id + 1
    assert after.force_g_per_count == 16 / 32768
    assert packets[0].flags & PacketFlags.RESTARTED
    assert indices(packets) == list(range(len(expected()) - 101))
    coarse = packets[0].counts[:, :3] * after.force_g_per_count
    fine = expected().values[101 : 101 + len(packets[0]), :3] * before.force_g_per_count
    assert coarse == pytest.approx(fine, abs=after.force_g_per_count)


def test_a_new_rate_begins_a_new_boot_id_where_time_stands() -> None:
    core = started()
    drain(core, 2.0)
    core.take(SetRate(200.0), 2.0, MTU)
    packets = drain(core, LATE_S)
    assert core.info.rate_hz == 200.0
    assert packets[0].first_index == 0
    assert packets[0].device_us == 2_005_000


@pytest.mark.parametrize("command", [SetRate(5.0), SetRate(2000.0), SetRange(3, 500), SetRange(4, 501)])
def test_what_the_sensor_cannot_do_is_refused(command: SetRate | SetRange) -> None:
    with pytest.raises(RefusedError):
        started().take(command, 0.0, MTU)


def test_small_mtu_sends_one_sample_of_six_axes_a_packet() -> None:
    """ATT MTU 23 (Bluetooth Core Specification, Vol 3, Part F, 3.2.8) leaves 20 bytes: 8 of header, 12 of sample."""
    core = started(att_mtu=23)
    payloads = core.due(1.0)
    assert {len(payload) for payload in payloads} == {20}
    assert indices([decode(p) for p in payloads]) == list(range(51))
