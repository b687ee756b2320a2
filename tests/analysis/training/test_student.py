"""Student's t against `scipy.special`, and against what it is in closed form with one and two degrees of freedom."""

from __future__ import annotations

from math import atan, pi, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import stdtr, stdtrit

from analysis.training.student import t_within, within


@given(st.floats(0.0, 50.0), st.integers(1, 1000))
def test_the_probability_is_that_of_the_reference(t: float, freedom: int) -> None:
    assert within(t, freedom) == pytest.approx(2 * stdtr(freedom, t) - 1, abs=1e-12)


@given(st.floats(0.01, 0.999), st.integers(1, 1000))
def test_the_quantile_is_that_of_the_reference(share: float, freedom: int) -> None:
    assert t_within(share, freedom) == pytest.approx(stdtrit(freedom, (1 + share) / 2), rel=1e-8)


@given(st.floats(0.0, 50.0))
def test_with_one_and_two_degrees_of_freedom(t: float) -> None:
    """Cauchy's 2 arctan(t)/π, and t/√(2 + t²)."""
    assert within(t, 1) == pytest.approx(2 / pi * atan(t), abs=1e-12)
    assert within(t, 2) == pytest.approx(t / sqrt(2 + t * t), abs=1e-12)
