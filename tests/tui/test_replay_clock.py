"""The clock of a replay: it waits for who goes by it, and what was late catches up."""

from __future__ import annotations

import asyncio
import time

import pytest

from tui.replay.replay_clock import ReplayClock


async def test_what_is_done_is_stamped_with_the_moment_it_was_to_be_done_at() -> None:
    """A second of the recording is a millisecond; each step takes ten times as long."""
    clock, stamps = ReplayClock(at_s=5.0, end_s=100.0, speed=1000.0), []
    clock.start()
    for _ in range(4):
        await clock.sleep(1.0)
        time.sleep(0.01)  # noqa: ASYNC251  (work, which is what a loop cannot go on with)
        stamps.append(clock.now_s())
    assert stamps == [6.0, 7.0, 8.0, 9.0]


async def test_two_who_go_by_it_wake_in_the_order_of_their_times() -> None:
    clock, woken = ReplayClock(at_s=0.0, end_s=100.0, speed=1e6), []

    async def step(each_s: float, times: int) -> None:
        for _ in range(times):
            await clock.sleep(each_s)
            woken.append(clock.now_s())

    clock.start()
    await asyncio.gather(step(0.25, 24), step(1.0, 6))
    assert woken == sorted(woken)
    assert sorted(woken) == sorted([0.25 * k for k in range(1, 25)] + [1.0 * k for k in range(1, 7)])


async def test_what_was_late_catches_up() -> None:
    """Sixty steps of 5 ms, 300 ms of work in the first of them: 300 ms in all and some, not 600."""
    clock, began_s = ReplayClock(at_s=0.0, end_s=100.0, speed=1.0), time.monotonic()
    clock.start()
    for number in range(60):
        await clock.sleep(0.005)
        if number == 0:
            time.sleep(0.3)  # noqa: ASYNC251  (work)
    taken_s = time.monotonic() - began_s
    assert clock.now_s() == pytest.approx(0.3)
    assert 0.3 <= taken_s < 0.5


async def test_paused_it_stands_and_then_goes_on_from_there() -> None:
    clock = ReplayClock(at_s=0.0, end_s=100.0, speed=4.0)  # half a second to sleep, however busy the machine
    clock.start()
    sleeping = asyncio.create_task(clock.sleep(2.0))
    await asyncio.sleep(0.005)
    clock.pause()
    here_s = clock.now_s()
    await asyncio.sleep(0.05)
    assert clock.now_s() == here_s
    assert not sleeping.done()
    clock.resume()
    await asyncio.wait_for(sleeping, 5.0)
    assert clock.now_s() == 2.0


async def test_it_stands_where_it_was_put_until_someone_sleeps() -> None:
    clock = ReplayClock(at_s=0.0, end_s=100.0, speed=1e6)
    clock.start()
    clock.jump(40.0)
    await asyncio.sleep(0.001)
    assert clock.now_s() == 40.0
    await clock.sleep(1e9)
    assert clock.now_s() == 100.0
