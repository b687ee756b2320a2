"""Saved in mid-set and gone on with: the same events to the last digit, and a clear word where that cannot be."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from motion_scenes import REP, after, cut, scene

from analysis.motion.events import BoutRefined, Event, RepConfirmed
from analysis.motion.mounts import Mount
from analysis.motion.parameters import DEFAULTS
from analysis.motion.pipeline import Pipeline
from analysis.motion.samples import Samples
from analysis.motion.state import FORMAT, StateError

_SET, _ = scene([(0.0, 6.0), *REP * 4, (0.0, 12.0)], 50.0)
_GYRO = replace(_SET, rate_rad_s=np.random.default_rng(8).normal(0.0, 0.01, (len(_SET), 3)))
_TWO = after(_SET, replace(_SET, t_s=_SET.t_s + 40.0))
STREAMS = {"accelerometer": _SET, "gyro": _GYRO, "a long hole between": _TWO}


@cache
def told(stream: str, mount: Mount, live: bool) -> list[Event]:
    pipeline = Pipeline(mount, live=live)
    return [*pipeline.push(STREAMS[stream]), *pipeline.finish()]


def told_with_saving(samples: Samples, mount: Mount, live: bool, at: list[int]) -> list[Event]:
    pipeline = Pipeline(mount, live=live)
    events: list[Event] = []
    for piece in cut(samples, at):
        events += pipeline.push(piece)
        pipeline = Pipeline.restore(pipeline.save())
    return events + pipeline.finish()


@settings(max_examples=8, deadline=None)
@given(
    stream=st.sampled_from(sorted(STREAMS)),
    mount=st.sampled_from(list(Mount)),
    live=st.booleans(),
    at=st.lists(st.integers(0, len(_SET)), min_size=1, max_size=6),
)
@example(stream="accelerometer", mount=Mount.BODY, live=True, at=list(range(0, len(_SET), 37)))
@example(stream="gyro", mount=Mount.BODY, live=True, at=[601, 605])
@example(stream="a long hole between", mount=Mount.BODY, live=True, at=[len(_SET) - 1, len(_SET), len(_SET) + 1])
def test_saving_and_restoring_anywhere_changes_no_event(stream: str, mount: Mount, live: bool, at: list[int]) -> None:
    assert told_with_saving(STREAMS[stream], mount, live, at) == told(stream, mount, live)


def test_the_set_that_is_cut_holds_reps() -> None:
    events = told("accelerometer", Mount.BODY, True)
    assert sum(isinstance(e, RepConfirmed) for e in events) == 4
    assert [e.bout.count for e in events if isinstance(e, BoutRefined)] == [4]


def saved(at: int = 700) -> bytes:
    pipeline = Pipeline(Mount.BODY)
    pipeline.push(Samples(_SET.t_s[:at], _SET.force_m_s2[:at]))
    return pipeline.save()


def test_saving_leaves_the_state_alone_and_two_go_on_apart() -> None:
    first = saved()
    one, other = Pipeline.restore(first), Pipeline.restore(first)
    rest = Samples(_SET.t_s[700:], _SET.force_m_s2[700:])
    events = one.push(rest)
    assert other.save() == first
    assert other.push(rest) == events
    assert one.save() == other.save()


def changed(**entries: object) -> bytes:
    return json.dumps({**json.loads(saved(40)), **entries}).encode()


@pytest.mark.parametrize(
    ("state", "message"),
    [
        (b"", "no saved state"),
        (b"\x80\x04N.", "no saved state"),
        (b"[]", "no saved state"),
        (b'{"t_s": 1}', "no saved state"),
        (changed(format="rungwise.motion-state/2"), f"only '{FORMAT}'"),
        (changed(parameters_sha="0123"), "saved with the parameters 0123"),
        (changed(mount="roof"), "damaged"),
        (changed(state={"part": ["pipeline.Pipeline", {}]}), "does not fit"),
        (changed(state={"part": ["builtins.dict", {}]}), "does not fit"),
        (changed(state=5), "does not fit"),
        (changed(live=False), "does not fit"),
        (saved(40).replace(b"grid.Stretch", b"grid.Gridder"), "does not fit"),
        (saved(40).replace(b"grid.Stretch", b"sys.exit"), "does not fit"),
        (saved(40)[:-20], "no saved state"),
    ],
)
def test_what_cannot_be_gone_on_with_is_refused_with_a_way_out(state: bytes, message: str) -> None:
    with pytest.raises(StateError, match="analyse the recording") as refused:
        Pipeline.restore(state)
    assert message in str(refused.value)


def test_other_parameters_are_refused() -> None:
    other = replace(DEFAULTS, life=replace(DEFAULTS.life, live_window_s=20.0))
    with pytest.raises(StateError, match="saved with the parameters"):
        Pipeline.restore(saved(40), parameters=other)
