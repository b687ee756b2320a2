"""An invented sensor of another maker does a session: counted and timed as with packets of our own, and kept."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import numpy as np
import pytest
from click.testing import CliRunner
from invented_sensor import ADDRESS, DATA, SERVICE, START, Invented
from virtual_session import Gym, arrivals

from analysis.motion.events import BoutRefined, Event
from analysis.motion.mounts import Mount
from analysis.motion.pipeline import Pipeline
from analysis.motion.results import Bout
from analysis.training.exercises import PULL_UP
from analysis.training.prescription import Prescription, Tempo
from analysis.training.scale import TrueTime, in_true_time
from analysis.training.sets import group_bouts, judged
from sensor.own.loading import parse
from sensor.radio import RadioSettings, RadioSource
from sensor.radio_sort import sort_of
from sensor.recording import Recording
from sensor.source import Arrival, Channel
from sensor.virtual.motion import TraineeFeed
from sensor.virtual.script import Beat, regular_script
from sensor.virtual.trainee import perform
from tests.sensor.fakeradio import Connection, FakeRadio
from tests.sensor.stepclock import StepClock
from tui.cli import main
from tui.session.done import true_time
from tui.session.track import Track

SCRIPT = regular_script(trainee="Jonas Reiter", sets=1, reps=5, beat=Beat(1, 1, 2, 0), rest_s=5)
SEED = 3
DONE = perform(SCRIPT, SEED)
TELLS, COUNTED = (True, True, 0.99), (False, False, 0.97)
"""Sequence, time, and how the oscillator errs."""
ASKED = Prescription(exercise=PULL_UP, sets=1, reps=5, tempo=Tempo(up_s=1, top_s=1, down_s=2, bottom_s=0), rest_s=5)


def read(stream: Iterator[Arrival]) -> tuple[Bout, Track]:
    """The one set, refined, and the track that it came from."""
    track = Track(Pipeline(Mount.BODY))
    events: list[Event] = [event for arrival in stream for event in track.push(arrival)] + track.finish()
    (bout,) = [event.bout for event in events if isinstance(event, BoutRefined) and event.bout.reps]
    return bout, track


def boundaries(bout: Bout, ratio: float = 1.0) -> np.ndarray:
    """Every boundary in true seconds, from the start of the first rep."""
    reps = [in_true_time(rep, TrueTime(ratio=ratio)) for rep in bout.reps]
    rows = [(rep.start_s, rep.top_s, rep.down_s, rep.end_s) for rep in reps]
    return np.array(rows, float) - reps[0].start_s


@cache
def read_own(sequence: bool, time: bool, clock_ratio: float) -> tuple[Bout, Track]:
    return read(Invented(DONE, sequence, time, clock_ratio).arrivals())


@pytest.fixture(scope="module")
def ours() -> np.ndarray:
    """What packets of our own give."""
    return boundaries(read(arrivals(TraineeFeed(SCRIPT, SEED)))[0])


@pytest.mark.parametrize(
    ("sequence", "time", "clock_ratio"), [TELLS, (True, False, 1.03), (False, True, 1.01), COUNTED]
)
def test_it_counts_and_times_as_our_own_packets_do(
    ours: np.ndarray, sequence: bool, time: bool, clock_ratio: float
) -> None:
    """Arrivals up to 0.1 s late, an oscillator up to 3 % off: what is left is a hundredth of a second."""
    bout, track = read_own(sequence, time, clock_ratio)
    assert bout.count == len(ours) == 5
    np.testing.assert_allclose(boundaries(bout, track.clock.ratio / clock_ratio), ours, rtol=0, atol=0.02)
    assert track.clock.ratio == pytest.approx(clock_ratio, abs=4e-6 * track.clock.sd_ppm)
    assert (track.clock.moment_sd_s > 0.05) == (not sequence and not time)
    assert track.link.loss == 0.0


async def over_the_air(sensor: Invented) -> list[Arrival]:
    """What a radio source gives of it; each notification comes when its last sample was taken."""
    clock, came = StepClock(), []
    characteristics = {DATA: ["notify"], START: ["write"]}
    air = FakeRadio([Connection()], [(ADDRESS, "FELLTAG", -60)], service=SERVICE, characteristics=characteristics)
    settings = RadioSettings(gather_s=0.0, sort=sort_of(parse(sensor.text)))
    async with RadioSource(clock, settings, air.backends()) as source:
        await clock.advance(0.1)
        assert air.clients[0].written == [b"\x01\x64"]
        for taken_s, payload in sensor.notifications():
            clock.now = 0.1 + taken_s
            air.clients[0].send(payload, uuid=DATA)
        last = clock.now
        async for arrival in source:
            came.append(arrival)
            if arrival.at_s == last:
                break
    return came


async def test_a_session_over_the_radio_is_recorded_raw_and_replays_by_itself(gym: Gym) -> None:
    sensor = Invented(DONE, sequence=False, time=False)
    came = await over_the_air(sensor)
    session = gym.opening().open_session("", gym.book)
    session.begin()
    for arrival in came:
        gym.give(session, arrival)
    session.end()
    (record,) = gym.records()
    assert [len(one.reps) for one in record.sets] == [5]
    assert "; it tells no time, so each moment ± 0.06 s" in gym.book.text
    (path,) = gym.recordings()
    with Recording.open(path) as recording:
        kept = list(recording.arrivals())
        ordered = [one.payload for one in recording.in_order()]
    raw = [payload for _, payload in sensor.notifications()]
    assert [one.payload for one in kept if one.channel is Channel.DATA] == raw
    assert ordered == [sensor.text.encode(), *raw]
    result = CliRunner().invoke(main, ["replay", str(path), "--recompute"])
    assert result.exit_code == 0, result.output
    assert "the same to the last digit" in result.output


def test_verdicts_are_less_sure_where_the_sensor_tells_less() -> None:
    """One sigma: at least that of two moments, each known within 0.2 s (T/√12), beside the motion's own."""
    sds = []
    for bout, track in (read_own(*TELLS), read_own(*COUNTED)):
        (group,) = group_bouts([bout], ASKED)
        verdict = judged(group, ASKED, true_time(track.clock)).verdict
        sds.append([phase.sd_s for rep in verdict.reps for phase in rep.phases])
    told, counted = np.array(sds, float)
    assert len(told) == 15  # up, top and down of five reps
    assert (counted**2 - told**2 >= 2 * 0.2**2 / 12 - 1e-3).all()
