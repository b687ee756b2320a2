"""Single wrong readings on one axis: out they go, however the stream is cut, and movement stays as it is."""

from __future__ import annotations

import numpy as np
import pytest
from motion_scenes import REP, scene
from scipy.ndimage import median_filter

from analysis.motion.analysis import analyse
from analysis.motion.mounts import Mount
from analysis.motion.samples import FloatArray, Samples
from analysis.motion.spikes import SPIKE_M_S2, Despiker, without_spikes

LEAST = np.array([5.0])
SET, _ = scene([(0.0, 6.0), *REP * 6, (0.0, 14.0)])


def test_the_identifier_is_the_textbooks() -> None:
    """Hampel's, written out with SciPy's median filter and a loop (Pearson 2002, eq. 2), and the bound on top."""
    random = np.random.default_rng(3)
    x = random.normal(size=400) + 40.0 * (random.random(400) < 0.05)
    median = median_filter(x, 5)
    wide = np.pad(x, 2, mode="symmetric")
    spread = [1.4826 * np.median(np.abs(wide[i : i + 5] - median[i])) for i in range(400)]
    out = (np.abs(x - median) > 3.0 * np.array(spread)) & (np.abs(x - median) > 5.0)
    cleaned = without_spikes(x[:, None], LEAST)[:, 0]
    assert out.sum() >= 10
    assert np.array_equal(cleaned, np.where(out, median, x))


def test_two_wrong_readings_in_a_row_go_and_a_step_stays() -> None:
    x = np.full(40, 1.0)
    x[10] = x[11] = 50.0
    x[20:] = 30.0
    assert np.array_equal(without_spikes(x[:, None], LEAST)[:, 0], np.where(np.arange(40) < 20, 1.0, 30.0))


@pytest.mark.parametrize("packet", [1, 2, 3, 7, 100])
def test_packets_of_any_size_give_the_same(packet: int) -> None:
    samples = _spoilt(SET, 0.01)
    despiker = Despiker()
    parts = [
        despiker.push(Samples(samples.t_s[i : i + packet], samples.force_m_s2[i : i + packet]))
        for i in range(0, 600, packet)
    ]
    parts.append(despiker.finish())
    force = np.concatenate([part.force_m_s2 for part in parts])
    first = slice(0, packet * -(-600 // packet))
    whole = without_spikes(samples.force_m_s2[first], np.full(3, SPIKE_M_S2))
    assert np.array_equal(force, whole)
    assert np.array_equal(np.concatenate([part.t_s for part in parts]), samples.t_s[first])


def test_a_set_among_wrong_readings_is_the_set() -> None:
    clean, spoilt = (analyse(samples, Mount.BODY).sets for samples in (SET, _spoilt(SET, 0.002)))
    assert [(bout.count, bout.measured) for bout in spoilt] == [(bout.count, bout.measured) for bout in clean]
    times = [np.array([(r.start_s, r.end_s) for r in bouts[0].reps]) for bouts in (clean, spoilt)]
    assert np.abs(times[0] - times[1]).max() < 0.04


def _spoilt(samples: Samples, share: float) -> Samples:
    """Put single readings of one axis 1 to 6 g off, a share of all (invented)."""
    random = np.random.default_rng(5)
    force: FloatArray = samples.force_m_s2.copy()
    hit = random.random(len(force)) < share
    axis = random.integers(3, size=len(force))
    off = random.choice([-1, 1], len(force)) * random.uniform(9.8, 59.0, len(force))
    force[hit, axis[hit]] += off[hit]
    return Samples(samples.t_s, force)
