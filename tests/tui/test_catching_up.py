"""Who leaves a live session, or gives the bar on, while the sensor still sends what was missing."""

from __future__ import annotations

import asyncio

import pytest
from live_gym import Gym, packet, told_of_itself

from tui.training.live import CATCH_UP_S


@pytest.mark.parametrize("comes", [True, False])
async def test_leaving_waits_for_what_is_on_its_way_but_not_for_ever(comes: bool) -> None:
    gym = Gym()
    running = await gym.connected()
    for arrival in (told_of_itself(), packet(0), packet(20)):
        gym.source.waiting.put_nowait(arrival)
    await gym.until(lambda: gym.feed.shown[-1].link.missing_s > 0)
    gym.run.end_session()
    assert "still on its way" in gym.feed.moments[-1].text
    for _ in range(10):
        await asyncio.sleep(0)
    assert not running.done()
    if comes:
        gym.source.waiting.put_nowait(packet(10))
    else:
        gym.clock.at_s += CATCH_UP_S
    await running
    assert (packet(10) in gym.keepers[0].arrivals) is comes
    assert gym.keepers[0].ends == 1


@pytest.mark.parametrize("comes", [True, False])
async def test_the_bar_is_given_on_once_what_is_on_its_way_has_come_but_not_much_later(comes: bool) -> None:
    gym = Gym()
    running = await gym.connected()
    for arrival in (told_of_itself(), packet(0), packet(20)):
        gym.source.waiting.put_nowait(arrival)
    await gym.until(lambda: gym.feed.shown[-1].link.missing_s > 0)
    gym.run.switch_trainee("Jonas Reiter")
    assert "then Jonas Reiter is on the bar" in gym.feed.moments[-1].text
    for _ in range(10):
        await asyncio.sleep(0)
    assert gym.run.trainee == "Mara Lindt"
    if comes:
        gym.source.waiting.put_nowait(packet(10))
    else:
        gym.clock.at_s += CATCH_UP_S
    await gym.until(lambda: gym.run.trainee == "Jonas Reiter")
    assert (packet(10) in gym.keepers[0].arrivals) is comes
    assert [keeper.ends for keeper in gym.keepers] == [1, 0]
    gym.run.stop()
    await running


async def test_who_is_on_the_bar_stays_there_when_chosen_again_meanwhile() -> None:
    gym = Gym()
    running = await gym.connected()
    for arrival in (told_of_itself(), packet(0), packet(20)):
        gym.source.waiting.put_nowait(arrival)
    await gym.until(lambda: gym.feed.shown[-1].link.missing_s > 0)
    gym.run.switch_trainee("Jonas Reiter")
    gym.run.switch_trainee("Mara Lindt")
    gym.source.waiting.put_nowait(packet(10))
    await gym.until(lambda: gym.feed.shown[-1].link.missing_s == 0)
    for _ in range(10):
        await asyncio.sleep(0)
    assert len(gym.keepers) == 1
    gym.run.stop()
    await running
