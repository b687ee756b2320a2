"""Nothing of the future in the live answer: what is said at a moment follows from the samples up to it alone.

Zero-phase filters run inside the live window; were any of them to reach past its end, or a stamp to lie, these fail.
"""

from __future__ import annotations

import copy
import pickle

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from motion_scenes import REP, Step, cut, scene

from analysis.motion.analysis import analyse
from analysis.motion.events import BoutRefined, Event, RepConfirmed, RepProvisional, RepWithdrawn, SpanUnmeasurable
from analysis.motion.grid import Gridder
from analysis.motion.mounts import Mount
from analysis.motion.parameters import GridParameters
from analysis.motion.pipeline import Pipeline
from analysis.motion.samples import Samples

RATE_HZ = 50.0
LIFT: tuple[Step, ...] = ((0.45, 1.0), (0.0, 1.0), (-0.45, 1.0), (0.0, 1.2))
SCENES = {
    Mount.BODY: scene([(0.0, 5.0), *REP * 4, (0.0, 11.0)], RATE_HZ, gyro=True)[0],
    Mount.MOVING_BAR: scene([(0.0, 5.0), *REP * 4, (0.0, 11.0)], RATE_HZ, lean_deg=0.0)[0],
    Mount.LIMB: scene([(0.0, 5.0), *LIFT * 4, (0.0, 11.0)], RATE_HZ, lean_deg=50.0)[0],
    Mount.SUSPENSION: scene([(0.0, 5.0), *LIFT * 4, (0.0, 11.0)], RATE_HZ, lean_deg=8.0, tremor_m_s2=0.3)[0],
    Mount.FIXED_BAR: scene([(0.0, 5.0), *LIFT * 4, (0.0, 11.0)], RATE_HZ, lean_deg=2.0, tremor_m_s2=0.3)[0],
}


def part(samples: Samples, start: int, stop: int) -> Samples:
    rate = None if samples.rate_rad_s is None else samples.rate_rad_s[start:stop]
    return Samples(samples.t_s[start:stop], samples.force_m_s2[start:stop], rate)


def spoilt(samples: Samples, at: int) -> Samples:
    """The same samples up to `at`, then six seconds of noise of 3 g and 500 °/s."""
    samples = part(samples, 0, at + round(6 * RATE_HZ))
    random = np.random.default_rng(at)
    force = samples.force_m_s2.copy()
    force[at:] = random.normal(0.0, 30.0, force[at:].shape)
    rate = None if samples.rate_rad_s is None else samples.rate_rad_s.copy()
    if rate is not None:
        rate[at:] = random.normal(0.0, 9.0, rate[at:].shape)
    return Samples(samples.t_s, force, rate)


def told(mount: Mount, samples: Samples) -> list[tuple[float, Event]]:
    """Every event with the time of the last sample that was pushed when it came, one sample at a time."""
    pipeline = Pipeline(mount)
    return [
        (float(samples.t_s[i]), event)
        for i in range(len(samples))
        for event in pipeline.push(part(samples, i, i + 1))
    ]  # fmt: skip


TOLD = {mount: told(mount, samples) for mount, samples in SCENES.items()}


@pytest.mark.parametrize("mount", [Mount.BODY, Mount.MOVING_BAR, Mount.LIMB])
def test_there_is_something_to_compare(mount: Mount) -> None:
    assert sum(isinstance(event, RepConfirmed) for _, event in TOLD[mount]) >= 3


@pytest.mark.parametrize("mount", list(Mount))
def test_no_event_is_stamped_before_it_could_be_known(mount: Mount) -> None:
    for now_s, event in TOLD[mount]:
        assert event.emitted_s <= now_s
        if not isinstance(event, BoutRefined | SpanUnmeasurable):
            assert event.at_s <= event.emitted_s


@pytest.mark.parametrize(("mount", "share"), [*((mount, 0.6) for mount in Mount), (Mount.BODY, 0.35)])
def test_a_garbage_future_changes_nothing_that_was_said(mount: Mount, share: float) -> None:
    samples = SCENES[mount]
    at = round(share * len(samples))
    now_s = float(samples.t_s[at - 1])
    pipeline = Pipeline(mount)
    events = [e for packet in cut(spoilt(samples, at), range(5, at, 5)) for e in pipeline.push(packet)]
    past = GridParameters().box_s / 2 + 1 / RATE_HZ  # a grid point is certain when its box lies in the past
    said = [e for e in events if e.emitted_s <= now_s - past]
    assert said == [e for _, e in TOLD[mount] if e.emitted_s <= now_s - past]


@settings(max_examples=4)
@given(st.integers(200, len(SCENES[Mount.BODY]) - 1))
def test_wherever_the_future_turns_to_garbage(at: int) -> None:
    samples = SCENES[Mount.BODY]
    now_s = float(samples.t_s[at - 1]) - GridParameters().box_s / 2 - 1 / RATE_HZ
    pipeline = Pipeline(Mount.BODY)
    said = [e for e in pipeline.push(spoilt(samples, at)) if e.emitted_s <= now_s]
    assert said == [e for _, e in TOLD[Mount.BODY] if e.emitted_s <= now_s]


@pytest.mark.parametrize("mount", [Mount.BODY, Mount.MOVING_BAR])
def test_as_live_stamps_are_those_of_the_packets_that_sufficed(mount: Mount) -> None:
    """The document's `emitted_s` and `provisional_s`: with no sample beyond them, the rep has been said already."""
    (bout,) = analyse(SCENES[mount], mount, live=True).sets
    confirmed = {(e.rep.start_s, e.rep.end_s): now_s for now_s, e in TOLD[mount] if isinstance(e, RepConfirmed)}
    first = [now_s for now_s, e in TOLD[mount] if isinstance(e, RepProvisional)]
    assert not any(isinstance(e, RepWithdrawn) for _, e in TOLD[mount])
    for rep, first_s in zip(bout.reps, first, strict=True):
        assert rep.emitted_s is not None
        assert rep.provisional_s is not None
        assert confirmed[rep.start_s, rep.end_s] <= rep.emitted_s < confirmed[rep.start_s, rep.end_s] + 0.11
        assert first_s <= rep.provisional_s < first_s + 0.11


def test_as_live_does_not_look_beyond_a_closed_set() -> None:
    """The stream ends, or turns to garbage, once the set is closed."""
    samples = SCENES[Mount.BODY]
    at = len(samples) - 50
    whole = analyse(samples, Mount.BODY, live=True).sets
    assert [b.count for b in whole] == [4]
    assert analyse(part(samples, 0, at), Mount.BODY, live=True).sets == whole
    assert analyse(spoilt(samples, at), Mount.BODY, live=True).sets[0] == whole[0]


def test_no_grid_point_reaches_past_the_last_sample() -> None:
    samples = SCENES[Mount.BODY]
    parameters = GridParameters()
    for at in (7, 100, 333):
        given_out = Gridder(parameters).push(part(samples, 0, at))
        assert given_out.t_s[-1] + parameters.box_s / 2 <= samples.t_s[at - 1] + 1e-9
        later = Gridder(parameters).push(spoilt(samples, at))
        assert np.array_equal(given_out.force_m_s2, later.force_m_s2[: len(given_out)])


@pytest.mark.parametrize("again", [copy.deepcopy, lambda p: pickle.loads(pickle.dumps(p))], ids=["copied", "pickled"])
@pytest.mark.parametrize("share", [0.5])
def test_state_saved_in_mid_set_goes_on_as_if_nothing_had_happened(again: object, share: float) -> None:
    samples = SCENES[Mount.BODY]
    at = round(share * len(samples))
    pipeline = Pipeline(Mount.BODY)
    events = pipeline.push(part(samples, 0, at))
    assert callable(again)
    restored = again(pipeline)
    events += restored.push(part(samples, at, len(samples)))
    assert events == [e for _, e in TOLD[Mount.BODY]]
    assert pipeline.finish() != restored.finish()  # two states, not one
