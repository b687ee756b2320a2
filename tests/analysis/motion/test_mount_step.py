"""Acceleration by the step of taking hold, against beam tables and the minimum-jerk stroke."""

from __future__ import annotations

import numpy as np
import pytest

from analysis.motion.mount_step import acceleration_over_g
from analysis.motion.parameters import STANDARD_GRAVITY_M_S2
from analysis.motion.samples import FloatArray

RATE_HZ = 25.0
T_S = np.arange(0.0, 12.0, 1.0 / RATE_HZ)
EMPTY, HANG = slice(0, 100), slice(125, 200)
DISTANCE_M, UP_S, AT_S = 0.55, 1.0, 9.0


def bar(modulus_pa: float, diameter_m: float, mass_kg: float) -> FloatArray:
    """Return the end slope P L² / 16 E I (rad) of a bar that is taken at 4.5 s and pulled up on at 9 s."""
    x = np.clip((T_S - AT_S) / UP_S, 0.0, 1.0)
    pulling = DISTANCE_M / UP_S**2 * (60 * x - 180 * x**2 + 120 * x**3)  # Flash & Hogan 1985, twice derived
    load_n = np.where(T_S > 4.5, mass_kg * (STANDARD_GRAVITY_M_S2 + pulling), 0.0)
    return np.asarray(load_n * 1.31**2 / (16 * modulus_pa * np.pi * diameter_m**4 / 64))


@pytest.mark.parametrize(("modulus_pa", "diameter_m", "mass_kg"), [(200e9, 0.028, 70.0), (70e9, 0.035, 95.0)])
def test_neither_stiffness_nor_weight_is_needed(modulus_pa: float, diameter_m: float, mass_kg: float) -> None:
    """The peak of a minimum-jerk stroke is (10/√3) D / T²: 324 mg for 0.55 m in a second."""
    told = acceleration_over_g(bar(modulus_pa, diameter_m, mass_kg), EMPTY, HANG)
    assert told is not None
    assert float(told.max()) == pytest.approx(10 / np.sqrt(3) * DISTANCE_M / UP_S**2 / STANDARD_GRAVITY_M_S2, rel=0.01)
    assert float(told[:100].max()) == pytest.approx(-1.0)
    assert float(np.abs(told[HANG]).max()) < 1e-9


def test_the_sign_of_the_clip_does_not_matter() -> None:
    told, turned = (acceleration_over_g(sign * bar(200e9, 0.028, 70.0) + 0.1, EMPTY, HANG) for sign in (1, -1))
    assert told is not None
    assert turned is not None
    np.testing.assert_allclose(told, turned, atol=1e-9)


def test_a_bar_too_stiff_for_the_clip_tells_nothing() -> None:
    noise = 0.02 * np.random.default_rng(0).standard_normal(len(T_S))
    assert acceleration_over_g(bar(200e9, 0.06, 70.0) + noise, EMPTY, HANG) is None
