"""A recording played: the same arrivals in the same order, each when its time has come."""

import asyncio
from contextlib import aclosing
from uuid import UUID

import numpy as np
import pytest
from devices import SENSOR, Device, run, times
from stepclock import StepClock, settle

from sensor.assembly import Assembler
from sensor.playback import Playback
from sensor.recording import Recording
from sensor.source import Arrival, Channel


def recorded(tmp_path, arrivals):
    path = tmp_path / "a.rung"
    with Recording.create(path, session_id=UUID(int=1), clock=StepClock(), meta={}) as recording:
        for arrival in arrivals:
            recording.append(arrival)
    return Recording.open(path)


@pytest.fixture
def arrivals():
    device = Device()
    sent = [device.sends(k, at_s=5.0 + (k + 10) / 100) for k in range(0, 1000, 10)]
    return [device.says(5.0), *sent, Arrival(SENSOR, 15.5, Channel.LINK, b"ended")]


@pytest.fixture
def recording(tmp_path, arrivals):
    with recorded(tmp_path, arrivals) as read:
        yield read


class Player:
    """Plays into a list, each arrival with the clock's time at which it came."""

    def __init__(self, playback, clock):
        self.got = []
        self._playback, self._clock = playback, clock
        self.task = asyncio.get_running_loop().create_task(self._play())

    async def _play(self):
        async for arrival in self._playback:
            self.got.append((self._clock.now_s(), arrival))

    @property
    def arrivals(self):
        return [arrival for _, arrival in self.got]


async def test_all_arrivals_come_as_recorded(recording, arrivals):
    clock = StepClock(auto=True)
    assert [arrival async for arrival in Playback(recording, clock)] == arrivals
    assert clock.now == pytest.approx(10.5)
    assert recording.span_s == (5.0, 15.5)


async def test_each_comes_when_its_time_has_come(recording, arrivals):
    clock = StepClock()
    clock.now = 77.0
    player = Player(Playback(recording, clock), clock)
    await clock.advance(2.05)
    assert player.arrivals == [a for a in arrivals if a.at_s <= 7.05]
    await clock.advance(20.0)
    assert player.task.done()
    np.testing.assert_allclose([at for at, _ in player.got], [77.0 + a.at_s - 5.0 for a in arrivals], atol=1e-9)


async def test_beginning_later_gives_the_information_first(recording, arrivals):
    clock = StepClock()
    player = Player(Playback(recording, clock, from_s=4.0), clock)
    await settle()
    assert player.arrivals == [arrivals[0], *(a for a in arrivals if a.at_s == 9.0)]
    await clock.advance(20.0)
    assert player.arrivals == [arrivals[0], *(a for a in arrivals if a.at_s >= 9.0)]


async def test_a_replay_computes_what_the_session_computed(recording, arrivals):
    live = run(Assembler(SENSOR), arrivals)
    again = run(Assembler(SENSOR), [a async for a in Playback(recording, StepClock(auto=True))])
    assert times(again).tobytes() == times(live).tobytes()
    assert [b.force_m_s2.tobytes() for b in again] == [b.force_m_s2.tobytes() for b in live]


async def test_what_is_left_half_way_leaves_nothing_behind(recording):
    clock = StepClock()
    async with aclosing(aiter(Playback(recording, clock))) as playing:
        await anext(playing)
    await settle()
    assert len(asyncio.all_tasks()) == 1


async def test_a_cancelled_player_leaves_nothing_behind(recording):
    clock = StepClock()
    player = Player(Playback(recording, clock), clock)
    await clock.advance(1.0)
    player.task.cancel()
    await settle()
    assert len(asyncio.all_tasks()) == 1


async def test_an_empty_recording_ends_at_once(tmp_path):
    with recorded(tmp_path, []) as empty:
        assert [a async for a in Playback(empty, StepClock())] == []


async def test_in_order_gives_the_assembler_what_came_late(tmp_path):
    device = Device()
    late = [
        device.says(),
        device.sends(0),
        *(device.sends(k) for k in range(30, 200, 10)),
        *(device.sends(k) for k in (10, 20)),
    ]
    with recorded(tmp_path, late) as read:
        items = run(Assembler(SENSOR), read.in_order())
    whole = run(Assembler(SENSOR), [device.says(), *(device.sends(k) for k in range(0, 200, 10))])
    assert times(items).tobytes() == times(whole).tobytes()
