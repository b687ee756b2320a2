"""One sigma is one sigma: of the errors of boundaries, 60–76 % lie within it, and 90 % or more within two.

For a normal distribution it would be 68 and 95 %. The truth is that of the virtual trainee, and of the simulated
sessions where they are at hand. The three parameters of sigma were set on other seeds and on sessions of even number.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cache

import numpy as np
import pytest
from motion_scenes import Array
from recordings import DATA, needs_data, session

from analysis.motion.analysis import analyse
from analysis.motion.mounts import Mount
from analysis.motion.results import Rep
from analysis.motion.samples import Samples
from sensor.virtual.script import Beat, regular_script
from sensor.virtual.trainee import perform
from tests.bench.trainee_corpus import draw_session

NEAR_S = 0.5
Truth = dict[str, float]
KEYS = ("start_s", "start_alt_s", "top_s", "down_s", "end_s")
BEATS = (Beat(1.0, 1.0, 2.0, 0.0), Beat(0.8, 0.2, 1.2, 0.3), Beat(1.5, 0.5, 4.0, 1.0))


def in_sigmas(found: Iterable[Rep], true: Iterable[Truth]) -> Iterator[float]:
    """Errors of the boundaries of reps that were found, each in its own sigma."""
    true = list(true)
    for rep in found:
        middle = rep.start_s + rep.end_s
        same = [t for t in true if abs(t["start_s"] + t["end_s"] - middle) < 2 * NEAR_S]
        if not same or not rep.counts:
            continue
        starts = [same[0][key] for key in ("start_s", "start_alt_s") if key in same[0]]
        sd = rep.timing_sd
        errors = [
            (min((rep.start_s - s for s in starts), key=abs), sd.start_s),
            (rep.end_s - same[0]["end_s"], sd.end_s),
        ]
        if rep.top_s is not None and rep.down_s is not None:
            errors += [(rep.top_s - same[0]["top_s"], sd.top_s), (rep.down_s - same[0]["down_s"], sd.down_s)]
        for error, sigma in errors:
            if sigma is not None:  # else it is said that this one cannot be told
                yield abs(error) / sigma


def reps_of(samples: Samples) -> list[Rep]:
    return [rep for bout in analyse(samples, Mount.BODY).sets if bout.measured for rep in bout.reps]


def shares(z: Array) -> tuple[float, float]:
    return float(np.mean(z <= 1)), float(np.mean(z <= 2))


@cache
def drawn() -> Array:
    """Random sessions, wider than life: all rates, noises, tempos and clips that slip."""
    z: list[float] = []
    for seed in range(500, 516):
        one = draw_session("body", seed, 5.0)
        true = [
            dict(zip(KEYS, (r.start_s, r.shrug_s or r.start_s, r.top_s, r.down_s, r.end_s), strict=True))
            for r in one.reps
        ]
        rate = one.rate_rad_s if seed % 2 else None
        z += in_sigmas(reps_of(Samples(one.t_s, one.force_m_s2, rate)), true)
    return np.array(z)


def test_sigma_of_a_calm_virtual_trainee_is_no_smaller_than_her_errors() -> None:
    z: list[float] = []
    for seed in range(6):
        done = perform(regular_script(trainee="Ilka Brandt", sets=2, reps=8, beat=BEATS[seed % 3], rest_s=60.0), seed)
        true = [
            {"start_s": r.start_s, "top_s": r.top_s, "down_s": r.down_s, "end_s": r.end_s}
            for reps in done.truth
            for r in reps
        ]
        rate = done.rate_rad_s if seed % 2 else None
        z += in_sigmas(reps_of(Samples(done.t_s, done.force_m_s2, rate)), true)
    one, two = shares(np.array(z))
    assert len(z) > 300
    assert one >= 0.6
    assert two >= 0.9
    assert np.median(z) > 0.2  # and not so large that it says nothing


def test_sigma_of_random_virtual_sessions_is_about_right() -> None:
    one, two = shares(drawn())
    assert len(drawn()) > 300
    assert 0.5 <= one <= 0.76
    assert two >= 0.78


def test_sigma_of_random_virtual_sessions_holds_nine_of_ten_within_two() -> None:
    assert shares(drawn())[1] >= 0.9


@needs_data
@pytest.mark.parametrize("gyro", [False, True])
def test_sigma_of_simulated_sessions(gyro: bool) -> None:
    z: list[float] = []
    for path in sorted((DATA / "sim").glob("*[13579]_body_*.truth.json"))[::2]:
        samples, truth = session(path.name.removesuffix(".truth.json"), gyro=gyro)
        z += in_sigmas(reps_of(samples), [rep for one in truth["sets"] for rep in one["reps"]])
    one, two = shares(np.array(z))
    assert len(z) > 400
    assert 0.6 <= one <= 0.82
    assert two >= 0.9


@needs_data
@pytest.mark.parametrize(("name", "mount"), [("strap", Mount.SUSPENSION), ("fixed_bar", Mount.FIXED_BAR)])
def test_sigma_of_what_is_read_of_a_tilt_is_no_smaller_than_its_errors(name: str, mount: Mount) -> None:
    z: list[float] = []
    for path in sorted((DATA / "sim").glob(f"*[13579]_{name}_*.truth.json")):
        samples, truth = session(path.name.removesuffix(".truth.json"), gyro=True)
        sets = analyse(samples, mount).sets
        for done in truth["sets"]:  # few of them are claimed: all that are counted right
            bouts = [b for b in sets if b.start_s < done["end_s"] and b.end_s > done["start_s"]]
            z += in_sigmas((r for b in bouts if b.count == done["n_reps"] for r in b.reps), done["reps"])
    one, two = shares(np.array(z))
    assert len(z) > 100
    assert one >= 0.6
    assert two >= 0.9
