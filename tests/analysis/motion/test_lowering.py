"""When a slow lowering began: the closed-form stroke is minimum jerk (Flash & Hogan 1985, J Neurosci 5:1688)."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from motion_scenes import Array, minimum_jerk

from analysis.motion.analysis import analyse
from analysis.motion.lowering import Between, LoweringParameters, Moment, Seen, lowering
from analysis.motion.mounts import Mount
from analysis.motion.parameters import DEFAULTS, Parameters
from analysis.motion.samples import Samples
from sensor.virtual.script import Beat, regular_script
from sensor.virtual.trainee import perform

RATE, UP_AT, UP_S, HOLD_S, DOWN_S, TRAVEL = 25.0, 1.0, 1.0, 0.7, 4.0, 0.45
FLOOR, SHARE = DEFAULTS.stroke.boundary_speed_m_s, DEFAULTS.stroke.boundary_share
DOWN_AT = UP_AT + UP_S + HOLD_S
NEXT_AT = DOWN_AT + DOWN_S + 0.6


def edges(stroke_s: float, travel: float) -> float:
    """Time after the begin of a minimum-jerk stroke at which it passes the boundary speed."""
    t = np.linspace(0, stroke_s / 2, 4001)
    speed = minimum_jerk(t, travel, stroke_s)[1]
    return float(t[np.argmax(speed > max(FLOOR, SHARE * speed.max()))])


LATE = edges(DOWN_S, TRAVEL)


def acceleration(bias: float = 0.0, drift: float = 0.0, wobble: float = 0.0, seed: int = 0) -> Array:
    """Up, hold, slow lowering, pause, up; with a drifting bias and a trembling speed."""
    t = np.arange(0.0, NEXT_AT + 2.0, 1 / RATE)
    up, down = (minimum_jerk(t - at, way, s) for at, way, s in ((UP_AT, 1, UP_S), (DOWN_AT, -1, DOWN_S)))
    again = minimum_jerk(t - NEXT_AT, TRAVEL, UP_S)[2]
    rng = np.random.default_rng(seed)
    tremble = sum(np.sin(2 * np.pi * f * t + rng.uniform(0, 6.3)) for f in rng.uniform(0.5, 1.5, 2))
    lowered = np.gradient(down[1] * TRAVEL * (1 + wobble * tremble), t)
    noise = 0.02 * rng.standard_normal(len(t))
    return np.asarray(up[2] * TRAVEL + lowered + again + bias + drift * (t - 3.0) + noise)


def weighed(upward: Array, stop_s: float = DOWN_AT + DOWN_S, hole: Array | None = None) -> tuple[Moment, Moment]:
    begin, top = UP_AT + edges(UP_S, TRAVEL), UP_AT + UP_S - edges(UP_S, TRAVEL)
    nowhere = np.zeros(len(upward), np.bool_)
    seen = Seen(upward, nowhere if hole is None else hole.astype(np.bool_), RATE)
    between = Between(begin, top, top, stop_s, NEXT_AT + edges(UP_S, TRAVEL), TRAVEL)
    return lowering(seen, between, FLOOR, SHARE, LoweringParameters())


def crossing(upward: Array) -> float:
    """What integration says: when the speed, zero at the top, passes the boundary speed downwards."""
    first = round((UP_AT + UP_S) * RATE)
    speed = np.cumsum(upward[first:]) / RATE
    return float((first + np.argmax(speed < -FLOOR)) / RATE)


@pytest.mark.parametrize("bias", [-0.06, 0.06])
def test_a_bias_of_6_mg_moves_the_crossing_of_the_speed_and_not_the_weighed_begin(bias: float) -> None:
    upward = acceleration(bias)
    begin, end = weighed(upward)
    assert abs(crossing(upward) - (DOWN_AT + LATE)) > 0.25
    assert abs(begin.at_s - (DOWN_AT + LATE)) < 0.1
    assert abs(end.at_s - (DOWN_AT + DOWN_S - LATE)) < 0.1


@pytest.mark.parametrize("off_s", [-0.8, -0.3, 0.5])
def test_where_the_speed_stops_may_be_far_off(off_s: float) -> None:
    begin, end = weighed(acceleration(0.05), DOWN_AT + DOWN_S + off_s)
    assert abs(begin.at_s - (DOWN_AT + LATE)) < 0.06
    assert abs(end.at_s - (DOWN_AT + DOWN_S - LATE)) < min(0.2, end.sd_s)


def test_sigma_covers_the_errors_under_bias_drift_and_wobble_and_still_says_something() -> None:
    z = []
    for seed in range(40):
        rng = np.random.default_rng([7, seed])
        upward = acceleration(rng.normal(0, 0.05), rng.normal(0, 0.01), 0.35, seed)
        begin, end = weighed(upward)
        z.append((begin.at_s - (DOWN_AT + LATE)) / begin.sd_s)
        z.append((end.at_s - (DOWN_AT + DOWN_S - LATE)) / end.sd_s)
    assert np.mean(np.abs(z) <= 1) >= 0.6
    assert np.mean(np.abs(z) <= 2) >= 0.9
    assert np.median(np.abs(z)) > 0.15


def test_a_hole_over_the_begin_makes_it_less_sure() -> None:
    upward = acceleration(0.05)
    hole = np.zeros(len(upward))
    hole[round((DOWN_AT - 0.2) * RATE) : round((DOWN_AT + 0.8) * RATE)] = 1
    dark, plain = (weighed(np.where(hole > 0, 0.05, upward), hole=h)[0] for h in (hole, None))
    assert dark.sd_s > 1.3 * weighed(upward)[0].sd_s
    assert abs(dark.at_s - DOWN_AT - LATE) < abs(plain.at_s - DOWN_AT - LATE)


def begins(parameters: Parameters, seeds: range = range(3), *, live: bool = False) -> Array:
    """Errors of the begins of the lowerings of a trainee who lowers for four seconds after a short hold."""
    errors = []
    for seed in seeds:
        script = regular_script(trainee="Ilka Brandt", sets=1, reps=8, beat=Beat(1.0, 0.6, 4.0, 0.5), rest_s=60.0)
        done = perform(script, seed)
        samples = Samples(done.t_s, done.force_m_s2, done.rate_rad_s if seed % 2 else None)
        found = [rep for one in analyse(samples, Mount.BODY, live=live, parameters=parameters).sets for rep in one.reps]
        true = [rep for reps in done.truth for rep in reps]
        assert len(found) == len(true)
        errors += [a.down_s - b.down_s for a, b in zip(found, true, strict=True) if a.down_s is not None]
    return np.abs(errors)


def test_begins_of_slow_lowerings_are_found_within_80_ms_and_better_than_by_the_speed() -> None:
    without = replace(DEFAULTS, lowering=replace(DEFAULTS.lowering, least_s=99.0))
    weighed, plain = begins(DEFAULTS), begins(without)
    assert np.median(weighed) < 0.08
    assert np.percentile(weighed, 95) < 0.3
    assert np.median(weighed) < 0.8 * np.median(plain)


def test_begins_of_slow_lowerings_are_weighed_live_too() -> None:
    found = begins(DEFAULTS, range(1), live=True)
    assert np.median(found) < 0.08
    assert found.max() < 0.3


def test_reps_of_slow_lowerings_stay_in_order() -> None:
    script = regular_script(trainee="Ilka Brandt", sets=1, reps=6, beat=Beat(1.0, 0.0, 4.0, 0.0), rest_s=60.0)
    done = perform(script, 5)
    (one,) = analyse(Samples(done.t_s, done.force_m_s2, None), Mount.BODY).sets
    for a, b in pairwise(one.reps):
        assert a.top_s is not None
        assert a.down_s is not None
        assert a.start_s < a.top_s <= a.down_s < a.end_s <= b.start_s
