"""Attitude and smoother against reference libraries, on the same samples and on the same model.

- `vqf` 2.1: Laidig & Seel 2023, Information Fusion 91:187, doi:10.1016/j.inffus.2022.10.014, its offline variant, which
  sees both directions of time as the product's attitude does.
- `filterpy` 2.0: the Rauch–Tung–Striebel smoother (Rauch, Tung & Striebel 1965, AIAA J. 3:1445) after a Kalman filter.
"""

from __future__ import annotations

import numpy as np
import pytest
from filterpy.kalman import KalmanFilter
from motion_scenes import Array, minimum_jerk
from recordings import DATA, needs_data, recording, window
from vqf import offlineVQF

from analysis.motion.grid import Gridder, joined
from analysis.motion.height import vertical
from analysis.motion.parameters import GridParameters, HeightParameters
from analysis.motion.samples import Samples
from analysis.motion.smoother import _TIE_M, Pseudo, posed
from sensor.virtual.script import Beat, regular_script
from sensor.virtual.trainee import perform

STEP_S = 0.04


def reference_direction(samples: Samples) -> Array:
    """Unit vector against gravity in the sensor's axes, by vqf without magnetometer: third row of the rotation."""
    force, rate = np.ascontiguousarray(samples.force_m_s2), np.ascontiguousarray(samples.rate_rad_s)
    found = offlineVQF(rate, force, None, float(np.median(np.diff(samples.t_s))))
    w, x, y, z = found["quat6D"].T
    return np.column_stack([2 * (x * z - w * y), 2 * (y * z + w * x), w * w - x * x - y * y + z * z])


def degrees_between(a: Array, b: Array) -> Array:
    cosine = (a * b).sum(1) / np.linalg.norm(a, axis=1) / np.linalg.norm(b, axis=1)
    return np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0)))[50:-50]


def attitudes(samples: Samples) -> tuple[Array, Array]:
    """Degrees from the reference: of the product's direction, and of the bare force."""
    gridder = Gridder(GridParameters())
    grid = joined([gridder.push(samples), gridder.finish()])
    found = vertical(grid, 1 / STEP_S, HeightParameters()).direction

    def on_grid(x: Array) -> Array:
        return np.column_stack([np.interp(grid.t_s, samples.t_s, column) for column in x.T])

    reference = on_grid(reference_direction(samples))
    return degrees_between(found, reference), degrees_between(on_grid(samples.force_m_s2), reference)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_attitude_of_the_virtual_trainee_is_that_of_vqf(seed: int) -> None:
    """Within 1° for 95 % of the time: 1° puts .15 mg on the vertical, a 5 s stroke of .45 m has 10.6 mg."""
    beat = Beat(up_s=1.0, top_s=1.0, down_s=2.0, bottom_s=0.0)
    done = perform(regular_script(trainee="Ilka Brandt", sets=2, reps=5, beat=beat, rest_s=25.0), seed)
    found, bare = attitudes(Samples(done.t_s, done.force_m_s2, done.rate_rad_s))
    assert np.median(found) < 0.3
    assert np.percentile(found, 95) < 1.0
    assert np.percentile(bare, 95) > 5.0  # so this is not said by the accelerometer alone


@needs_data
@pytest.mark.parametrize("name", ["10_undisturbed_slow_translation_A", "11_undisturbed_slow_translation_B"])
def test_attitude_of_a_hand_moved_rig_is_that_of_vqf(name: str) -> None:
    """Laidig et al. 2021, Data 6:72 (BROAD), 286 Hz; up to 1.5°, since the two average gravity over different spans."""
    samples = recording(DATA / "real" / "broad-omc" / f"{name}.csv.gz", gyro=True)
    found, bare = attitudes(window(samples, samples.t_s[0], samples.t_s[0] + 90.0))
    assert np.median(found) < 0.3
    assert np.percentile(found, 95) < 1.5
    assert np.percentile(bare, 95) > 10.0


def test_smoother_is_the_rauch_tung_striebel_smoother() -> None:
    """The same Gaussian model, solved at once as least squares, and by filtering forwards and smoothing backwards."""
    rng = np.random.default_rng(11)
    t = np.arange(0.0, 10.0, STEP_S)
    n = len(t)
    _, _, acceleration = minimum_jerk(t - 4.0, 0.45, 1.5)
    acceleration = acceleration + 0.2 + 0.05 * rng.standard_normal(n)
    force_sd = np.where((t > 6.0) & (t < 6.5), 3.0, 0.12)
    walk = np.full(n, 0.015)
    speed = Pseudo(0.01 * rng.standard_normal(n), np.where((t < 3.8) | (t > 5.7), 0.16, 20.0))
    height = Pseudo(0.02 * rng.standard_normal(n), np.where(t < 1.0, 0.03, 3.0))
    found = posed(acceleration, STEP_S, force_sd, walk, speed, (height,)).solved()
    expected = by_filtering(acceleration, force_sd, walk, speed, height)
    for mine, theirs in zip((found.height_m, found.speed_m_s, found.bias_m_s2), expected.T, strict=True):
        assert np.abs(mine - theirs).max() < 1e-6


def by_filtering(acceleration: Array, force_sd: Array, walk: Array, speed: Pseudo, height: Pseudo) -> Array:
    """Height, speed and bias, (n, 3), by filterpy.

    Its smoother knows no control input, so the filter estimates how far the state is from one that is integrated
    without any noise.
    """
    n, half = len(acceleration), STEP_S / 2
    after = np.array([[1.0, -half, 0.0], [0.0, 1.0, half], [0.0, 0.0, 1.0]])
    before = np.array([[1.0, half, 0.0], [0.0, 1.0, -half], [0.0, 0.0, 1.0]])
    step = np.linalg.solve(after, before)
    sd = 0.5 * (force_sd[1:] + force_sd[:-1]) * STEP_S
    noises = np.column_stack([np.full(n - 1, _TIE_M), sd, walk[1:] * STEP_S**0.5])
    pushes = np.column_stack([np.zeros(n - 1), 0.5 * (acceleration[1:] + acceleration[:-1]) * STEP_S, np.zeros(n - 1)])
    inverse = np.linalg.inv(after)
    plain = np.zeros((n, 3))
    for k in range(n - 1):
        plain[k + 1] = step @ plain[k] + inverse @ pushes[k]
    process = [inverse @ np.diag(noise**2) @ inverse.T for noise in noises]
    measured = np.column_stack([height.value, speed.value, np.zeros(n)]) - plain
    variances = np.column_stack([height.sd**2, speed.sd**2, np.full(n, float(n))])
    kalman = KalmanFilter(dim_x=3, dim_z=3)
    kalman.H, kalman.x, kalman.P, kalman.F = np.eye(3), np.zeros((3, 1)), np.eye(3) * 1e9, step
    means, covariances = np.zeros((n, 3, 1)), np.zeros((n, 3, 3))
    for k in range(n):
        if k:
            kalman.predict(Q=process[k - 1])
        kalman.update(measured[k], R=np.diag(variances[k]))
        means[k], covariances[k] = kalman.x, kalman.P
    smoothed, *_ = kalman.rts_smoother(means, covariances, Fs=[step] * n, Qs=[process[0], *process])
    return np.asarray(smoothed[:, :, 0] + plain)
