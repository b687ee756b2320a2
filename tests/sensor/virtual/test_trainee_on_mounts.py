"""The virtual trainee on every mount: closed forms of its physics, and labels that agree with its reps."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray

from sensor.virtual.course import Course, Grip, Label, Move, Shape, contact, edges, labels, travel
from sensor.virtual.jets import FloatArray, constant
from sensor.virtual.mounted import pendulum_hz, set_scene, steady_load
from sensor.virtual.on_body import draw_build, on_body
from sensor.virtual.on_fixed_bar import beam_sag, beam_slope, draw_bar, on_fixed_bar
from sensor.virtual.on_strap import strap_motion
from sensor.virtual.strokes import EDGE_SPEED_M_S
from sensor.virtual.tracks import FINE_HZ, Track, resonate, sampled
from sensor.virtual.trainee import STANDARD_GRAVITY_M_S2, angular_rate, attitude, specific_force
from sensor.virtual.wear import quantised, turned
from tests.bench.trainee_corpus import MOUNTS, Session, draw_session

CALM = Shape()


def one_rep(rise_m: float = 0.5) -> Course:
    moves = (
        Move(5.0, 1.0, rise_m, CALM, Label.UP, Label.TOP),
        Move(7.0, 2.0, -rise_m, CALM, Label.DOWN, Label.HANG),
    )
    return Course(moves, (Grip(2.0, 3.0, 10.0, 11.0, 0.0),), (), 14.0)


def test_a_stroke_has_the_speed_and_acceleration_of_minimum_jerk() -> None:
    # Flash & Hogan 1985: peak speed 1.875 D / T, peak acceleration 10 / √3 D / T²
    way = travel(one_rep(0.5))
    assert way.v.max() == pytest.approx(1.875 * 0.5, rel=1e-3)
    assert way.a.max() == pytest.approx(10 / np.sqrt(3) * 0.5, rel=2e-3)
    assert way.x[int(6.5 * FINE_HZ)] == pytest.approx(0.5, abs=1e-9)
    assert way.x[-1] == pytest.approx(0.0, abs=1e-9)


def test_a_phase_begins_where_the_speed_passes_the_larger_limit() -> None:
    course = one_rep(0.5)
    way = travel(course)
    (up_s, top_s), (down_s, end_s) = edges(course, way.v)
    t_s = np.arange(course.samples) / FINE_HZ
    for moment_s, peak in ((up_s, 0.9375), (top_s, 0.9375), (down_s, 0.46875), (end_s, 0.46875)):
        assert abs(np.interp(moment_s, t_s, way.v)) == pytest.approx(max(EDGE_SPEED_M_S, 0.05 * peak), rel=0.02)


def test_labels_follow_grip_and_strokes() -> None:
    course = one_rep()
    label = labels(course, edges(course, travel(course).v))
    at = {2.5: Label.AWAY, 4: Label.HANG, 5.5: Label.UP, 6.5: Label.TOP, 8: Label.DOWN, 9.5: Label.HANG, 12: Label.AWAY}
    assert {t_s: Label(label[int(t_s * FINE_HZ)]) for t_s in at} == at


def test_what_the_moves_leave_over_goes_with_the_grip() -> None:
    move = Move(5.0, 1.0, 0.4, CALM, Label.UP, Label.TOP)
    way = travel(Course((move,), (Grip(2.0, 3.0, 10.0, 11.0, 0.4),), (), 14.0))
    assert way.x[int(9 * FINE_HZ)] == pytest.approx(0.4, abs=1e-6)
    assert way.x[-1] == pytest.approx(0.0, abs=1e-6)


def test_contact_comes_with_the_grip_and_goes_with_it() -> None:
    load = contact(one_rep())
    assert load[[0, int(5 * FINE_HZ), -1]] == pytest.approx([0, 1, 0])


def test_a_pendulum_of_one_metre_takes_2_006_s() -> None:
    assert 1 / pendulum_hz(1.0) == pytest.approx(2.006, abs=5e-4)  # 2π √(l / g)


def test_a_ring_crosses_zero_at_the_period_asked_for_and_decays_by_its_damping() -> None:
    track = Track(int(20 * FINE_HZ))
    track.ring(1.0, pendulum_hz(1.0), 0.02, 0.1)
    x = track.x
    rising = np.flatnonzero((x[:-1] < 0) & (x[1:] >= 0)) / FINE_HZ
    assert np.diff(rising).mean() == pytest.approx(2.006 / np.sqrt(1 - 0.02**2), abs=5e-3)
    peaks = [float(x[int(a * FINE_HZ) : int(b * FINE_HZ)].max()) for a, b in pairwise(rising)]
    assert np.log(peaks[0] / peaks[1]) == pytest.approx(2 * np.pi * 0.02, rel=0.02)  # logarithmic decrement


def test_a_resonance_rings_at_its_own_frequency() -> None:
    push = np.zeros(int(4 * FINE_HZ))
    push[100:] = 1.0
    y = resonate(push, 10.0, 0.02)
    rising = np.flatnonzero((y[101:-1] < 1) & (y[102:] >= 1)) / FINE_HZ
    assert 1 / np.diff(rising).mean() == pytest.approx(10.0, rel=0.01)
    assert y.max() == pytest.approx(1 + np.exp(-np.pi * 0.02), rel=0.01)  # overshoot of a step


def test_a_bar_bends_as_the_beam_tables_say() -> None:
    stiffness = 200e9 * np.pi * 0.028**4 / 64
    assert beam_slope(700, 1.31, stiffness) == pytest.approx(12.44e-3, abs=1e-5)  # P L² / 16 E I
    assert beam_sag(700, 1.31, stiffness, 0.655) == pytest.approx(5.43e-3, abs=1e-5)  # P L³ / 48 E I
    assert beam_slope(700, 1.31, stiffness, 0.655) == pytest.approx(0.0)
    at_m = np.linspace(0, 0.655, 200)
    sag = np.array([beam_sag(700, 1.31, stiffness, x) for x in at_m])
    slope = np.array([beam_slope(700, 1.31, stiffness, x) for x in at_m])
    assert np.gradient(sag, at_m)[1:-1] == pytest.approx(slope[1:-1], rel=1e-3, abs=1e-6)
    with pytest.raises(ValueError, match="between a support and the middle"):
        beam_slope(700, 1.31, stiffness, 1.0)


def test_the_force_of_a_swinging_strap_is_that_of_a_pendulum() -> None:
    """Along the strap g cos θ + l θ'², across it g sin θ + l θ'' (any textbook of mechanics)."""
    length = 1.7
    angle = 0.25 * np.sin(2 * np.pi * 0.4 * np.arange(2000) / FINE_HZ)
    along = sampled(angle)
    still = constant(angle)
    motion = strap_motion(constant(angle, length), along, still)
    force = specific_force(motion)[5:-5]
    theta, rate, bend = along.x[5:-5], along.v[5:-5], along.a[5:-5]
    assert force[:, 2] == pytest.approx(STANDARD_GRAVITY_M_S2 * np.cos(theta) + length * rate**2, abs=1e-3)
    assert force[:, 0] == pytest.approx(STANDARD_GRAVITY_M_S2 * np.sin(theta) + length * bend, abs=1e-3)


def test_a_free_pendulum_feels_nothing_across_its_strap() -> None:
    angle = 0.05 * np.sin(2 * np.pi * pendulum_hz(1.7) * np.arange(2000) / FINE_HZ)
    motion = strap_motion(constant(angle, 1.7), sampled(angle), constant(angle))
    assert np.abs(specific_force(motion)[5:-5, 0]).max() < 1e-3


def test_the_clip_hangs_on_the_line_from_the_anchor() -> None:
    rng = np.random.default_rng(1)
    along, across = (constant(np.zeros(50)) + constant(np.zeros(50), a) for a in rng.uniform(-0.5, 0.5, 2))
    motion = strap_motion(constant(np.zeros(50), 1.3), along, across)
    place = np.stack([motion.forward.x, motion.sideways.x, motion.height.x], axis=1)
    assert (attitude(motion) @ [0, 0, -1.3]) == pytest.approx(place, abs=1e-12)


def test_specific_force_integrates_back_to_the_place() -> None:
    scene = set_scene(one_rep())
    mounted = on_body(scene, draw_build(np.random.default_rng(3)), np.random.default_rng(4))
    in_room = np.einsum("nij,nj->ni", attitude(mounted.motion), specific_force(mounted.motion))
    acceleration = in_room - [0, 0, STANDARD_GRAVITY_M_S2]
    for axis, truth in enumerate((mounted.motion.forward, mounted.motion.sideways, mounted.motion.height)):
        place = truth.x[0] + _twice_summed(acceleration[:, axis], float(truth.x[1] - truth.x[0]))
        assert place == pytest.approx(truth.x, abs=1e-6)


def test_angular_rate_integrates_back_to_the_attitude() -> None:
    scene = set_scene(one_rep())
    motion = on_body(scene, draw_build(np.random.default_rng(3)), np.random.default_rng(4)).motion
    rotation, rate = attitude(motion), angular_rate(motion)
    turned_by = np.einsum("nji,njk->nik", rotation[:-1], rotation[1:])
    step = np.stack([turned_by[:, 2, 1], turned_by[:, 0, 2], turned_by[:, 1, 0]], axis=1)
    assert step * FINE_HZ == pytest.approx((rate[:-1] + rate[1:]) / 2, abs=0.02)


def test_a_sensor_that_turns_on_its_clip_sees_the_turning() -> None:
    angle = Track(1000)
    angle.step(1.0, 1.0, np.pi / 2)
    force, rate = np.tile([1.0, 0.0, 0.0], (1000, 1)), np.zeros((1000, 3))
    seen, turning = turned(force, rate, np.array([0.0, 0.0, 1.0]), angle.jet())
    assert seen[-1] == pytest.approx([0, -1, 0], abs=1e-9)
    assert turning[:, 2].sum() / FINE_HZ == pytest.approx(np.pi / 2, abs=1e-3)


def test_the_load_on_a_fixed_bar_is_weight_times_one_plus_a_over_g() -> None:
    """The tilt, less the mount step, over the mount step is a / g: no stiffness needed."""
    scene = set_scene(one_rep())
    tilt = 0.01 * resonate(steady_load(scene, (1.0, 1.0), 1.0) * scene.contact, 15.0, 0.05)
    empty, hang = tilt[0], tilt[int(4.5 * FINE_HZ)]
    inside = slice(int(4.5 * FINE_HZ), int(9.5 * FINE_HZ))
    found = (tilt[inside] - hang) / (hang - empty)
    assert found == pytest.approx(scene.travel.a[inside] / STANDARD_GRAVITY_M_S2, abs=0.04)


def test_a_quiet_bar_moves_as_little_as_its_sag() -> None:
    scene = set_scene(one_rep())
    bar = draw_bar(np.random.default_rng(5))
    motion = on_fixed_bar(scene, bar, np.random.default_rng(6)).motion
    assert np.ptp(motion.height.x) < 4 * bar.sag_m
    assert np.abs(motion.pitch.x).max() < 4 * bar.slope_rad


def test_quantisation_stops_at_the_range() -> None:
    x = quantised(np.array([0.0, 0.01, 100.0, -100.0]), 39.2, 12)
    assert x == pytest.approx([0, 39.2 / 2048 * round(0.01 * 2048 / 39.2), 39.2 * 2047 / 2048, -39.2])


def _twice_summed(acceleration: FloatArray, first_step: float) -> FloatArray:
    """Undo central second differences."""
    steps = first_step + np.concatenate([[0.0], np.cumsum(acceleration[1:-1])]) / FINE_HZ**2
    return np.concatenate([[0.0], np.cumsum(steps)])


@pytest.fixture(scope="module", params=list(MOUNTS))
def session(request: pytest.FixtureRequest) -> Session:
    return draw_session(request.param, 7, minutes=5.0)


def test_a_drawn_session_is_whole_and_the_same_again(session: Session) -> None:
    n = len(session.t_s)
    assert session.force_m_s2.shape == session.rate_rad_s.shape == (n, 3)
    assert session.label.shape == (n,)
    assert np.isfinite(session.force_m_s2).all()
    assert np.isfinite(session.rate_rad_s).all()
    assert (np.diff(session.t_s) > 0).all()
    again = draw_session(session.mount, 7, minutes=5.0)
    assert np.array_equal(again.force_m_s2, session.force_m_s2)


def test_labels_of_a_drawn_session_agree_with_its_reps(session: Session) -> None:
    assert session.reps
    for rep in session.reps:
        assert rep.start_s < rep.top_s <= rep.down_s < rep.end_s
        assert rep.shrug_s is None or rep.shrug_s < rep.start_s
        tried = rep.kind == "partial"
        assert set(between(session, rep.start_s, rep.top_s)) <= {Label.TRY if tried else Label.UP}
        assert set(between(session, rep.down_s, rep.end_s)) <= {Label.TRY if tried else Label.DOWN}
        if rep.kind == "full":
            assert set(between(session, rep.top_s, rep.down_s)) <= {Label.TOP}
        if rep.shrug_s is not None:
            assert set(between(session, rep.shrug_s, rep.start_s)) <= {Label.SHRUG}


def test_a_drawn_session_is_away_where_no_hands_are_on(session: Session) -> None:
    held = np.zeros(len(session.t_s), dtype=bool)
    for bout in session.bouts:
        assert bout.mount_s < bout.hang_s <= bout.off_s < bout.free_s
        assert bout.is_set <= (len(bout.reps) >= 3)
        held |= (session.t_s >= bout.hang_s - 0.01) & (session.t_s <= bout.off_s + 0.01)
    assert (session.label[~held] == Label.AWAY).all()


def between(session: Session, start_s: float, end_s: float) -> NDArray[np.int8]:
    """Return the labels inside a phase, without the fine grid's step at either end."""
    inside = (session.t_s > start_s + 1 / FINE_HZ) & (session.t_s < end_s - 1 / FINE_HZ)
    labels_inside: NDArray[np.int8] = session.label[inside]
    return labels_inside
