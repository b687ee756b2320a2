"""A sensor that tells neither sequence nor time, on a bad link: what is told of its uncertainty is what it is."""

from __future__ import annotations

import numpy as np
import pytest
from tags import PERIOD_S, RATE_HZ, SENSOR, N, Tag

from sensor.assembly import Assembler, Block, Item
from sensor.clock import ClockEstimate, DeviceClock
from sensor.own.counting import SETTLE_S, Counting
from sensor.own.layout import Reading

RATIO = 1.02
"""True seconds in one by the rate that is told."""


def on_a_bad_link(seed: int, lost: float, together: int) -> tuple[np.ndarray, np.ndarray, ClockEstimate]:
    """True time and time by counting of the last sample of each notification that came, in two minutes.

    A share `lost` of them begins a loss of up to so many `together`, beside delays of up to 0.15 s and bursts after
    holes of up to three seconds.
    """
    rng, tag, number, numbers = np.random.default_rng(seed), Tag(), 0, []
    while number < 120 / PERIOD_S:
        if rng.random() < lost:
            number += int(rng.integers(1, together + 1))
        else:
            numbers.append(number)
            number += 1
    assembler = Assembler(SENSOR)
    items: list[Item] = list(assembler.push(tag.connects(0.0)))
    true_s, at_s, hole_s = [], 0.0, 0.0
    for number in numbers:
        true_s.append((number + 1) * PERIOD_S * RATIO)
        if rng.random() < 0.002:
            hole_s = true_s[-1] + rng.uniform(0.3, 3.0)
        at_s = max(at_s + 0.0005, true_s[-1] + rng.uniform(0.001, 0.15), hole_s)
        items += assembler.push(tag.sends(number, at_s))
    blocks = [item for item in items + assembler.finish() if isinstance(item, Block)]
    clock = DeviceClock(assembler.keeping)
    for block in blocks:
        clock.push(float(block.t_s[-1]), block.arrival_s)
    return np.array(true_s), np.array([block.t_s[-1] for block in blocks]), clock.estimate()


@pytest.mark.parametrize(("lost", "together"), [(0.0, 1), (0.005, 1), (0.02, 1), (0.05, 2), (0.005, 4), (0.01, 10)])
def test_durations_err_by_no_more_than_is_told(lost: float, together: int) -> None:
    """Of durations of 1, 2 and 4 s at least 68 of 100 lie within one sigma, 95 within two (normal distribution)."""
    within = []
    for seed in range(3):
        true_s, t_s, clock = on_a_bad_link(seed, lost, together)
        for duration_s in (1.0, 2.0, 4.0):
            apart = round(duration_s / PERIOD_S)
            error_s = (t_s[apart:] - t_s[:-apart]) * clock.ratio - (true_s[apart:] - true_s[:-apart])
            told_s = np.hypot(2**0.5 * clock.moment_sd_s, duration_s * clock.sd_ppm * 1e-6)
            within.append([np.mean(np.abs(error_s) <= sigmas * told_s) for sigmas in (1, 2)])
    one, two = np.mean(within, axis=0)
    assert one >= 0.68
    assert two >= 0.95


def test_without_loss_the_count_is_the_time_whatever_the_delays() -> None:
    true_s, t_s, clock = on_a_bad_link(1, 0.0, 1)
    np.testing.assert_allclose(t_s - t_s[0], (true_s - true_s[0]) / RATIO, atol=1e-9)
    assert clock.ratio == pytest.approx(RATIO, abs=4e-6 * clock.sd_ppm)


def test_what_is_held_back_comes_once_it_is_clear_why_it_was_late() -> None:
    """Half a second late: given at once with the first that catches up, or after `SETTLE_S` with the loss before it."""
    reading = Reading(None, None, np.zeros((N, 3)))

    def steady() -> Counting:
        counting = Counting(RATE_HZ, 0.05)
        assert [one.first for k in range(200) for one in counting.push(reading, (k + 1) * PERIOD_S)][-1] == 199 * N
        return counting

    delayed = steady()
    assert not list(delayed.push(reading, 201 * PERIOD_S + 0.5))
    assert [one.first for one in delayed.push(reading, 202 * PERIOD_S + 0.1)] == [200 * N, 201 * N]
    lossy, came = steady(), []
    for k in range(200, 230):
        came = list(lossy.push(reading, (k + 1) * PERIOD_S + 0.5))
        if came:
            break
    assert (k - 200) * PERIOD_S == pytest.approx(SETTLE_S, abs=PERIOD_S)
    assert [one.first for one in came] == [(i + 10) * N for i in range(200, k + 1)]
