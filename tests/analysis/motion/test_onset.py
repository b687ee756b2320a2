"""When a lowering is told live: closed forms, and the virtual trainee's whole way through the live pipeline."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from analysis.motion.events import Phase, PhaseChanged
from analysis.motion.mounts import Mount
from analysis.motion.onset import OnsetParameters, TopHold
from analysis.motion.parameters import STANDARD_GRAVITY_M_S2
from analysis.motion.pipeline import Pipeline
from analysis.motion.samples import Samples
from sensor.virtual.script import Beat, regular_script
from sensor.virtual.trainee import perform

RATE_HZ = 25.0
STEP_S = 1 / RATE_HZ
PACKET = 10
P = OnsetParameters()


def top_hold(*parts: NDArray[np.float64], drift_m_s: float = 0.0) -> TopHold:
    """A top hold of these accelerations; its speed is their integral, and drifts by so much in all."""
    upward = np.concatenate(parts)
    speed = np.cumsum(upward) * STEP_S + np.linspace(0.0, drift_m_s, len(upward))
    return TopHold(100.0, 0.45, STANDARD_GRAVITY_M_S2, upward, speed, RATE_HZ)


def still(seconds: float, at_m_s2: float = 0.0) -> NDArray[np.float64]:
    return np.full(round(seconds * RATE_HZ), at_m_s2)


def stroke(travel_m: float, seconds: float) -> tuple[NDArray[np.float64], float]:
    """Acceleration of a minimum-jerk stroke down, and when its speed passes 5 % of its peak.

    Flash & Hogan 1985 (J Neurosci 5:1688): x = D (10 τ³ − 15 τ⁴ + 6 τ⁵), so a = D/T² (60 τ − 180 τ² + 120 τ³) and
    v = D/T 30 τ² (1 − τ)², greatest at the middle, 1.875 D/T.
    """
    tau = np.arange(round(seconds * RATE_HZ)) / (seconds * RATE_HZ)
    fine = np.linspace(0.0, 0.5, 10001)
    begin_s = seconds * float(fine[np.argmax(30 * (fine * (1 - fine)) ** 2 >= 0.05 * 1.875)])
    return -travel_m / seconds**2 * (60 * tau - 180 * tau**2 + 120 * tau**3), begin_s


def told(*parts: NDArray[np.float64], drift_m_s: float = 0.0) -> tuple[float, float] | None:
    """When a lowering is first told, point by point, and since when; seconds after the first point."""
    upward = np.concatenate(parts)
    whole = top_hold(upward, drift_m_s=drift_m_s)
    for n in range(2, len(upward) + 1):
        hold = TopHold(100.0, 0.45, whole.rest_m_s2, upward[:n], whole.speed_m_s[:n], RATE_HZ)
        since_s = hold.lowered_s(P)
        if since_s is not None:
            return (n - 1) * STEP_S, since_s - 100.0
    return None


@pytest.mark.parametrize("size_m_s2", [0.2, 0.4, 1.0])
def test_a_step_is_told_once_the_speed_lost_passes_the_bound(size_m_s2: float) -> None:
    """Page 1954: the sum grows by (size − allowed) a second, so the bound is passed after bound / (size − allowed).

    The speed passes that of a boundary, 0.012 m/s, after 0.012 / size.
    """
    hold_s = 2.0
    few, n = P.level_s * RATE_HZ, hold_s * RATE_HZ
    allowed_m_s2 = P.drift_m_s2 + P.bias_m_s2 * few / (n + few)
    points = int(np.ceil(P.lost_m_s / (size_m_s2 - allowed_m_s2) * RATE_HZ))
    result = told(still(hold_s), still(2.0, -size_m_s2))
    moving = int(np.ceil(0.012 / size_m_s2 * RATE_HZ)) - 1
    assert result == (pytest.approx(hold_s + (points - 1) * STEP_S), pytest.approx(hold_s + moving * STEP_S))


@pytest.mark.parametrize(("seconds", "within_s"), [(1.0, 0.2), (2.0, 0.3), (4.0, 0.7)])
@pytest.mark.parametrize("bias_m_s2", [-0.2, 0.0, 0.2])
def test_a_lowering_is_told_soon_after_its_begin_whatever_the_bias(
    seconds: float, within_s: float, bias_m_s2: float
) -> None:
    """30 mg of bias leaning by 40° are 0.2 m/s²; the speed then drifts by 0.2 m/s in a second."""
    down, begin_s = stroke(0.45, seconds)
    result = told(still(1.0, bias_m_s2), down + bias_m_s2)
    assert result is not None
    told_s, since_s = result
    assert 0.0 <= told_s - 1.0 - begin_s <= within_s
    assert abs(since_s - 1.0 - begin_s) <= 0.15


def test_a_hold_goes_on_though_its_speed_drifts() -> None:
    """By 0.3 m/s in three seconds: a lowering of four is no faster than 1.875 × 0.45 / 4 = 0.21 m/s."""
    assert told(still(3.0, -0.07), drift_m_s=-0.1) is None


def test_the_jolt_of_a_stop_is_no_level_of_a_hold() -> None:
    """A stop that swings back by 0.1 m/s within a tenth of a second."""
    assert told(still(0.12, 1.0), still(2.0)) is None


def test_a_dip_belongs_to_the_hold_once_it_is_over() -> None:
    """Down by 3 cm and still again: told as a lowering meanwhile, and not any more at its end."""
    dip, _ = stroke(0.03, 0.4)
    assert told(still(1.0), dip) is not None
    assert top_hold(still(1.0), dip, still(1.0)).lowered_s(P) is None


def test_a_sway_seen_before_is_no_lowering() -> None:
    """Up and down by the same speed, once a second; a lowering of two seconds, 0.42 m/s fast, is more than it was."""
    sway = 0.25 * np.sin(2 * np.pi * np.arange(75) / RATE_HZ)
    down, begin_s = stroke(0.45, 2.0)
    assert told(still(0.5), sway) is None
    result = told(still(0.5), sway, down)
    assert result is not None
    assert 0.0 <= result[0] - 3.5 - begin_s <= 0.5


def test_a_way_up_that_turns_at_once_is_told_from_where_it_turned() -> None:
    """Half a metre up and down a second each without a stop, x = −cos: the speed passes zero downwards at the top."""
    t_s = np.arange(50) * STEP_S
    upward = 0.25 * np.pi**2 * np.cos(np.pi * (t_s + 0.9))
    speed = 0.25 * np.pi * np.sin(np.pi * (t_s + 0.9))
    for n in range(2, len(t_s)):
        since_s = TopHold(0.0, 0.5, 9.8, upward[:n], speed[:n], RATE_HZ).lowered_s(P)
        if since_s is not None:
            break
    assert since_s == pytest.approx(0.1, abs=STEP_S)
    assert (n - 1) * STEP_S - 0.1 <= 0.25


def test_points_of_the_force_alone_go_on_alike_however_they_are_cut() -> None:
    force = np.column_stack([np.zeros((9, 2)), STANDARD_GRAVITY_M_S2 - np.linspace(0.0, 1.0, 9)])
    before = top_hold(still(1.0))
    whole = before.gone_on(force)
    parts = before.gone_on(force[:4]).gone_on(force[4:5]).gone_on(force[5:])
    assert whole.upward_m_s2[-9:] == pytest.approx(-np.linspace(0.0, 1.0, 9), abs=1e-12)
    assert np.array_equal(whole.upward_m_s2, parts.upward_m_s2)
    assert np.array_equal(whole.speed_m_s, parts.speed_m_s)


@pytest.mark.parametrize(
    ("beat", "within_s"),
    [(Beat(1.0, 1.0, 2.0, 0.2), 0.35), (Beat(1.0, 2.0, 2.0, 0.2), 0.35), (Beat(1.0, 0.4, 2.0, 0.2), 0.35)],
    ids=["hold of 1 s", "hold of 2 s", "hold of .4 s"],
)
def test_the_hold_is_told_as_it_lasts_and_the_lowering_since_its_begin(beat: Beat, within_s: float) -> None:
    """Of two sets, told in packets of .1 s: no lowering within a hold, then one soon after its begin, and since it."""
    done = perform(regular_script(trainee="Mara Lindt", sets=2, reps=6, beat=beat, rest_s=30.0), 7)
    pipeline = Pipeline(Mount.BODY)
    changes: list[tuple[float, PhaseChanged]] = []
    for first in range(0, len(done.t_s) - PACKET, PACKET):
        part = slice(first, first + PACKET)
        for event in pipeline.push_live(Samples(done.t_s[part], done.force_m_s2[part], done.rate_rad_s[part])):
            if isinstance(event, PhaseChanged):
                changes.append((float(done.t_s[part][-1]), event))
    for rep in (rep for reps in done.truth for rep in reps):
        held = [event.phase for told_s, event in changes if rep.top_s + 0.4 < told_s < rep.down_s]
        assert set(held) <= {Phase.TOP}
        told_s, event = next((t, e) for t, e in changes if t >= rep.down_s and e.phase is Phase.DOWN)
        assert told_s - rep.down_s <= within_s
        assert abs(event.at_s - rep.down_s) <= 0.1
        lasting = [e for t, e in changes if rep.down_s + 0.5 < t < rep.end_s]
        assert all(e.phase is Phase.DOWN and abs(e.at_s - rep.down_s) <= 0.1 for e in lasting)
