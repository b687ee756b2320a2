"""How a sensor does is told from what it sent, held against what was put in."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from sensor.assembly import Block, Lost, Restart
from sensor.health import SPAN_S, Checkup

G = 9.80665  # m/s², exact: 3rd CGPM (1901)


def block(first, force, rate=None, *, step_s=0.01, delay_s=0.005, clock_ratio=1.0):
    t_s = (first + np.arange(len(force))) * step_s
    return Block(
        sensor_id="clip",
        boot_id=7,
        first_index=first,
        t_s=t_s,
        force_m_s2=force,
        rate_rad_s=rate,
        saturated=False,
        arrival_s=clock_ratio * float(t_s[-1]) + delay_s,
    )


def lost(first, end):
    return Lost(sensor_id="clip", boot_id=7, first_index=first, end_index=end)


def at_rest(seconds, *, moved=(), clock_ratio=1.0, gyro=True):
    """Items of a sensor that lies still, with known noise and bias; shaken in the seconds `moved`."""
    rng = np.random.default_rng(3)
    for k in range(0, seconds * 100, 10):
        force = rng.normal([0.1, 0.0, G], [0.01, 0.02, 0.03], (10, 3))
        if k // 100 in moved:
            force += rng.normal(0, 2.0, (10, 3))
        rate = rng.normal([0.01, -0.02, 0.0], 0.001, (10, 3)) if gyro else None
        yield block(k, force, rate, clock_ratio=clock_ratio, delay_s=0.001 + rng.exponential(0.01))


def health(items):
    checkup = Checkup()
    checkup.push(items)
    return checkup.health()


def test_noise_and_bias_are_those_that_were_put_in():
    """Sigma of a sample sd of n: about sigma / sqrt(2n) (normal distribution, closed form): 1.6 % of 2,000 samples."""
    rest = health(at_rest(20, moved=(0, 1, 2, 9))).rest
    assert_allclose(rest.noise_m_s2, [0.01, 0.02, 0.03], rtol=0.08)
    assert rest.size_m_s2 == pytest.approx(np.hypot(G, 0.1), abs=0.005)
    assert_allclose(rest.turn_bias_rad_s, [0.01, -0.02, 0.0], atol=0.0005)
    assert_allclose(rest.turn_noise_rad_s, [0.001] * 3, rtol=0.1)
    assert 10 <= rest.windows <= 16


def test_a_sensor_that_is_never_still_has_no_rest_and_one_without_gyro_no_turning():
    assert health(at_rest(5, moved=range(5))).rest is None
    rest = health(at_rest(5, gyro=False)).rest
    assert rest.turn_bias_rad_s is None
    assert rest.turn_noise_rad_s is None


def test_rate_and_clock_are_the_hosts():
    """Shapiro–Pitman: see `sensor.clock`; a device 0.5 % slow samples at 99.5 Hz by the host's clock."""
    found = health(at_rest(60, clock_ratio=1.005))
    assert found.clock_ppm == pytest.approx(5000, abs=4 * found.clock_sd_ppm)
    assert found.clock_sd_ppm < 200
    assert found.rate_hz == pytest.approx(100 / 1.005, rel=3e-4)


def test_loss_is_of_the_last_minute_only():
    still = list(at_rest(130))
    early = [*still[:100], lost(1000, 1500), *still[150:]]
    assert health(early).loss == 0.0
    assert health(early).span_s == pytest.approx(SPAN_S, abs=0.2)
    late = [*still[:1200], lost(12000, 12600), *still[1260:]]
    assert health(late).loss == pytest.approx(600 / 6000, rel=0.02)


def test_a_restart_begins_anew_and_nothing_is_said_of_nothing():
    items = [*at_rest(5), Restart(sensor_id="clip", boot_id=8, first_index=0, t_s=9.0)]
    assert health(items) == health([])
    assert health([]).rate_hz is None
    assert health([]).rest is None
