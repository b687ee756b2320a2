"""Still postures are found by themselves; what moves, sways too far or is not all there is none."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sensor.postures import APART_DEG, ON_A_BODY, ON_A_TABLE, Postures, Seen, Stillness, angle_deg

G = 9.80665  # m/s², exact: 3rd CGPM (1901)
MG = G / 1000
UP = np.array([0.0, 0.0, G])


def lean(deg: float) -> np.ndarray:
    return G * np.array([0.0, np.sin(np.radians(deg)), np.cos(np.radians(deg))])


def held(posture: np.ndarray, seconds: float, rate_hz: float = 100.0, noise_mg: float = 1.0) -> np.ndarray:
    n = round(seconds * rate_hz)
    return posture + np.random.default_rng(n).normal(0, noise_mg * MG, (n, 3))


def moved(seconds: float, rate_hz: float = 100.0) -> np.ndarray:
    """Walking: 4 cm up and down at each of 1.9 steps a second (common knowledge of gait)."""
    t = np.arange(round(seconds * rate_hz)) / rate_hz
    return UP + np.outer(0.02 * (2 * np.pi * 1.9) ** 2 * np.sin(2 * np.pi * 1.9 * t), [0, 0, 1])


def found(
    *parts: np.ndarray, rate_hz: float = 100.0, stillness: Stillness = ON_A_BODY, cuts: Sequence[int] = ()
) -> Seen:
    force = np.concatenate(parts)
    t_s = np.arange(len(force)) / rate_hz
    postures = Postures(stillness)
    edges = [0, *sorted(cuts), len(force)]
    for start, stop in pairwise(edges):
        postures.push(t_s[start:stop], force[start:stop])
    return postures.seen()


@pytest.mark.parametrize("rate_hz", [20.0, 52.0, 100.0, 400.0])
def test_postures_are_found_between_movements_and_alike_ones_are_one(rate_hz: float) -> None:
    parts = [
        held(UP, 5, rate_hz),
        moved(4, rate_hz),
        held(lean(25), 5, rate_hz),
        moved(4, rate_hz),
        held(UP, 5, rate_hz),
    ]
    seen = found(*parts, rate_hz=rate_hz)
    assert seen.readings == pytest.approx(np.array([UP, lean(25)]), abs=2 * MG)
    assert seen.moments[0] > seen.moments[1] >= 6


def test_walking_has_no_posture() -> None:
    assert len(found(moved(60))) == 0


def test_two_seconds_make_a_posture_and_one_does_not() -> None:
    """An even acceleration of 30 mg, as long as a second, looks like rest; nobody gathers speed for two."""
    assert len(found(held(UP * 1.03, 1.4), moved(5))) == 0
    assert len(found(held(UP, 2.6), moved(5))) == 1


def test_sway_turns_the_reading_and_leaves_its_size() -> None:
    """±3° at .5 Hz: the mean vector of a second is up to .1 % short of 1 g, the mean of the sizes is not."""
    t = np.arange(2000) / 100
    sway = np.array([lean(3 * np.sin(2 * np.pi * 0.5 * one)) for one in t])
    seen = found(sway)
    assert len(seen) == 1
    assert np.linalg.norm(seen.readings[0]) == pytest.approx(G, abs=0.1 * MG)
    assert len(found(sway, stillness=ON_A_TABLE)) == 0


def test_postures_near_each_other_are_one_and_between_two_is_none() -> None:
    near, between = APART_DEG / 2 - 1, APART_DEG / 2 + 2
    assert len(found(held(UP, 4), moved(2), held(lean(near), 4))) == 1
    seen = found(held(UP, 4), moved(2), held(lean(between), 4), moved(2), held(lean(2 * APART_DEG), 4))
    assert seen.readings == pytest.approx(np.array([UP, lean(2 * APART_DEG)]), abs=1 * MG)


def test_a_second_with_a_hole_is_none() -> None:
    """Of each second the last .2 s are lost: nobody knows what happened there."""
    t_s = np.arange(3000) / 100
    there = t_s % 1.0 < 0.8
    postures = Postures()
    postures.push(t_s[there], held(UP, 30)[there])
    assert len(postures.seen()) == 0


def test_the_present_posture_is_told_as_long_as_it_lasts() -> None:
    postures, t_s = Postures(), np.arange(400) / 100
    postures.push(t_s, held(UP, 4))
    assert postures.now == pytest.approx(UP, abs=1 * MG)
    postures.push(t_s + 4, moved(4))
    assert postures.now is None


@settings(max_examples=20)
@given(cuts=st.lists(st.integers(1, 1499), max_size=12, unique=True))
def test_it_does_not_matter_how_the_stream_is_cut(cuts: list[int]) -> None:
    parts = held(UP, 5), moved(5), held(lean(30), 5)
    whole, pieces = found(*parts), found(*parts, cuts=cuts)
    assert pieces.readings == pytest.approx(whole.readings, abs=1e-9)
    assert pieces.moments.tolist() == whole.moments.tolist()


def test_angles() -> None:
    assert angle_deg(UP, lean(33)) == pytest.approx(33)
    assert angle_deg(UP, -UP) == pytest.approx(180)
