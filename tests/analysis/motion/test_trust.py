"""How far a count is trusted: what speaks against it lowers it, and the weights are those the bench fits."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest
from motion_scenes import REP, scene

from analysis.motion.analysis import analyse
from analysis.motion.mounts import Mount
from analysis.motion.trust import BASE, WEIGHTS, Signs, trust
from tests.bench.trainee_corpus import draw_session
from tests.bench.trust import examples, fit

CLEAN = Signs(odds=8.0, steady=1.0, left=0.0, uneven=0.03, slow=5.0, halved=0.0, turned_deg=3.0, near=0.0)
CHANGES = {
    "odds": 0.0, "steady": 0.0, "left": 1.0, "uneven": 0.5, "slow": 16.0, "halved": 1.0, "turned_deg": 30.0,
    "near": 1.0,
}  # fmt: skip


@pytest.mark.parametrize("name", [field.name for field in fields(Signs)])
def test_each_sign_against_a_count_lowers_the_trust(name: str) -> None:
    assert trust(replace(CLEAN, **{name: CHANGES[name]})) < trust(CLEAN) - 0.3


def test_no_sign_counts_beyond_the_range_that_was_fitted() -> None:
    assert trust(replace(CLEAN, odds=8.0)) == trust(replace(CLEAN, odds=20.0))
    assert trust(replace(CLEAN, odds=-4.0)) == trust(replace(CLEAN, odds=-20.0))


def test_the_fit_finds_weights_that_made_the_answers() -> None:
    """Answers drawn from a logistic law of known weights (Cox 1958) give these weights back, within their scatter."""
    random = np.random.default_rng(1)
    signs = random.normal(size=(4000, 3)) * [1.0, 5.0, 0.2]
    chance = 1.0 / (1.0 + np.exp(-(0.5 + signs @ [1.0, -0.2, 3.0])))
    right = (random.random(4000) < chance).astype(float)
    assert fit(signs, right) == pytest.approx([0.5, 1.0, -0.2, 3.0], rel=0.2)


def test_examples_come_from_sets_whose_truth_is_known() -> None:
    signs, right = examples(draw_session("body", 304), gyro=False)
    assert len(signs) == len(right) >= 2
    assert all(right)
    assert all(len(s) == len(fields(Signs)) for s in signs)


def test_a_set_with_a_clean_dismount_and_five_alike_reps_is_not_doubted() -> None:
    samples, _ = scene([(0.0, 6.0), *REP * 5, (0.0, 3.0), (-0.3, 0.5), (0.0, 10.0)])
    (only,) = analyse(samples, Mount.BODY).sets
    assert only.measured
    assert only.count == 5


def test_weights_are_written_for_every_sign() -> None:
    assert np.isfinite(BASE)
    assert all(getattr(WEIGHTS, field.name) for field in fields(Signs))
