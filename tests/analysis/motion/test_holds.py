"""Isometric holds without reps: closed form (minimum-jerk strokes, a 9 Hz tremor between them), and simulated hangs.

Tremor of hands under load lies at 6–14 Hz (from memory of the physiology; verify on hardware).
"""

from __future__ import annotations

import csv
import gzip
import json
from pathlib import Path

import numpy as np
import pytest
from motion_scenes import REP, Step, after, cut, scene, walking

from analysis.motion.analysis import analyse
from analysis.motion.events import BoutClosed, BoutRefined, Event, HoldBegan, HoldEnded
from analysis.motion.mounts import Mount
from analysis.motion.parameters import STANDARD_GRAVITY_M_S2
from analysis.motion.pipeline import Pipeline
from analysis.motion.results import Where
from analysis.motion.samples import Samples

SIM = Path(__file__).parents[4] / "shared" / "data" / "sim"
DOWN: tuple[Step, ...] = ((-0.2, 0.8),)
UP: tuple[Step, ...] = ((0.2, 0.6),)
TREMOR = 0.15


def rest(seconds: float = 12.0) -> Samples:
    return scene([(0.0, seconds)], noise_m_s2=0.01)[0]


def held(steps: tuple[Step, ...]) -> Samples:
    return scene(list(steps), tremor_m_s2=TREMOR)[0]


def hang(seconds: float) -> Samples:
    return after(rest(), held((*DOWN, (0.0, seconds), *UP)), rest())


def streamed(samples: Samples, every: int = 10) -> list[Event]:
    pipeline = Pipeline(Mount.BODY)
    events = [e for part in cut(samples, range(every, len(samples), every)) for e in pipeline.push(part)]
    return events + pipeline.finish()


def test_a_hang_is_a_hold_at_the_bottom() -> None:
    (hold,) = analyse(hang(12.0), Mount.BODY).holds
    assert hold.where is Where.BOTTOM
    assert hold.start_s == pytest.approx(12.8, abs=0.8)
    assert hold.end_s == pytest.approx(24.8, abs=0.8)


def test_a_top_hold_is_a_hold_at_the_top() -> None:
    samples = after(rest(), held((*DOWN, (0.0, 1.0), (0.45, 1.0), (0.0, 10.0), (-0.45, 2.0), (0.0, 1.0), *UP)), rest())
    (hold,) = analyse(samples, Mount.BODY).holds
    assert hold.where is Where.TOP
    assert hold.end_s - hold.start_s == pytest.approx(10.0, abs=1.5)


def test_no_hold_lies_on_a_table() -> None:
    """The same movements with a sensor that is put down between them: no tremor, no hold."""
    moved = scene([*DOWN], noise_m_s2=0.01)[0], rest(), scene([*UP], noise_m_s2=0.01)[0]
    assert not analyse(after(rest(), *moved, rest()), Mount.BODY).holds


def test_walking_and_short_stops_are_no_hold() -> None:
    assert not analyse(after(walking(20), rest(4.0), walking(20), rest()), Mount.BODY).holds
    assert not analyse(hang(3.0), Mount.BODY).holds


def test_the_hang_before_a_set_belongs_to_it() -> None:
    samples = after(rest(), held((*DOWN, (0.0, 8.0), *REP * 5, (0.0, 6.0), *UP)), rest())
    found = analyse(samples, Mount.BODY)
    assert [b.count for b in found.sets] == [5]
    assert not found.holds


def test_live_tells_the_hold_while_it_goes_on() -> None:
    events = streamed(hang(12.0))
    (began,) = [e for e in events if isinstance(e, HoldBegan)]
    (ended,) = [e for e in events if isinstance(e, HoldEnded)]
    assert began.emitted_s - began.at_s < 4.0
    assert ended.hold is not None
    assert ended.emitted_s - ended.at_s < 4.0
    closed = [e for e in events if isinstance(e, BoutClosed) and e.bout.holds]
    refined = [e for e in events if isinstance(e, BoutRefined) and e.bout.holds]
    assert [e.bout.number for e in closed] == [refined[0].supersedes[0]]
    assert analyse(hang(12.0), Mount.BODY, live=True).holds[0].where is Where.BOTTOM


def test_a_hang_that_a_set_follows_is_told_live_and_kept_as_no_hold() -> None:
    events = streamed(after(rest(), held((*DOWN, (0.0, 8.0), *REP * 5)), rest()))
    assert any(isinstance(e, HoldBegan) for e in events)
    assert not any(e.bout.holds for e in events if isinstance(e, BoutClosed | BoutRefined))


def test_cutting_the_stream_changes_no_hold() -> None:
    samples = hang(9.0)
    assert streamed(samples, 7) == streamed(samples, 333)


@pytest.mark.skipif(not SIM.is_dir(), reason="needs the simulated sessions in ../shared/data/sim")
@pytest.mark.parametrize("name", ["064_body_negative", "060_body_negative", "070_fixed_bar_negative"])
def test_simulated_hangs_are_found_and_none_is_invented(name: str) -> None:
    truth = json.loads((SIM / f"{name}.truth.json").read_text())
    with gzip.open(SIM / f"{name}.csv.gz", "rt") as file:
        rows = np.array(list(csv.reader(file))[1:], dtype=float)
    samples = Samples(rows[:, 0], rows[:, 1:4] * STANDARD_GRAVITY_M_S2)
    holds = analyse(samples, Mount(truth["mount"].replace("_", "-"))).holds
    assert len(holds) == len(truth["hang_only"])
    for hold, (start_s, end_s) in zip(holds, truth["hang_only"], strict=True):
        overlap_s = min(hold.end_s, end_s) - max(hold.start_s, start_s)
        assert overlap_s > 0.5 * (end_s - start_s)


def test_a_state_saved_in_mid_hang_goes_on_with_the_same_hold() -> None:
    samples = hang(12.0)
    whole = streamed(samples)
    began = next(event for event in whole if isinstance(event, HoldBegan))
    ended = next(event for event in whole if isinstance(event, HoldEnded) and event.hold)
    pipeline, events = Pipeline(Mount.BODY), []
    saved = 0
    for part in cut(samples, range(10, len(samples), 10)):
        if began.emitted_s < part.t_s[-1] < ended.at_s:
            pipeline, saved = Pipeline.restore(pipeline.save()), saved + 1
        events += pipeline.push(part)
    assert events + pipeline.finish() == whole
    assert saved > 20
