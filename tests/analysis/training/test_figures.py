"""The published figures, against the values of their sources."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.training.figures import (
    ONE_REP_SHARE_MEN,
    ONE_REP_SHARE_WOMEN,
    SPEED_AT_ONE_REP_M_S,
    brzycki_kg,
    epley_kg,
    hand_share,
    most_pull_ups,
    strap_share,
)


@pytest.mark.parametrize(
    ("reps", "epley", "brzycki"),
    # W (1 + r/30) and 36 W / (37 − r) at W = 100, computed by hand
    [(3, 110.00, 105.88), (5, 116.67, 112.50), (8, 126.67, 124.14), (10, 133.33, 133.33)],
)
def test_one_repetition_formulas(reps: int, epley: float, brzycki: float) -> None:
    assert epley_kg(100.0, reps) == pytest.approx(epley, abs=0.005)
    assert brzycki_kg(100.0, reps) == pytest.approx(brzycki, abs=0.005)


@pytest.mark.parametrize("reps", [0, 11, 37])
def test_one_repetition_formulas_say_nothing_outside_their_reps(reps: int) -> None:
    assert epley_kg(100.0, reps) is None
    assert brzycki_kg(100.0, reps) is None


def test_both_formulas_cross_at_ten_reps() -> None:
    """1 + r/30 = 36/(37 − r) : (30 + r)(37 − r) = 1080, so r² − 7 r − 30 = 0, r = 10."""
    assert epley_kg(80.0, 10) == pytest.approx(brzycki_kg(80.0, 10))


@pytest.mark.parametrize(
    ("speed_m_s", "reps", "extrapolated"),
    # Beckham et al. 2018, JSCR 32:1831: −6.661 + 25.556 v; 49 people with two pull-ups and more
    [(0.50, 6.1, False), (0.70, 11.2, False), (0.339, 2.0, False), (0.338, 2.0, True), (0.30, 1.0, True)],
)
def test_most_pull_ups_from_speed(speed_m_s: float, reps: float, extrapolated: bool) -> None:
    found = most_pull_ups(speed_m_s)
    assert found.value == pytest.approx(reps, abs=0.05)
    assert found.extrapolated is extrapolated
    assert "Beckham" in found.source


def test_most_pull_ups_are_never_below_none() -> None:
    # the regression itself gives −1.5 at the speed of a single rep at the limit
    assert most_pull_ups(SPEED_AT_ONE_REP_M_S).value == 0


@pytest.mark.parametrize(("angle", "share"), [(30, 0.374), (45, 0.529), (60, 0.681), (75, 0.794)])
def test_strap_shares_of_the_table(angle: float, share: float) -> None:
    assert strap_share(angle) == pytest.approx(share)  # Melrose & Dawes 2015


@pytest.mark.parametrize(("angle", "share"), [(37.5, (0.374 + 0.529) / 2), (50, 0.529 + (0.681 - 0.529) / 3)])
def test_strap_shares_between_are_on_a_straight_line(angle: float, share: float) -> None:
    assert strap_share(angle) == pytest.approx(share)


@pytest.mark.parametrize("angle", [0, 29.9, 75.1, 90])
def test_strap_shares_are_never_extrapolated(angle: float) -> None:
    assert strap_share(angle) is None


@given(st.floats(1, 200), st.floats(0, 1))
def test_hands_and_feet_bear_the_whole_weight(body_kg: float, share: float) -> None:
    # statics: what the scale shows and what the hands bear add up to the body weight
    scale_kg = body_kg * share
    assert hand_share(scale_kg, body_kg) * body_kg + scale_kg == pytest.approx(body_kg)


@pytest.mark.parametrize(("scale_kg", "body_kg"), [(-1, 80), (81, 80), (0, 0)])
def test_a_scale_that_cannot_be_right_is_refused(scale_kg: float, body_kg: float) -> None:
    with pytest.raises(ValueError, match="scale"):
        hand_share(scale_kg, body_kg)


def test_norms_of_one_repetition() -> None:
    # Johnson et al. 2009, JSCR: men 1.16 ± .15, women .73 ± .09 of body mass; one standard deviation above is 1
    assert ONE_REP_SHARE_MEN.deviation(1.31) == pytest.approx(1.0)
    assert ONE_REP_SHARE_WOMEN.deviation(0.64) == pytest.approx(-1.0)
