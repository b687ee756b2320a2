"""The trace of a set against motion that is known in closed form."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from analysis.motion.mounts import Mount
from analysis.motion.parameters import DEFAULTS
from analysis.motion.results import Rep
from analysis.motion.samples import FloatArray, Samples
from analysis.motion.trace import traced

RATE_HZ = 100.0
PERIOD_S, REPS, FIRST_S = 4.0, 5, 6.0
TRAVEL_M, TILT_DEG = 0.5, 12.0


def _share(t_s: FloatArray) -> FloatArray:
    """0 at the bottom, 1 at the top: half a cosine up within 1 s, 1 s of rest, 1 s down, 1 s of rest."""
    phase = (t_s - FIRST_S) % PERIOD_S
    inside = (t_s >= FIRST_S) & (t_s < FIRST_S + REPS * PERIOD_S)
    up, down = (1 - np.cos(np.pi * phase)) / 2, (1 + np.cos(np.pi * (phase - 2))) / 2
    wave = np.select([phase < 1, phase < 2, phase < 3], [up, np.ones_like(phase), down], 0.0)
    return np.where(inside, wave, 0.0)


def _times() -> FloatArray:
    return np.arange(0.0, FIRST_S + REPS * PERIOD_S + 6.0, 1 / RATE_HZ)


def _reps() -> list[Rep]:
    starts = [FIRST_S + index * PERIOD_S for index in range(REPS)]
    return [Rep(start_s=at, top_s=at + 1, down_s=at + 2, end_s=at + 3) for at in starts]


def _travelling() -> Samples:
    t_s = _times()
    lift = np.gradient(np.gradient(TRAVEL_M * _share(t_s), t_s), t_s)
    return Samples(t_s, np.column_stack([np.zeros_like(t_s), np.zeros_like(t_s), 9.80665 + lift]))


def _tilting(sign: int = 1) -> Samples:
    t_s = _times()
    angle = np.radians(sign * TILT_DEG * _share(t_s))
    return Samples(t_s, 9.80665 * np.column_stack([np.sin(angle), np.zeros_like(t_s), np.cos(angle)]))


def test_travel_is_as_it_was_made() -> None:
    found = traced(_travelling(), Mount.BODY, _reps())
    assert found is not None
    assert found.travels
    inside = (found.t_s > FIRST_S) & (found.t_s < FIRST_S + REPS * PERIOD_S)
    off = found.position - TRAVEL_M * _share(found.t_s)
    assert np.abs(off[inside]).max() < 0.06


def test_acceleration_is_that_along_gravity() -> None:
    """A half cosine of 0.5 m in 1 s begins with 0.5 π² / 2 = 2.47 m/s²; the grid's filter takes some of that step."""
    found = traced(_travelling(), Mount.BODY, _reps())
    assert found is not None
    assert 1.5 < found.acceleration_m_s2.max() < 2.6
    assert np.abs(found.acceleration_m_s2[found.t_s < FIRST_S - 1]).max() < 0.05


@pytest.mark.parametrize("sign", [1, -1])
def test_tilt_goes_up_with_the_reps_whichever_way_the_sensor_turns(sign: int) -> None:
    found = traced(_tilting(sign), Mount.SUSPENSION, _reps())
    assert found is not None
    assert not found.travels
    for rep in _reps():
        low, high = np.interp([rep.start_s - 0.2, rep.start_s + 1.5], found.t_s, found.position)
        assert high - low == pytest.approx(TILT_DEG, rel=0.25)


@pytest.mark.parametrize(("samples", "mount"), [(_travelling(), Mount.BODY), (_tilting(), Mount.SUSPENSION)])
def test_ways_are_those_of_the_reps(samples: Samples, mount: Mount) -> None:
    found = traced(samples, mount, _reps())
    assert found is not None
    assert [way.up for way in found.ways] == [True, False] * REPS
    for way, start_s in zip(found.ways, [at for rep in _reps() for at in (rep.start_s, rep.start_s + 2)], strict=True):
        assert start_s - 0.1 < way.start_s < way.end_s < start_s + 1.1


def test_without_reps_there_is_still_a_trace_from_its_lowest_point() -> None:
    found = traced(_travelling(), Mount.BODY, [])
    assert found is not None
    assert found.position.min() == 0.0


def test_too_little_to_read_is_none() -> None:
    whole = _travelling()
    assert traced(replace(whole, t_s=whole.t_s[:60], force_m_s2=whole.force_m_s2[:60]), Mount.BODY, []) is None


def _without(start_s: float, end_s: float) -> Samples:
    whole = _travelling()
    kept = (whole.t_s < start_s) | (whole.t_s > end_s)
    return Samples(whole.t_s[kept], whole.force_m_s2[kept])


def test_nothing_is_told_of_a_hole() -> None:
    found = traced(_without(12.0, 13.5), Mount.BODY, _reps())
    assert found is not None
    inside = (found.t_s > 12.1) & (found.t_s < 13.4)
    assert found.hole[inside].all()
    assert not found.hole[(found.t_s < 11.8) | (found.t_s > 13.7)].any()
    assert not [way for way in found.ways if way.start_s < 13.4 and way.end_s > 12.1]
    assert len(found.ways) == 2 * REPS - 1  # the way down of the second rep, from 12 to 13 s, is in the hole


def test_a_hole_too_long_to_carry_through_leaves_the_longer_part() -> None:
    whole, away_s = _travelling(), DEFAULTS.life.restart_s + 1.0
    late = Samples(np.where(whole.t_s < 8.0, whole.t_s, whole.t_s + away_s), whole.force_m_s2)
    found = traced(late, Mount.BODY, [])
    assert found is not None
    assert found.t_s[0] > 8.0 + away_s - 0.1
