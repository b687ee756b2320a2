"""Calibration from gravity, against the formulas of IEEE Std 1293, other closed forms, and readings of its model."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sensor.calibrate import Belief, aged, believable, class_belief, learn, off_1g_m_s2, refine
from sensor.calibration import Correction
from sensor.postures import Seen

G = 9.80665  # m/s², exact: 3rd CGPM (1901)
MG = G / 1000
SIDES = G * np.array([[1, 0, 0], [-1, 0, 0], [0, 1, 0], [0, -1, 0], [0, 0, 1], [0, 0, -1]], float)
OPEN = Belief(Correction(), tuple(tuple(row) for row in 1e4 * np.eye(6)))
"""So uncertain that only the readings speak."""

triples = st.tuples(*[st.floats(-1, 1)] * 3).map(np.array)


def read(true: np.ndarray, bias: np.ndarray, gain: np.ndarray) -> np.ndarray:
    """What a sensor reads of `true` whose correction is `bias` and `gain`."""
    return true / gain + bias


def spread(n: int, seed: int = 3) -> np.ndarray:
    """`n` postures spread over the sphere, specific force of 1 g each."""
    directions = np.random.default_rng(seed).normal(size=(n, 3))
    return G * directions / np.linalg.norm(directions, axis=1)[:, None]


def leaning(span_deg: float, n: int) -> np.ndarray:
    """`n` postures from upright to a lean, in one plane, as a body takes them."""
    angle = np.radians(np.linspace(0, span_deg, n))
    return G * np.column_stack([np.sin(angle), np.zeros(n), np.cos(angle)])


def turned(deg: float, seed: int) -> np.ndarray:
    """A rotation by `deg` about a drawn axis (Rodrigues)."""
    k = np.random.default_rng(seed).normal(size=3)
    k /= np.linalg.norm(k)
    cross = np.array([[0, -k[2], k[1]], [k[2], 0, -k[0]], [-k[1], k[0], 0]])
    return np.eye(3) + np.sin(np.radians(deg)) * cross + (1 - np.cos(np.radians(deg))) * cross @ cross


def seen(readings: np.ndarray, moments: int = 50) -> Seen:
    return Seen(readings, np.full(len(readings), moments))


def correction(bias: np.ndarray, gain: np.ndarray) -> Correction:
    return Correction(tuple(bias.tolist()), tuple(gain.tolist()))


@given(bias=triples, gain=triples)
def test_undoing_gives_what_was_read(bias: np.ndarray, gain: np.ndarray) -> None:
    known = correction(bias, 1 + 0.1 * gain)
    readings = spread(5)
    assert known.apply(known.undo(readings)) == pytest.approx(readings, abs=1e-12)


@given(bias=triples, gain=triples)
def test_six_level_sides_give_the_formulas_of_ieee_1293(bias: np.ndarray, gain: np.ndarray) -> None:
    """IEEE Std 1293: bias (a₊ + a₋)/2, scale factor (a₊ − a₋)/2g of each axis' opposite pair."""
    readings = read(SIDES, bias * 100 * MG, 1 + 0.05 * gain)
    up, down = readings[0::2].diagonal(), readings[1::2].diagonal()
    found = learn(readings, OPEN).correction
    assert found.bias == pytest.approx((up + down) / 2, abs=1e-4)
    assert found.gain == pytest.approx(2 * G / (up - down), abs=1e-5)


def test_crooked_sides_mislead_the_formulas_but_not_the_fit() -> None:
    """A side 12° off level shows g·cos 12°, 2.2 % less: the formulas take that for scale, the sphere does not."""
    bias, gain = np.array([80.0, -40.0, 60.0]) * MG, np.array([1.02, 0.98, 1.01])
    crooked = np.array([turned(12.0, seed) @ side for seed, side in enumerate(SIDES)])
    readings = read(crooked, bias, gain)
    up, down = readings[0::2].diagonal(), readings[1::2].diagonal()
    assert np.abs(2 * G / (up - down) - gain).max() > 0.01
    found = learn(readings, OPEN).correction
    assert found.bias == pytest.approx(bias, abs=0.1 * MG)
    assert found.gain == pytest.approx(gain, abs=1e-4)


@settings(max_examples=30)
@given(bias=triples, gain=triples, seed=st.integers(0, 50))
def test_the_sphere_fit_is_the_closed_form_of_an_ellipsoid(bias: np.ndarray, gain: np.ndarray, seed: int) -> None:
    """Readings of 1 g lie on Σ kᵢ²(rᵢ − bᵢ)² = g²: linear in (kᵢ², kᵢ²bᵢ) but for one scale, so exactly solvable."""
    readings = read(spread(30, seed), bias * 60 * MG, 1 + 0.03 * gain)
    s = np.linalg.lstsq(np.hstack([readings**2, -2 * readings]), np.ones(len(readings)), rcond=None)[0]
    centre = s[3:] / s[:3]
    radius2 = 1 + (s[:3] * centre**2).sum()
    found = learn(readings, OPEN).correction
    assert found.bias == pytest.approx(centre, abs=1e-4)
    assert found.gain == pytest.approx(G * np.sqrt(s[:3] / radius2), abs=1e-5)


def test_one_posture_is_merged_as_the_kalman_update_does() -> None:
    """Welch & Bishop 2006 (UNC TR 95-041): x + K(z − Hx), K = PHᵀ/(HPHᵀ + R), (I − KH)P; H upright is (−1, g) of z."""
    before, sd = class_belief(), 4 * MG
    p, h = np.array(before.covariance), np.array([0, 0, -1.0, 0, 0, G])
    k = p @ h / (h @ p @ h + sd**2)
    found = learn(np.array([[0.0, 0.0, G + 20 * MG]]), before, sd)
    expected = k * (G - (G + 20 * MG))
    assert found.correction.bias == pytest.approx(expected[:3], abs=0.3 * MG)
    assert np.array(found.correction.gain) - 1 == pytest.approx(expected[3:], abs=3e-4)
    assert np.array(found.covariance) == pytest.approx(p - np.outer(k, h @ p), rel=0.03, abs=1e-6)


def test_two_days_one_after_the_other_are_worth_both_at_once() -> None:
    bias, gain = np.array([30.0, -20.0, 10.0]) * MG, np.array([1.01, 0.99, 1.0])
    readings = read(spread(10), bias, gain)
    step = learn(readings[4:], learn(readings[:4], class_belief()))
    whole = learn(readings, class_belief())
    assert step.correction.bias == pytest.approx(whole.correction.bias, abs=0.5 * MG)
    assert step.bias_sd_m_s2 == pytest.approx(whole.bias_sd_m_s2, rel=0.03)


@pytest.mark.parametrize(
    "postures", [spread(8), leaning(25, 3), leaning(90, 4), SIDES], ids=["round", "body", "lying", "box"]
)
def test_the_given_sigma_is_the_true_spread(postures: np.ndarray) -> None:
    """Of the errors of many sensors about 68 % lie within one sigma, 95 % within two, however little postures tell."""
    rng = np.random.default_rng(5)
    z = []
    for _ in range(100):
        bias, gain = rng.normal(0, 50 * MG, 3), 1 + rng.normal(0, 0.02, 3)
        fit = learn(read(postures, bias, gain) + rng.normal(0, 3 * MG, postures.shape), class_belief())
        z += list((np.array(fit.correction.bias) - bias) / np.array(fit.bias_sd_m_s2))
        z += list((np.array(fit.correction.gain) - gain) / np.array(fit.gain_sd))
    assert 0.62 < np.mean(np.abs(z) < 1) < 0.75
    assert np.mean(np.abs(z) < 2) > 0.92


def test_what_the_postures_do_not_tell_stays_as_it_was() -> None:
    """A lean in one plane tells nothing of the axis across it."""
    before = class_belief()
    fit = learn(read(leaning(25, 3), np.array([0.03, 0.0, 0.02]) * G, np.ones(3)), before)
    assert fit.bias_sd_m_s2[1] == pytest.approx(before.bias_sd_m_s2[1], rel=1e-6)
    assert fit.correction.bias[1] == pytest.approx(0.0, abs=1e-6)
    assert fit.bias_sd_m_s2[0] < 0.6 * before.bias_sd_m_s2[0]


def test_a_belief_forgotten_for_long_ends_as_the_class() -> None:
    belief = learn(read(SIDES, np.array([80.0, -40.0, 60.0]) * MG, np.ones(3)), class_belief())
    once = aged(belief)
    assert once.bias_sd_m_s2[0] > belief.bias_sd_m_s2[0]
    for _ in range(5000):
        belief = aged(belief)
    assert belief.correction.bias == pytest.approx((0.0, 0.0, 0.0), abs=0.1 * MG)
    assert belief.bias_sd_m_s2 == pytest.approx(class_belief().bias_sd_m_s2, rel=1e-3)
    assert np.array(aged(class_belief()).covariance) == pytest.approx(np.array(class_belief().covariance))


def test_a_session_of_one_posture_tells_nothing() -> None:
    assert refine(seen(leaning(0, 1)), None) is None
    assert refine(seen(np.empty((0, 3))), class_belief()) is None


def test_sessions_add_up_by_weight() -> None:
    """Each adds what it shows; a sure calibration is moved little by a session that tells less."""
    bias = np.array([40.0, 0.0, -20.0]) * MG
    once = refine(seen(read(leaning(25, 3), bias, np.ones(3))), None)
    assert once is not None
    twice = refine(seen(read(leaning(25, 3) @ turned(60, 1).T, bias, np.ones(3))), once)
    assert twice is not None
    assert sum(twice.bias_sd_m_s2) < 0.9 * sum(once.bias_sd_m_s2)
    sure = learn(read(SIDES, bias, np.ones(3)), class_belief())
    moved = refine(seen(read(leaning(25, 3), bias + 3 * MG, np.ones(3)), moments=4), sure)
    assert moved is not None
    assert np.abs(np.array(moved.correction.bias) - bias).max() < 3 * MG


def test_a_sensor_that_had_a_fall_begins_anew() -> None:
    """A stored calibration that is sure and wrong by 100 mg is left, not averaged with."""
    sure = learn(read(SIDES, np.zeros(3), np.ones(3)), class_belief())
    fallen = read(spread(12), np.array([100.0, 0.0, 0.0]) * MG, np.ones(3))
    found = refine(seen(fallen), sure)
    assert found is not None
    assert found.correction.bias[0] == pytest.approx(100 * MG, abs=3 * MG)
    assert refine(seen(fallen[:3]), sure) is None  # too few to be believed against it


def test_what_is_no_gravity_is_not_learnt_from() -> None:
    """Sizes that no bias and gain can make one: something else was at work."""
    readings = spread(12) * np.where(np.arange(12) % 2, 1.15, 0.85)[:, None]
    assert refine(seen(readings), None) is None
    assert not believable(readings, learn(readings, class_belief()), class_belief())


def test_a_side_that_was_pressed_upon_is_noticed_although_six_sides_leave_no_freedom() -> None:
    pressed = SIDES * np.array([1, 1, 1, 1, 1, 1.5])[:, None]
    found = learn(pressed, class_belief())
    assert off_1g_m_s2(pressed, found.correction) < 3 * MG
    assert not believable(pressed, found, class_belief())
    assert believable(SIDES, learn(SIDES, class_belief()), class_belief())


def test_how_far_off_1g() -> None:
    readings = G * np.array([[0.0, 0.0, 1.02], [0.0, 0.98, 0.0]])
    assert off_1g_m_s2(readings, Correction()) == pytest.approx(20 * MG)
    assert off_1g_m_s2(np.empty((0, 3)), Correction()) == 0.0
