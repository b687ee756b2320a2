"""The virtual trainee obeys physics, keeps to the script within human variation, and is the same every time."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sensor.table import read_table
from sensor.virtual.body import BodyMotion, body_motion, draw_person
from sensor.virtual.jets import constant, line, wave
from sensor.virtual.plan import plan_session
from sensor.virtual.script import Beat, Script, demo_script, regular_script
from sensor.virtual.trainee import (
    STANDARD_GRAVITY_M_S2,
    Imperfections,
    Performance,
    angular_rate,
    attitude,
    perform,
    random_rotation,
    specific_force,
)

PERFECT = Imperfections(0.0, 0.0, 0.0, 0.0)
BEAT = Beat(1.0, 1.0, 2.0, 0.0)


def short_script(**changes: object) -> Script:
    given: dict[str, object] = {"trainee": "T", "sets": 2, "reps": 3, "beat": BEAT, "rest_s": 15.0} | changes
    return regular_script(**given)  # type: ignore[arg-type]


def motion_at(rate_hz: float, seed: int = 3) -> tuple[np.ndarray, BodyMotion]:
    rng = np.random.default_rng(seed)
    person = draw_person(rng)
    plan = plan_session(short_script(sets=1), person.travel_m, rng)
    t_s = np.arange(int(plan.end_s * rate_hz)) / rate_hz
    return t_s, body_motion(plan, person, t_s)


def test_standing_still_reads_one_g() -> None:
    """CGPM 1901: 9.80665 m/s²; whatever the attitude, the size is one g, and upright it is on the vertical axis."""
    t_s = np.zeros(1)
    still, tilt = constant(t_s), constant(t_s, 0.4)
    upright = specific_force(BodyMotion(still, still, still, still, still, still))
    leaning = specific_force(BodyMotion(still, still, still, tilt, tilt, tilt))
    assert upright[0] == pytest.approx([0, 0, 9.80665])
    assert np.linalg.norm(leaning) == pytest.approx(9.80665)


def test_one_degree_of_pitch_puts_17_5_mg_on_the_horizontal_axis() -> None:
    """g · sin 1° = 17.45 mg; 1 − cos 1° = 0.15 mg."""
    t_s = np.zeros(1)
    zero, degree = constant(t_s), constant(t_s, np.radians(1.0))
    force_g = specific_force(BodyMotion(zero, zero, zero, zero, degree, zero))[0] / STANDARD_GRAVITY_M_S2
    assert abs(force_g[0]) == pytest.approx(0.01745, abs=1e-5)
    assert 1 - force_g[2] == pytest.approx(0.00015, abs=1e-5)


def test_a_pendulum_reads_no_force_across_its_rod() -> None:
    """A small-angle pendulum (ω² = g/l; 2 m: T = 2.837 s) swings so that gravity and acceleration cancel across it."""
    length_m, swing_rad = 2.0, 0.02
    t_s = np.linspace(0, 3, 301)
    frequency_hz = np.sqrt(STANDARD_GRAVITY_M_S2 / length_m) / (2 * np.pi)
    assert 1 / frequency_hz == pytest.approx(2.837, abs=1e-3)
    angle, zero = wave(t_s, frequency_hz, 0.0) * swing_rad, constant(t_s)
    # Forward by l·angle; the rod's top stays, so the body pitches backward by the same angle.
    swinging = specific_force(BodyMotion(angle * length_m, zero, zero, zero, angle * -1.0, zero))
    stiff = specific_force(BodyMotion(angle * length_m, zero, zero, zero, zero, zero))
    assert np.abs(swinging[:, 0]).max() < 0.01 * np.abs(stiff[:, 0]).max()


def test_a_steady_turn_reads_its_rate() -> None:
    t_s = np.linspace(0, 1, 11)
    zero = constant(t_s)
    turning = BodyMotion(zero, zero, zero, zero, zero, line(t_s, 1.5))
    assert angular_rate(turning) == pytest.approx(np.tile([0, 0, 1.5], (11, 1)))


def test_integrating_the_rate_gives_back_the_attitude() -> None:
    """Rodrigues' formula step by step (midpoint rate), over walking, turning, taking hold and reps."""
    t_s, motion = motion_at(400.0)
    rates, truth = angular_rate(motion), attitude(motion)
    turned = truth[0]
    worst = 0.0
    for i in range(len(t_s) - 1):
        turned = turned @ rodrigues((rates[i] + rates[i + 1]) / 2 * (t_s[i + 1] - t_s[i]))
        worst = max(worst, float(np.abs(turned - truth[i + 1]).max()))
    assert worst < 2e-3
    assert np.abs(np.diff(motion.yaw.x)).sum() > np.pi  # the check saw real turning


def rodrigues(rotation_rad: np.ndarray) -> np.ndarray:
    angle = float(np.linalg.norm(rotation_rad))
    if angle == 0:
        return np.eye(3)
    x, y, z = rotation_rad / angle
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.eye(3) + np.sin(angle) * cross + (1 - np.cos(angle)) * cross @ cross


def test_levelled_force_integrates_twice_to_the_travel() -> None:
    """With the true attitude and no flaws, (R f − g) integrated twice over a rise is the planned travel."""
    rate_hz = 1000.0
    rng = np.random.default_rng(5)
    person = draw_person(rng)
    plan = plan_session(short_script(sets=1), person.travel_m, rng)
    t_s = np.arange(int(plan.end_s * rate_hz)) / rate_hz
    motion = body_motion(plan, person, t_s)
    levelled = np.einsum("nij,nj->ni", attitude(motion), specific_force(motion))[:, 2] - STANDARD_GRAVITY_M_S2
    up = plan.bouts[0].sets[0][0].up
    rising = (t_s >= up.start_s) & (t_s <= up.start_s + up.duration_s)
    i = int(np.flatnonzero(rising)[0])
    speed = motion.height.v[i] + np.cumsum(levelled[rising]) / rate_hz
    assert np.sum(speed) / rate_hz == pytest.approx(up.rise_m, abs=0.02)


def test_mounting_is_a_rotation() -> None:
    turn = random_rotation(np.random.default_rng(8))
    assert turn @ turn.T == pytest.approx(np.eye(3))
    assert np.linalg.det(turn) == pytest.approx(1.0)


def test_noise_and_bias_have_the_stated_size() -> None:
    """White noise of density d sampled at f has the standard deviation d·√(f/2)."""
    flaws = Imperfections()
    real, ideal = perform(short_script(), 4), perform(short_script(), 4, imperfections=PERFECT)
    error = real.force_m_s2 - ideal.force_m_s2
    assert error.std(axis=0) == pytest.approx(np.full(3, flaws.force_noise_m_s2 * np.sqrt(50.0)), rel=0.05)
    assert np.all(np.abs(error.mean(axis=0)) <= flaws.force_bias_m_s2)
    assert np.any(np.abs(error.mean(axis=0)) > 0.001 * STANDARD_GRAVITY_M_S2)


def test_the_same_seed_is_the_same_session_and_another_seed_another() -> None:
    one, again, other = perform(short_script(), 1), perform(short_script(), 1), perform(short_script(), 2)
    assert np.array_equal(one.force_m_s2, again.force_m_s2)
    assert one.truth == again.truth
    assert not np.array_equal(one.force_m_s2[:500], other.force_m_s2[:500])


@settings(max_examples=10, deadline=None)
@given(seed=st.integers(0, 2**32 - 1))
def test_every_seed_keeps_to_the_script_within_human_variation(seed: int) -> None:
    done = perform(short_script(reps=5), seed, rate_hz=20.0).truth
    assert [len(reps) for reps in done] == [5, 5]
    for rep in (rep for reps in done for rep in reps):
        assert rep.top_s - rep.start_s == pytest.approx(BEAT.up_s, abs=0.2)
        assert rep.down_s - rep.top_s == pytest.approx(BEAT.top_s, abs=0.25)
        assert rep.end_s - rep.down_s == pytest.approx(BEAT.down_s, abs=0.3)
        assert 0.33 <= rep.travel_m <= 0.5
    assert done[1][0].start_s - done[0][-1].end_s == pytest.approx(15.7, abs=0.7)


def test_the_demo_hurries_the_last_two_lowerings_only() -> None:
    done = perform(demo_script(), 1).truth
    lowering_s = [[rep.end_s - rep.down_s for rep in reps] for reps in done]
    assert [len(reps) for reps in done] == [5, 5, 5]
    assert all(s > 1.6 for s in lowering_s[0] + lowering_s[1] + lowering_s[2][:3])
    assert all(s < 1.2 for s in lowering_s[2][3:])


def test_reps_follow_each_other_without_overlap() -> None:
    for reps in perform(demo_script(), 11).truth:
        times = [t for rep in reps for t in (rep.start_s, rep.top_s, rep.down_s, rep.end_s)]
        assert times == sorted(times)


def test_a_short_rest_is_spent_on_the_bar() -> None:
    """A planned gap of a few seconds: the trunk stays in the hang, so nothing but reps moves it along gravity."""
    held, left = perform(short_script(rest_s=5.0), 6), perform(short_script(rest_s=15.0), 6)
    assert largest_swing(held) < 0.02 < largest_swing(left)


def largest_swing(session: Performance) -> float:
    """Return the standard deviation (g) of |f| in the rest between the two sets."""
    rest = (session.t_s > session.truth[0][-1].end_s + 0.3) & (session.t_s < session.truth[1][0].start_s - 0.3)
    size = np.linalg.norm(session.force_m_s2[rest], axis=1)
    return float(size.std() / STANDARD_GRAVITY_M_S2)


def test_a_session_ends_standing_still() -> None:
    session = perform(demo_script(), 2)
    end = session.force_m_s2[-500:]
    assert np.linalg.norm(end, axis=1).std() < 0.03 * STANDARD_GRAVITY_M_S2
    assert session.t_s[-1] - session.truth[-1][-1].end_s > 12.0


def test_a_script_without_reps_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one rep"):
        Script(trainee="T", sets=((),), rest_s=10.0)


WALKING = Path(__file__).resolve().parents[4] / "shared/data/real/mobgap-lowback/HA001_TimeMeasure1_Test5_Trial1.csv.gz"
BANDS_HZ = ((1.2, 2.4), (2.4, 3.2), (3.2, 4.4), (4.4, 7.0), (7.0, 12.0), (12.0, 20.0))


@pytest.mark.skipif(not WALKING.is_file(), reason="the recordings of real motion are not at hand")
def test_walking_fills_the_same_bands_as_a_real_belt_sensor() -> None:
    """Root mean square of |f| in each band within a factor of two of a recorded walk (Mobilise-D example data)."""
    recorded = read_table(WALKING)
    session = perform(demo_script(), 1)
    ours = band_sizes(session.t_s, session.force_m_s2, 38.5, 43.5)
    real = band_sizes(recorded.t_s, recorded.force_m_s2, 5.0, 10.0)
    assert np.all((ours / real > 0.5) & (ours / real < 2.0))


def band_sizes(t_s: np.ndarray, force_m_s2: np.ndarray, start_s: float, end_s: float) -> np.ndarray:
    during = (t_s >= start_s) & (t_s < end_s)
    size = np.linalg.norm(force_m_s2[during], axis=1)
    power = np.abs(np.fft.rfft((size - size.mean()) * np.hanning(len(size)))) ** 2
    frequency_hz = np.fft.rfftfreq(len(size), float(np.median(np.diff(t_s))))
    return np.sqrt([power[(frequency_hz >= low) & (frequency_hz < high)].sum() for low, high in BANDS_HZ])
