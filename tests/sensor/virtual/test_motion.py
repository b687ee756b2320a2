"""Recorded tables and the trainee as the counts of a sensor, and back."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sensor.protocol import Layout, PacketFlags, SetRate, Start, decode
from sensor.table import Table, TableError
from sensor.virtual.core import RefusedError, SensorCore
from sensor.virtual.motion import FileFeed, Scale, TraineeFeed, load_motion, smallest_scale, to_counts

G = 9.80665
SHARED = Path(__file__).resolve().parents[4] / "shared" / "data" / "real"


def table(t_s: np.ndarray, force_g: np.ndarray | float = 1.0, turn_deg_s: float | None = None) -> Table:
    force = np.zeros((len(t_s), 3))
    force[:, 2] = np.asarray(force_g) * G
    turn = None if turn_deg_s is None else np.full((len(t_s), 3), np.radians(turn_deg_s))
    return Table(np.asarray(t_s, float), force, turn)


def write(path: Path, t_s: np.ndarray) -> FileFeed:
    rows = [f"{t:.4f},0.0{i % 10},0,1.0" for i, t in enumerate(t_s)]
    path.write_text("t_s,ax_g,ay_g,az_g\n" + "\n".join(rows) + "\n")
    return FileFeed(path)


@pytest.mark.parametrize(
    ("peak_g", "range_g"), [(1.0, 2), (1.99, 2), (2.0, 4), (3.5, 4), (7.9, 8), (8.1, 16), (15.9, 16), (40.0, 16)]
)
def test_the_smallest_standard_range_that_holds_the_motion(peak_g: float, range_g: int) -> None:
    assert smallest_scale(table(np.arange(3) / 100, np.array([1.0, peak_g, 1.0]))) == Scale(range_g, 0)


@pytest.mark.parametrize(
    ("peak", "full"), [(100, 125), (126, 250), (499, 500), (900, 1000), (1500, 2000), (5000, 2000)]
)
def test_the_smallest_standard_turn_range(peak: float, full: int) -> None:
    assert smallest_scale(table(np.arange(3) / 100, turn_deg_s=peak)).turn_deg_s == full


@given(force_g=st.lists(st.floats(-1.999, 1.999), min_size=2, max_size=20))
def test_quantising_costs_half_a_count_at_most(force_g: list[float]) -> None:
    motion = table(np.arange(len(force_g)) / 100, np.array(force_g))
    counts = to_counts(motion, Scale(2, 0))
    assert counts.values[:, 2] * (2 / 32768) == pytest.approx(np.array(force_g), abs=1.01 / 32768)
    assert not counts.saturated.any()


def test_beyond_the_range_is_cut_and_said() -> None:
    counts = to_counts(table(np.arange(3) / 100, np.array([1.0, 3.0, -3.0])), Scale(2, 0))
    assert counts.values[:, 2].tolist() == [16384, 32767, -32768]
    assert counts.saturated.tolist() == [False, True, True]


def test_holes_are_indices_never_given() -> None:
    t_s = np.array([0.0, 0.01, 0.02, 0.52, 0.53, 0.56])
    counts = to_counts(table(t_s), Scale(2, 0))
    assert counts.rate_hz == 100.0
    assert counts.index.tolist() == [0, 1, 2, 52, 53, 56]
    assert counts.device_us.tolist() == [0, 10_000, 20_000, 520_000, 530_000, 560_000]


def test_a_file_is_played_with_its_own_times_and_holes_and_nothing_added(tmp_path: Path) -> None:
    t_s = np.concatenate([np.arange(100) / 50, 3.0 + np.arange(33) / 50]) + 7.0
    core = SensorCore(write(tmp_path / "a.csv", t_s), boot_id=9)
    core.take(Start(), 0.0, 247)
    packets = [decode(p) for p in core.due(1e9)]
    assert core.finished
    assert core.info.axes == 3
    assert sum(len(p) for p in packets) == 133
    assert [p.first_index for p in packets] == [*range(0, 100, 5), *range(150, 183, 5)]
    starts_us = [round(7e6 + i * 20_000) for i in [*range(0, 100, 5), *range(150, 183, 5)]]
    assert [p.device_us for p in packets] == starts_us
    assert packets[0].flags == PacketFlags.RESTARTED


def test_a_packet_ends_where_uneven_times_part_from_its_grid(tmp_path: Path) -> None:
    """Every sample's time, taken as its packet's time plus i / rate, is within half a sample of the file's."""
    rng = np.random.default_rng(1)
    t_s = np.cumsum(rng.choice([0.019, 0.020, 0.026], size=400)).round(4)
    core = SensorCore(write(tmp_path / "a.csv", t_s), boot_id=9)
    core.take(Start(), 0.0, 247)
    packets = [decode(p) for p in core.due(1e9)]
    period_us = 1e6 / core.info.rate_hz
    told_us = np.concatenate([p.device_us + np.arange(len(p)) * period_us for p in packets])
    assert len(told_us) == 400
    assert np.abs(told_us - t_s * 1e6).max() <= period_us / 2 + 1
    assert np.mean([len(p) for p in packets]) > 1


def test_times_past_the_wrap_are_reduced(tmp_path: Path) -> None:
    core = SensorCore(write(tmp_path / "a.csv", 5000.0 + np.arange(50) / 50), boot_id=9)
    core.take(Start(), 0.0, 247)
    assert decode(core.due(1e9)[0]).device_us == 5_000_000_000 % Layout.LARGE.wrap_us


def test_a_recording_plays_at_its_own_rate(tmp_path: Path) -> None:
    core = SensorCore(write(tmp_path / "a.csv", np.arange(50) / 50), boot_id=9)
    with pytest.raises(RefusedError, match="own rate"):
        core.take(SetRate(100.0), 0.0, 247)


def test_a_file_that_is_no_table_is_named(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("hello\n")
    with pytest.raises(TableError, match=r"a\.csv, line 1"):
        load_motion(FileFeed(tmp_path / "a.csv"))


def test_the_trainee_is_sampled_at_the_rate_asked() -> None:
    motion = load_motion(TraineeFeed(rate_hz=52.0))
    assert motion.rate_hz == pytest.approx(52.0)
    assert smallest_scale(motion).force_g == 2


@pytest.mark.skipif(not SHARED.is_dir(), reason="the recordings of real motion are not at hand")
@pytest.mark.parametrize("name", ["mex-thigh/subj01_ex2.csv.gz", "bench-5sts/subject1_shimmer4.csv.gz"])
def test_real_recordings_come_through_sample_by_sample(name: str) -> None:
    feed = FileFeed(SHARED / name)
    motion, core = load_motion(feed), SensorCore(feed, boot_id=1)
    core.take(Start(), 0.0, 517)
    packets = [decode(p) for p in core.due(1e9)]
    counts = np.vstack([p.counts for p in packets])
    scale = core.info.force_m_s2_per_count
    assert np.abs(counts[:, :3] * scale - motion.force_m_s2).max() <= 0.51 * scale
    period_us = 1e6 / core.info.rate_hz
    told_us = np.concatenate([p.device_us + np.arange(len(p)) * period_us for p in packets])
    assert np.abs(told_us - motion.t_s * 1e6).max() <= period_us / 2 + 1
