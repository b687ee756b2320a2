"""A sensor on a table reads gravity and its own flaws; while it is turned, force and turning tell one story."""

from __future__ import annotations

import numpy as np
import pytest

from sensor.virtual.motion import TableTopFeed, load_motion
from sensor.virtual.process_setup import Setup
from sensor.virtual.table_top import TURN_S, lie
from sensor.virtual.trainee import Imperfections

G = 9.80665  # m/s², exact: 3rd CGPM (1901)
NO_NOISE = Imperfections(0.0, 0.0, 0.0, 0.0)


def test_each_of_six_sides_is_up_in_turn() -> None:
    t_s, force, rate = lie(1, 50.0, 4.0, 6 * (4.0 + TURN_S), NO_NOISE)
    middle = [int(np.argmin(np.abs(t_s - k * (4.0 + TURN_S) - 2.0))) for k in range(6)]
    axes = [(int(np.argmax(np.abs(one))), float(np.sign(one[np.argmax(np.abs(one))]))) for one in force[middle]]
    assert sorted(axes) == [(axis, sign) for axis in range(3) for sign in (-1.0, 1.0)]
    np.testing.assert_allclose(np.linalg.norm(force[middle], axis=1), G, rtol=0.0101)
    assert not rate[middle].any()


def test_turning_carries_gravity_from_one_side_to_the_next() -> None:
    """du/dt = −ω × u, put together by Euler's method at 20 kHz; each axis keeps its gain at rest."""
    t_s, force, rate = lie(1, 20_000.0, 0.2, 0.2 + TURN_S, NO_NOISE)
    up = np.array([0.0, 0.0, 1.0])
    for one in rate:
        up = up - np.cross(one, up) * (t_s[1] - t_s[0])
    np.testing.assert_allclose(up, [1.0, 0.0, 0.0], atol=1e-3)
    assert np.argmax(np.abs(force[-1])) == 0


def test_its_noise_has_the_density_that_is_asked_for() -> None:
    """White noise of a density d over the band to f/2: sigma = d √(f/2)."""
    _, force, rate = lie(2, 200.0, 100.0, 60.0)
    flaws = Imperfections()
    np.testing.assert_allclose(force.std(axis=0), flaws.force_noise_m_s2 * 10, rtol=0.05)
    np.testing.assert_allclose(rate.std(axis=0), flaws.rate_noise_rad_s * 10, rtol=0.05)


@pytest.mark.parametrize("rate_hz", [25.0, 400.0])
def test_it_plays_as_long_and_as_fast_as_asked_and_goes_through_the_setup(rate_hz: float) -> None:
    feed = TableTopFeed(3.0, lasts_s=10.0, rate_hz=rate_hz)
    motion = load_motion(feed)
    assert (len(motion.t_s), motion.rate_hz) == (10 * rate_hz, pytest.approx(rate_hz))
    setup = Setup(feed=feed, address="F2:52:57:00:00:04")
    assert Setup.from_json(setup.to_json()) == setup
