"""Pitfalls of transport, one test each: what a link or a sensor's registers do to a set, from bytes to reps."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from motion_scenes import REP, Array, Step, scene

from analysis.motion.analysis import analyse
from analysis.motion.mounts import Mount
from analysis.motion.parameters import STANDARD_GRAVITY_M_S2
from analysis.motion.results import Bout, RepKind, Why
from analysis.motion.samples import Samples
from analysis.training.scale import scaled
from sensor.assembly import Assembler, Block
from sensor.clock import DeviceClock
from sensor.info import Info
from sensor.protocol import Layout, Packet, PacketFlags, encode
from sensor.source import Arrival, Channel
from sensor.table import Table
from sensor.virtual.motion import Scale, to_counts

RATE_HZ, BY = 100.0, 10
SET, STARTS = scene([(0.0, 6.0), *REP * 6, (0.0, 14.0)], RATE_HZ, gyro=True)
SCALE = Scale(4, 250)
INFO = Info(boot_id=7, rate_hz=RATE_HZ, force_g_per_count=4 / 32768, turn_deg_s_per_count=250 / 32768)


def one_set(samples: Samples) -> Bout:
    (bout,) = analyse(samples, Mount.BODY).sets
    return bout


def times(bout: Bout) -> list[float | None]:
    return [t for rep in bout.reps for t in (rep.start_s, rep.top_s, rep.down_s, rep.end_s)]


def kept(samples: Samples, where: np.typing.NDArray[np.bool_]) -> Samples:
    rate = None if samples.rate_rad_s is None else samples.rate_rad_s[where]
    return Samples(samples.t_s[where], samples.force_m_s2[where], rate)


def packets(samples: Samples, first_index: int = 0, start_us: int = 0) -> list[Packet]:
    """The set as a sensor would send it, 16 bits in a range of ±4 g."""
    counts = to_counts(Table(samples.t_s, samples.force_m_s2, samples.rate_rad_s), SCALE).values
    starts = range(0, len(counts), BY)
    indices = [(first_index + i) % 2**32 for i in starts]
    return [
        Packet(boot_tag=7, first_index=index, device_us=start_us + i * 10_000, counts=counts[i : i + BY])
        for i, index in zip(starts, indices, strict=True)
    ]


def received(sent: Sequence[Packet], layout: Layout = Layout.LARGE) -> Samples:
    """What the assembler makes of packets in the order in which they arrive."""
    assembler = Assembler("clip")
    arrivals = [Arrival("clip", 0.0, Channel.INFO, bytes(INFO))]
    arrivals += [Arrival("clip", 0.1 * k, Channel.DATA, encode(packet, layout)) for k, packet in enumerate(sent)]
    items = [item for arrival in arrivals for item in assembler.push(arrival)] + assembler.finish()
    blocks = [item for item in items if isinstance(item, Block)]
    t_s = np.concatenate([b.t_s for b in blocks])
    force = np.vstack([b.force_m_s2 for b in blocks])
    return Samples(t_s - t_s[0], force, np.vstack([b.rate_rad_s for b in blocks if b.rate_rad_s is not None]))


PLAIN = one_set(received(packets(SET)))


def test_quantising_to_packets_changes_next_to_nothing() -> None:
    assert PLAIN.count == one_set(SET).count == 6
    assert times(PLAIN) == pytest.approx(times(one_set(SET)), abs=0.01)


@pytest.mark.parametrize("layout", Layout)
def test_duplicates_and_swapped_packets_change_nothing(layout: Layout) -> None:
    sent = packets(SET)
    random = np.random.default_rng(3)
    doubled = [p for p in sent for _ in range(1 + int(random.random() < 0.2))]
    for k in range(1, len(doubled) - 1, 5):
        doubled[k], doubled[k + 1] = doubled[k + 1], doubled[k]
    assert times(one_set(received(doubled, layout))) == pytest.approx(times(PLAIN), abs=1e-4)


def test_counters_that_wrap_in_the_middle_of_a_set_change_nothing() -> None:
    """Index modulo 2³² and device time modulo 2³² µs both wrap in the third rep."""
    middle = round(STARTS[9] * RATE_HZ)
    wrapping = packets(SET, first_index=2**32 - middle, start_us=2**32 - middle * 10_000)
    sent = [replace(p, device_us=p.device_us % 2**32) for p in wrapping]
    assert times(one_set(received(sent))) == pytest.approx(times(PLAIN), abs=1e-4)
    small = [replace(p, device_us=p.device_us % 2**22 // 64 * 64) for p in packets(SET)]  # wraps every 4.2 s
    assert times(one_set(received(small, Layout.SMALL))) == pytest.approx(times(PLAIN), abs=2e-3)


@pytest.mark.parametrize("axes", [3, 6])
@pytest.mark.parametrize("step", [6, 7, 8, 9], ids=["in a hold", "in a lowering", "in a bottom pause", "in a rise"])
def test_a_lost_burst_makes_no_attitude_or_speed_jump_of_a_rep(step: int, axes: int) -> None:
    """.4 s without samples: the six reps stand, and only the one that was hit may lose its figures."""
    at_s = STARTS[step] + 0.1
    whole = SET if axes == 6 else Samples(SET.t_s, SET.force_m_s2)
    bout = one_set(kept(whole, (SET.t_s < at_s) | (SET.t_s > at_s + 0.4)))
    assert bout.count == 6
    untouched = [r.travel_m for k, r in enumerate(bout.reps) if k not in (1, 2)]
    assert untouched == pytest.approx([0.45] * 4, abs=0.04)


@pytest.mark.parametrize("step", range(4, 22))
@pytest.mark.parametrize("lost_s", [1.5, 2.2, 3.0])
def test_a_burst_of_up_to_three_seconds_is_counted_through_or_said(lost_s: float, step: int) -> None:
    """Never a wrong count that is claimed: six, or not measured for the reason `gap`, and the hole is listed."""
    at_s = STARTS[step] + 0.2
    where = (SET.t_s < at_s) | (SET.t_s > at_s + lost_s)
    found = analyse(kept(SET, where), Mount.BODY)
    assert [gap.end_s - gap.start_s for gap in found.gaps] == pytest.approx([lost_s], abs=0.03)
    assert found.sets
    assert all(b.count == 6 or (not b.measured and b.why is Why.GAP) for b in found.sets)


@pytest.mark.parametrize("share", [0.02, 0.05, 0.1])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_scattered_loss_of_up_to_a_tenth_costs_no_rep(share: float, seed: int) -> None:
    random = np.random.default_rng(seed)
    sent = [p for p in packets(SET) if random.random() > share]
    bout = one_set(received(sent))
    assert bout.count == 6
    assert times(bout) == pytest.approx(times(PLAIN), abs=0.15)


def struck(peak_g: float) -> Array:
    """The set in g, with a knock in every second stroke that goes past ±4 g."""
    force = SET.force_m_s2 / STANDARD_GRAVITY_M_S2
    for at_s in STARTS[1:-1:4]:
        i = round((at_s + 0.5) * RATE_HZ)
        force[i : i + 3] += peak_g * np.array([0.6, -0.5, 0.7])
    return force


def test_a_sensor_clips_at_full_scale_and_says_so() -> None:
    counts = to_counts(Table(SET.t_s, struck(8.0) * STANDARD_GRAVITY_M_S2, SET.rate_rad_s), SCALE)
    assert counts.saturated.sum() == 3 * 7  # in every rep and after the last
    assert counts.values[counts.saturated].max() == 32767
    packet = Packet(boot_tag=7, first_index=0, device_us=0, counts=counts.values, flags=PacketFlags.SATURATED)
    assert PacketFlags.SATURATED in packet.flags


def test_overflow_that_wraps_is_a_knock_and_no_rep() -> None:
    """Registers that wrap at ±4 g turn +5 g into −3 g.

    That is not undone, since a sample does not tell how often it wrapped: it is left out as a knock is.
    """
    wrapped = (struck(8.0) + 4.0) % 8.0 - 4.0
    assert np.abs(wrapped - struck(8.0)).max() == pytest.approx(8.0)
    samples = Samples(SET.t_s, wrapped * STANDARD_GRAVITY_M_S2, SET.rate_rad_s)
    bout = one_set(samples)
    assert bout.count == 6
    assert times(bout) == pytest.approx(times(PLAIN), abs=0.12)


@pytest.mark.parametrize("range_g", [4, 8, 16])
def test_twelve_bits_are_enough(range_g: int) -> None:
    """12 bits of ±16 g are 7.8 mg a count, of ±4 g 2 mg."""
    step = 2 * range_g / 4096 * STANDARD_GRAVITY_M_S2
    bout = one_set(Samples(SET.t_s, np.rint(SET.force_m_s2 / step) * step))
    assert bout.count == 6
    assert [r.travel_m for r in bout.reps] == pytest.approx([0.45] * 6, abs=0.04)
    assert times(bout) == pytest.approx(times(PLAIN), abs=0.08)


@pytest.mark.parametrize("wrong", [0.015, -0.015])
def test_a_clock_that_is_one_and_a_half_percent_off_is_put_right_by_arrivals(wrong: float) -> None:
    """1.5 % of a 3 s hold are 45 ms."""
    held: tuple[Step, ...] = ((0.45, 1.0), (0.0, 3.0), (-0.45, 1.5), (0.0, 1.0))
    true, _ = scene([(0.0, 6.0), *held * 4, (0.0, 30.0)], RATE_HZ, noise_m_s2=0.005)
    device_s = true.t_s * (1 + wrong)
    bout = one_set(Samples(device_s, true.force_m_s2))
    clock = DeviceClock()
    jitter = np.random.default_rng(5).exponential(0.02, len(true))
    for k in range(BY - 1, len(true), BY):
        clock.push(float(device_s[k]), 1000.0 + float(true.t_s[k]) + 0.004 + float(jitter[k]))
    right = scaled(bout, clock.estimate().ratio)
    plain = one_set(true)
    for off, put_right, as_it_was in zip(bout.reps, right.reps, plain.reps, strict=True):
        assert off.hold_top_s is not None
        assert as_it_was.hold_top_s is not None
        assert abs(off.hold_top_s - as_it_was.hold_top_s) > 0.03
        assert put_right.hold_top_s == pytest.approx(as_it_was.hold_top_s, abs=0.015)


@pytest.mark.parametrize(("at_s", "lost_s", "seed"), [(23.0, 2.1, 0), (22.0, 1.8, 9), (33.0, 1.4, 20)])
def test_a_lost_burst_makes_no_one_and_a_half(at_s: float, lost_s: float, seed: int) -> None:
    """What is moved in a hole is hardly known: it must not pass for a way half up."""
    draw = np.random.default_rng(seed).uniform
    steps: list[Step] = [(0.0, 6.0)]
    for _ in range(14):
        travel = draw(0.35, 0.45)
        steps += [(travel, draw(0.8, 1.2)), (0.0, draw(0.05, 0.3)), (-travel, draw(1.0, 1.5)), (0.0, draw(0.05, 0.4))]
    samples, _ = scene([*steps, (0.0, 10.0)], noise_m_s2=0.05)
    bout = one_set(kept(samples, (samples.t_s <= at_s) | (samples.t_s >= at_s + lost_s)))
    assert {rep.kind for rep in bout.reps} == {RepKind.FULL}
