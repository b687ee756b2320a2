"""Lines through points; the reference is `numpy.polyfit`, t quantiles are of any printed table."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.training.trend import FEWEST, Trend, trend

NUMBERS = st.floats(-100, 100).map(lambda value: round(value, 3))


@given(st.lists(st.tuples(st.integers(0, 40), NUMBERS), min_size=FEWEST, max_size=30))
def test_slope_and_error_are_those_of_the_reference(points: list[tuple[int, float]]) -> None:
    xs, ys = zip(*points, strict=True)
    found = trend([(float(x), y) for x, y in points])
    if len(set(xs)) == 1:
        assert found is None
        return
    line, covariance = np.polyfit(xs, ys, 1, cov=True)
    assert found is not None
    assert found.slope == pytest.approx(line[0], abs=1e-6)
    assert found.sd == pytest.approx(covariance[0, 0] ** 0.5, abs=1e-6)


@pytest.mark.parametrize(("points", "quantile"), [(4, 4.303), (6, 2.776), (12, 2.228), (32, 2.042)])
def test_the_margin_is_students(points: int, quantile: float) -> None:
    assert Trend(1.0, 1.0, points).margin == pytest.approx(quantile, abs=5e-4)


def test_a_direction_is_told_only_beyond_the_margin() -> None:
    assert Trend(4.4, 1.0, 4).direction == 1
    assert Trend(-4.4, 1.0, 4).direction == -1
    assert Trend(4.2, 1.0, 4).direction == 0
    assert Trend(0.0, 0.0, 4).direction == 0


def test_few_points_are_no_trend() -> None:
    assert trend([(0, 0), (1, 1), (2, 2)]) is None
