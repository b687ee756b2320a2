"""The building blocks of the virtual trainee's motion, against closed forms and numerical derivatives."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from sensor.virtual.jets import Jet, constant, line, minimum_jerk, wave, window
from sensor.virtual.strokes import Stroke, timed_stroke

T_S = np.linspace(0.0, 4.0, 4001)


def agrees_with_its_derivatives(jet: Jet) -> None:
    """Central differences of value and speed must give speed and acceleration (h = 1 ms; the jerk may jump)."""
    inside = slice(2, -2)
    for value, derivative in ((jet.x, jet.v), (jet.v, jet.a)):
        scale = np.abs(derivative).max() + 1e-9
        assert np.abs(np.gradient(value, T_S) - derivative)[inside].max() < 5e-3 * scale


@pytest.mark.parametrize(
    "jet",
    [
        minimum_jerk(T_S, 0.5, 2.0, 0.4),
        wave(T_S, 1.3, 0.4),
        wave(T_S, 0.7, 0.1) * minimum_jerk(T_S, 1.0, 1.5),
        line(T_S, -1.3, 0.2).exp() * wave(T_S, 2.2, 0.0),
        (line(T_S, 5.0) + wave(T_S, 0.4, 0.3) * 0.5).sin(),
        window(T_S, 0.5, 3.5, 0.7) + constant(T_S, 2.0),
    ],
)
def test_every_jet_carries_its_own_derivatives(jet: Jet) -> None:
    agrees_with_its_derivatives(jet)


def test_minimum_jerk_closed_forms() -> None:
    """Flash & Hogan 1985, J Neurosci 5:1688: peak / mean speed 1.875; peak acceleration 10/√3 · D/T² at 0.2113 T."""
    distance_m, duration_s = 0.55, 2.0
    jet = minimum_jerk(T_S, 1.0, duration_s, distance_m)
    assert jet.v.max() == pytest.approx(1.875 * distance_m / duration_s, rel=1e-6)
    assert T_S[jet.v.argmax()] == pytest.approx(2.0, abs=1e-3)
    assert jet.a.max() == pytest.approx(10 / np.sqrt(3) * distance_m / duration_s**2, rel=1e-5)
    assert T_S[jet.a.argmax()] == pytest.approx(1.0 + 0.2113 * duration_s, abs=2e-3)
    assert (jet.x[0], jet.x[-1]) == (0.0, pytest.approx(distance_m))


def test_minimum_jerk_of_a_short_pull_in_mg() -> None:
    """0.55 m in 1 s peaks at 324 mg (same closed form, standard gravity 9.80665 m/s²)."""
    assert minimum_jerk(T_S, 1.0, 1.0, 0.55).a.max() / 9.80665 == pytest.approx(0.324, abs=5e-4)


def test_edges_of_a_single_part_stroke_are_the_roots_of_its_speed() -> None:
    """16 τ²(1−τ)² = 0.05 has the roots τ = (1 ∓ √(1 − 4√(0.05/16)))/2 (closed form)."""
    root = (1 - np.sqrt(1 - 4 * np.sqrt(0.05 / 16))) / 2
    first, last = Stroke(10.0, 1.0, 0.5).edges_s()
    assert first == pytest.approx(10.0 + root, abs=1e-4)
    assert last == pytest.approx(11.0 - root, abs=1e-4)


@given(
    moving_s=st.floats(0.4, 8.0),
    rise_m=st.floats(0.15, 0.8) | st.floats(-0.8, -0.15),
    shares=st.sampled_from([(1.0,), (0.45, 0.55), (0.3, 0.4, 0.3), (0.2,) * 5]),
)
def test_a_timed_stroke_moves_for_the_time_asked(moving_s: float, rise_m: float, shares: tuple[float, ...]) -> None:
    assume(abs(rise_m) / moving_s > 0.04)  # m/s: slower is hardly a stroke
    stroke = timed_stroke(3.0, moving_s, rise_m, shares)
    first, last = stroke.edges_s()
    assert first == pytest.approx(3.0, abs=2e-3)
    assert last - first == pytest.approx(moving_s, rel=2e-3)
    t_s = np.array([stroke.start_s, stroke.start_s + stroke.duration_s])
    assert stroke.jet(t_s).x == pytest.approx([0.0, rise_m])


def test_a_slow_stroke_in_parts_keeps_a_more_even_speed_than_one_part() -> None:
    t_s = np.linspace(0, 4, 2001)
    one, many = Stroke(0.0, 4.0, -0.4), Stroke(0.0, 4.0, -0.4, (0.25,) * 4)
    assert -many.jet(t_s).v.min() < 0.8 * -one.jet(t_s).v.min()


def test_a_stroke_too_slow_to_be_seen_is_refused() -> None:
    with pytest.raises(ValueError, match="too slow"):
        timed_stroke(0.0, 30.0, 0.15)
