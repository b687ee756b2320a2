"""Device time: wraps of both layouts, long holes, wrong clocks, restarts."""

import gzip
import json
from pathlib import Path

import numpy as np
import pytest
from devices import SENSOR, Device, assert_true_samples, indices, lost, restarts, run, times

from sensor.assembly import Assembler, Block
from sensor.protocol import Layout, Packet, encode
from sensor.source import Arrival, Channel

SIM = Path(__file__).parents[3] / "shared" / "data" / "sim"


@pytest.mark.parametrize(("layout", "step_s"), [(Layout.SMALL, 64e-6), (Layout.LARGE, 1e-6)])
def test_time_goes_on_over_many_wraps(layout, step_s):
    # 6000 s: 1430 wraps of the small layout, more than one of the large.
    device = Device(rate_hz=1.0, layout=layout, clock_ratio=1.0)
    items = run(Assembler(SENSOR), [device.says(), *(device.sends(k, 2) for k in range(0, 6000, 2))])
    np.testing.assert_allclose(times(items), np.arange(6000.0), rtol=0, atol=step_s)


@pytest.mark.parametrize("ratio", [0.985, 1.0, 1.015])
@pytest.mark.parametrize("layout", Layout)
def test_time_is_right_after_a_hole_of_two_minutes_with_a_wrong_clock(layout, ratio):
    device = Device(layout=layout, clock_ratio=ratio)
    firsts = [*range(0, 100, 10), *range(12_100, 12_200, 10)]
    items = run(Assembler(SENSOR), [device.says(), *(device.sends(k) for k in firsts)])
    assert lost(items) == list(range(100, 12_100))
    starts = [block.t_s[0] for block in items if isinstance(block, Block)]
    np.testing.assert_allclose(starts, [device.time_us(k) / 1e6 for k in firsts], rtol=0, atol=64e-6)


@pytest.mark.parametrize("order", [(Layout.SMALL, Layout.LARGE), (Layout.LARGE, Layout.SMALL)])
def test_the_layout_may_change_within_a_boot(order):
    device, arrivals = Device(start_us=50_000_000), []
    arrivals.append(device.says())
    for layout, start in zip(order, (0, 1000), strict=True):
        device.layout = layout
        arrivals += [device.sends(k) for k in range(start, start + 1000, 10)]
    t_s = times(run(Assembler(SENSOR), arrivals))
    np.testing.assert_allclose(t_s - t_s[0], np.arange(2000) / 100, rtol=0, atol=64e-6)


def test_a_clock_that_says_less_than_the_samples_need_still_rises():
    device = Device(clock_ratio=0.8)
    items = run(Assembler(SENSOR), [device.says(), *(device.sends(k) for k in range(0, 1000, 10))])
    t_s = times(items)
    assert np.all(np.diff(t_s) > 0)
    # It stays with the device's own clock: no packet ends later than its own stamp and length say.
    ends = [block.t_s[-1] for block in items]
    np.testing.assert_allclose(ends, [device.time_us(k) / 1e6 + 0.09 for k in range(0, 1000, 10)], rtol=0, atol=1e-4)


def test_after_a_restart_time_goes_on_by_the_time_between_arrivals():
    one, two = Device(boot_id=7, start_us=5_000_000), Device(boot_id=8, rate_hz=50.0, axes=3)
    first = [one.says(), *(one.sends(k) for k in range(0, 100, 10))]
    second = [two.says(20.0), *(two.sends(k, at_s=20.0 + (k + 10) / 50) for k in range(0, 100, 10))]
    assembler = Assembler(SENSOR)
    items = run(assembler, first + second)
    (restart,) = restarts(items)
    assert (restart.boot_id, restart.first_index) == (8, 0)
    blocks = [item for item in items if isinstance(item, Block)]
    assert [b.boot_id for b in blocks] == [7] * 10 + [8] * 10
    # Last arrival of the first boot at 1.0 s with its last sample at 5.99 s; first of the second at 20.2 s.
    assert blocks[10].t_s[-1] == pytest.approx(5.99 + 19.2, abs=1e-9)
    assert restart.t_s == blocks[10].t_s[0]
    assert np.all(np.diff(times(items)) > 0)
    assert blocks[10].rate_rad_s is None
    assert assembler.info == two.info


def test_a_restart_without_time_between_still_rises():
    one, two = Device(boot_id=7, start_us=5_000_000), Device(boot_id=8)
    items = run(Assembler(SENSOR), [one.says(), one.sends(0, at_s=1.0), two.says(1.0), two.sends(0, at_s=1.0)])
    np.testing.assert_allclose(times(items), 5.0 + np.arange(20) / 100, rtol=0, atol=1e-12)


def test_a_restart_gives_up_the_old_holes_and_leaves_out_the_old_boots_packets():
    one, two = Device(boot_id=7), Device(boot_id=8)
    assembler = Assembler(SENSOR)
    arrivals = [one.says(), one.sends(0), one.sends(20), two.sends(0, at_s=3.0), two.says(3.0), one.sends(10, at_s=3.1)]
    items = run(assembler, arrivals)
    assert indices(items) == [*range(10), *range(20, 30), *range(10)]
    assert lost(items) == list(range(10, 20))
    assert assembler.tally.late == 10


def test_a_new_boot_with_the_tag_of_the_old_one():
    one, two = Device(boot_id=0x107), Device(boot_id=0x207)
    items = run(Assembler(SENSOR), [one.says(), one.sends(50), two.says(5.0), two.sends(0, at_s=5.0)])
    assert indices(items) == [*range(50, 60), *range(10)]
    assert [r.boot_id for r in restarts(items)] == [0x207]


@pytest.mark.skipif(not SIM.is_dir(), reason="the simulated sessions (data/sim) are not here")
@pytest.mark.parametrize("name", ["000_body_ordinary", "003_fixed_bar_ordinary"])
def test_the_journey_of_a_simulated_session(name):
    """Losses and timing of a simulated link, their own 12-bit format replaced by ours."""
    with gzip.open(SIM / f"{name}.csv.gz", "rt") as file:
        table = np.loadtxt(file, delimiter=",", skiprows=1)
    with gzip.open(SIM / f"{name}.arrivals.csv.gz", "rt") as file:
        journey = np.loadtxt(file, delimiter=",", skiprows=1)
    truth = json.loads((SIM / f"{name}.truth.json").read_text())
    arrived = sorted({i for _, first, n, _ in journey for i in range(int(first), int(first + n))})
    row_of = {index: row for row, index in enumerate(arrived)}
    device = Device(rate_hz=truth["odr_hz"], axes=3)
    counts = np.round(table[:, 1:4] * 4096).astype(np.int16)
    arrivals = [device.says()]
    for _, first, n, at_s in journey:
        row = row_of[int(first)]
        time_us, span = round(table[row, 0] * 1e6), counts[row : row + int(n)]
        packet = Packet(boot_tag=7, first_index=int(first), device_us=time_us, counts=span)
        arrivals.append(Arrival(SENSOR, at_s, Channel.DATA, encode(packet, Layout.LARGE)))
    assembler = Assembler(SENSOR)
    items = run(assembler, arrivals)
    assert indices(items) == arrived
    np.testing.assert_allclose(times(items), table[:, 0], rtol=0, atol=1.1e-4)  # the table is rounded to 0.1 ms
    force = np.concatenate([b.force_m_s2 for b in items if isinstance(b, Block)])
    np.testing.assert_array_equal(force, counts * device.info.force_m_s2_per_count)
    assert assembler.tally.lost == len(range(arrived[0], arrived[-1] + 1)) - len(arrived) > 0


def test_true_samples_can_fail():
    """The check that the tests above lean on does see a misplaced sample."""
    device = Device()
    (block,) = run(Assembler(SENSOR), [device.says(), device.sends(0)])
    assert_true_samples([block], device)
    wrong = Block(**{name: getattr(block, name) for name in Block.__slots__} | {"first_index": 1})
    with pytest.raises(AssertionError):
        assert_true_samples([wrong], device)
