"""Time in the reference firmware: the wrapping counter, the measured rate, the line of sample times."""

import numpy as np
import pytest

from firmware_notes.reference.battery import CURVE, percent
from firmware_notes.reference.sampling import Clock, Timeline, fit_rate
from firmware_notes.reference.store import keep, next_boot_id

RATES_HZ = (25, 100, 400)


def test_clock_extends_the_counter():
    wrap = 1 << 30
    clock = Clock(wrap - 1000)
    truth = np.cumsum(np.random.default_rng(3).integers(0, wrap // 2 - 1, 200))
    assert [clock.at_us((wrap - 1000 + int(us)) % wrap) for us in truth] == truth.tolist()
    # An interrupt's note is older than the loop's last look.
    assert clock.at_us((wrap - 1000 + int(truth[-1]) - 700) % wrap) == truth[-1] - 700


@pytest.mark.parametrize("rate_hz", RATES_HZ)
def test_rate_is_the_least_squares_slope(rate_hz):
    rng = np.random.default_rng(rate_hz)
    index = np.cumsum(rng.integers(1, 12, 30))
    us = np.round(index * 1e6 / (1.008 * rate_hz) + rng.exponential(300, 30) + 5e8).astype(int)
    slope_us = np.polyfit(index - index[0], us - us[0], 1)[0]
    notes = list(zip(index.tolist(), us.tolist(), strict=True))
    assert fit_rate(notes) == pytest.approx(1e9 / slope_us, abs=1)


@pytest.mark.parametrize("off_ppm", [-100, 0, 100])
@pytest.mark.parametrize("rate_hz", RATES_HZ)
def test_timeline_lies_at_the_early_edge_of_late_notes(rate_hz, off_ppm):
    """Notes late by 80 µs and an exponential of 300 µs: one in a thousand by 80 + 300 ln 1000 = 2150 µs. An hour."""
    rng, step = np.random.default_rng(1), max(1, rate_hz // 10)
    timeline = Timeline(round(rate_hz * (1000 + off_ppm / 1000)))
    errors = []
    for index in range(step - 1, 3600 * rate_hz, step):
        true_us = 7e6 + index * 1e6 / rate_hz
        timeline.note(index, round(true_us + 80 + rng.exponential(300)))
        errors.append(timeline.time_ns(index) / 1000 - true_us)
    assert np.percentile(errors, 0.1) > -100
    assert np.percentile(errors[100:], 99.9) < 500
    assert np.std(errors[100:]) < 60


def test_next_index_is_the_first_not_yet_taken():
    timeline = Timeline(100_000)
    assert timeline.next_index(5_000_000) == 0
    timeline.note(9, 1_000_000)
    assert [timeline.next_index(us) for us in (999_999, 1_000_000, 1_009_999, 1_010_000)] == [9, 10, 10, 11]


def test_boot_ids_follow_each_other_and_begin_anywhere(tmp_path):
    path = str(tmp_path / "boot_id")
    first = next_boot_id(path)
    assert first != next_boot_id(path)  # random until one is kept (equal once in 2**32)
    keep(path, first)
    assert next_boot_id(path) == (first + 1) % 2**32
    keep(path, 2**32 - 1)
    assert next_boot_id(path) == 0
    (tmp_path / "boot_id").write_bytes(b"\x01\x02")
    assert 0 <= next_boot_id(path) < 2**32


def test_battery_level_follows_the_curve():
    assert [percent(mv) for mv, _ in CURVE] == [level for _, level in CURVE]
    assert (percent(3000), percent(4300), percent(3725)) == (0, 100, 40)
    levels = [percent(mv) for mv in range(3000, 4300, 7)]
    assert levels == sorted(levels)
