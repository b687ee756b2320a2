"""Velocity loss from durations: mean speed is range over time, so at one range v₁ → vₙ is a loss of 1 − T₁/Tₙ."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from analysis.motion.results import Bout, Rep


def bout(ups_s: Sequence[float], travels_m: Sequence[float | None], *, measured: bool = True) -> Bout:
    reps = []
    for i, (up_s, travel_m) in enumerate(zip(ups_s, travels_m, strict=True)):
        start_s = 5.0 * i
        reps.append(
            Rep(start_s=start_s, top_s=start_s + up_s, down_s=start_s + up_s, end_s=start_s + 4.0, travel_m=travel_m)
        )
    return Bout(number=0, start_s=0.0, end_s=reps[-1].end_s, reps=tuple(reps), measured=measured)


def test_at_one_range_the_durations_say_it() -> None:
    """0.5 m in 1.0 s and in 1.25 s: 0.5 and 0.4 m/s, a loss of a fifth."""
    loss = bout([1.0, 1.1, 1.25], [0.5, 0.5, 0.5]).velocity_loss
    assert loss == pytest.approx(1.0 - (0.5 / 1.25) / (0.5 / 1.0))


@pytest.mark.parametrize("travels_m", [[0.5, 0.5, 0.4], [None, None, None]])
def test_at_another_range_or_an_unknown_one_nothing_is_said(travels_m: list[float | None]) -> None:
    assert bout([1.0, 1.1, 1.25], travels_m).velocity_loss is None


def test_a_set_that_is_not_relied_on_has_no_loss() -> None:
    assert bout([1.0, 1.1, 1.25], [0.5, 0.5, 0.5], measured=False).velocity_loss is None
