"""Speeds of the way up: right within their own sigma, and null where that leaves nothing to say."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from motion_scenes import REP, minimum_jerk, scene
from recordings import DATA, needs_data, session

from analysis.motion.analysis import analyse
from analysis.motion.edges import Edges
from analysis.motion.lobes import Track
from analysis.motion.mounts import Mount
from analysis.motion.parameters import StrokeParameters
from analysis.motion.results import Rep
from analysis.motion.speeds import speeds_of
from analysis.motion.sureness import Ground


def reps_of(samples: object, mount: Mount = Mount.BODY) -> list[Rep]:
    return [rep for bout in analyse(samples, mount).sets for rep in bout.reps if rep.counts]  # type: ignore[arg-type]


def shares(z: list[float]) -> tuple[float, float]:
    return float(np.mean(np.array(z) <= 1)), float(np.mean(np.array(z) <= 2))


@pytest.mark.parametrize("up_s", [0.6, 1.0, 2.0])
def test_the_sigma_of_a_clean_stroke_holds_its_error(up_s: float) -> None:
    # Flash & Hogan 1985: peak = 1.875 × mean, and the mean is travel over time.
    step = ((0.45, up_s), (0.0, 0.5), (-0.45, 1.5), (0.0, 0.8))
    samples, _ = scene([(0.0, 6.0), *step * 5, (0.0, 14.0)])
    for rep in reps_of(samples):
        assert rep.peak_velocity_m_s is not None
        assert rep.peak_velocity_sd_m_s is not None
        assert rep.mean_velocity_m_s is not None
        assert rep.mean_velocity_sd_m_s is not None
        assert abs(rep.peak_velocity_m_s - 1.875 * 0.45 / up_s) < 2 * rep.peak_velocity_sd_m_s
        assert rep.peak_velocity_sd_m_s < 0.1 * rep.peak_velocity_m_s
        assert rep.mean_velocity_sd_m_s < 0.1 * rep.mean_velocity_m_s


@pytest.mark.parametrize(("up_s", "shown"), [(1.0, True), (8.0, False)])
def test_a_way_up_too_slow_for_its_error_has_no_speed(up_s: float, shown: bool) -> None:
    # .3 m in 8 s is .04 m/s on average and .07 at most: each is wrong by more than a fifth of it.
    rate_hz = 25.0
    t = np.arange(0, up_s + 2, 1 / rate_hz)
    height, speed, _ = minimum_jerk(t - 1, 0.3, up_s)
    track = Track(t, height, speed, rate_hz, 0.012)
    ground = Ground(track, track, np.tile([0.0, 0.0, 1.0], (len(t), 1)), np.zeros(len(t), np.bool_))
    speeds = speeds_of(ground, Edges(rate_hz, rate_hz * (1 + up_s), None), 0.05, 0.05, StrokeParameters())
    known = [one is not None for one in (speeds.mean_m_s, speeds.mean_sd_m_s, speeds.peak_m_s, speeds.peak_sd_m_s)]
    assert known == [shown] * 4


@pytest.mark.parametrize("mount", [Mount.SUSPENSION, Mount.FIXED_BAR, Mount.LIMB])
def test_what_does_not_travel_has_no_speed_and_no_sigma_of_one(mount: Mount) -> None:
    samples, _ = scene([(0.0, 6.0), *REP * 6, (0.0, 14.0)], tremor_m_s2=0.3)
    for rep in reps_of(samples, mount):
        assert (rep.mean_velocity_m_s, rep.mean_velocity_sd_m_s) == (None, None)
        assert (rep.peak_velocity_m_s, rep.peak_velocity_sd_m_s) == (None, None)


def simulated(mount: str, gyro: bool) -> Iterator[tuple[float, float]]:
    """Errors of mean and of peak speed, each in its own sigma, in simulated sessions of odd number."""
    for path in sorted((DATA / "sim").glob(f"*[13579]_{mount}_*.truth.json"))[::2]:
        samples, truth = session(path.name.removesuffix(".truth.json"), gyro=gyro)
        if truth["path_incl_deg"] > 45:
            continue
        upright = abs(np.cos(np.radians(truth["path_incl_deg"])))
        true = [rep for one in truth["sets"] for rep in one["reps"]]
        for rep in reps_of(samples, Mount(mount.replace("_", "-"))):
            same = [t for t in true if abs(t["start_s"] + t["end_s"] - rep.start_s - rep.end_s) < 1.0]
            if same and rep.mean_velocity_sd_m_s and rep.peak_velocity_sd_m_s:
                assert rep.mean_velocity_m_s is not None
                assert rep.peak_velocity_m_s is not None
                yield (
                    abs(rep.mean_velocity_m_s - upright * same[0]["mean_vel"]) / rep.mean_velocity_sd_m_s,
                    abs(rep.peak_velocity_m_s - upright * same[0]["peak_vel"]) / rep.peak_velocity_sd_m_s,
                )


@needs_data
@pytest.mark.parametrize("gyro", [False, True])
def test_sigma_of_speeds_of_simulated_sessions(gyro: bool) -> None:
    z = np.array(list(simulated("body", gyro)))
    assert len(z) > 100
    for column in z.T:
        one, two = shares(column.tolist())
        assert 0.55 <= one <= 0.85
        assert two >= 0.88
