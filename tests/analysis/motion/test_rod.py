"""A sensor on a strap: its own acceleration in the tilt that it shows, by the textbook pendulum."""

from __future__ import annotations

import numpy as np
import pytest

from analysis.motion.parameters import STANDARD_GRAVITY_M_S2
from analysis.motion.rod import rod_of, without_own_acceleration
from analysis.motion.samples import FloatArray

RATE_HZ = 25.0
RADIUS_M = 0.7
ROD_S2 = RADIUS_M / STANDARD_GRAVITY_M_S2
T_S = np.arange(0.0, 60.0, 1.0 / RATE_HZ)
INNER = slice(250, -250)


def swung(amplitude_rad: float, hz: float) -> tuple[FloatArray, FloatArray]:
    """Return force and direction of a sensor on a rod of 0.7 m: g sin θ + r θ'' across, g cos θ + r θ'² along."""
    omega = 2 * np.pi * hz
    angle, rate = amplitude_rad * np.sin(omega * T_S), amplitude_rad * omega * np.cos(omega * T_S)
    across = STANDARD_GRAVITY_M_S2 * np.sin(angle) - RADIUS_M * omega**2 * angle
    along = STANDARD_GRAVITY_M_S2 * np.cos(angle) + RADIUS_M * rate**2
    none = np.zeros(len(T_S))
    return np.column_stack([across, none, along]), np.column_stack([np.sin(angle), none, np.cos(angle)])


def test_a_free_pendulum_shows_no_tilt() -> None:
    """At 2π√(l/g) the force along the way is nothing but the rod's: the closed form of a pendulum."""
    force, _ = swung(np.radians(3.0), np.sqrt(STANDARD_GRAVITY_M_S2 / RADIUS_M) / (2 * np.pi))
    assert float(np.abs(force[:, 0]).max()) < 0.001 * STANDARD_GRAVITY_M_S2


@pytest.mark.parametrize("hz", [0.2, 0.3])
def test_what_hides_behind_the_sensors_own_acceleration_is_found_again(hz: float) -> None:
    force, direction = swung(np.radians(4.0), hz)
    plain = force[INNER, 0] / STANDARD_GRAVITY_M_S2
    freed = without_own_acceleration(force, ROD_S2, RATE_HZ)[INNER, 0] / STANDARD_GRAVITY_M_S2
    size = float(np.ptp(direction[INNER, 0]))
    assert float(np.ptp(freed)) == pytest.approx(size, rel=0.05)
    assert float(np.ptp(plain)) < 0.9 * size


def test_the_gyro_tells_how_long_the_rod_is() -> None:
    force, direction = swung(np.radians(4.0), 0.4)
    held = np.zeros(len(T_S), np.bool_)
    held[INNER] = True
    assert rod_of(force, direction, held, RATE_HZ) == pytest.approx(ROD_S2, rel=0.05)


def test_without_a_rod_nothing_changes() -> None:
    force, _ = swung(np.radians(4.0), 0.4)
    assert without_own_acceleration(force, 0.0, RATE_HZ) is force
