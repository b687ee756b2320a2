"""A run of live sessions: however it ends, log and source are closed; the bar can be given on."""

from __future__ import annotations

import asyncio
from collections.abc import Callable

import pytest
from live_gym import Gym

from sensor.source import Channel, LinkState
from tui.session.messages import Stage
from tui.training.live import LiveRun


async def test_a_source_that_ends_closes_the_session_once() -> None:
    gym = Gym()
    running = await gym.connected()
    gym.source.waiting.put_nowait(None)
    await running
    assert [keeper.ends for keeper in gym.keepers] == [1]
    assert gym.source.closed
    assert gym.feed.shown[-1].stage is Stage.DONE
    assert gym.feed.shown[-1].next_text == ("next for Mara Lindt",)


@pytest.mark.parametrize("leave", [LiveRun.stop, LiveRun.end_session])
async def test_a_wish_to_leave_closes_source_and_session(leave: Callable[[LiveRun], None]) -> None:
    gym = Gym()
    running = await gym.connected()
    leave(gym.run)
    leave(gym.run)  # a second time changes nothing
    await running
    assert gym.source.closed
    assert gym.keepers[0].ends == 1


async def test_a_source_that_breaks_closes_the_session_and_tells_why() -> None:
    gym = Gym()
    running = await gym.connected()
    gym.source.waiting.put_nowait(OSError("the adapter was pulled out"))
    with pytest.raises(OSError, match="pulled out"):
        await running
    assert gym.keepers[0].ends == 1
    assert gym.source.closed


async def test_a_cancelled_run_cleans_up() -> None:
    gym = Gym()
    running = await gym.connected()
    running.cancel()
    with pytest.raises(asyncio.CancelledError):
        await running
    assert gym.source.closed
    assert gym.keepers[0].ends == 1


@pytest.mark.parametrize("what", ["arrived", "tick"])
async def test_a_recording_that_cannot_be_written_ends_the_run_and_tells_why(what: str) -> None:
    gym = Gym()
    running = await gym.connected()
    gym.keepers[0].fails[what] = OSError("the disk is full")
    gym.source.link(LinkState.LOST)
    with pytest.raises(OSError, match="disk is full"):
        await running
    assert gym.source.closed
    assert gym.keepers[0].ends == 1


async def test_another_trainee_gets_a_session_on_the_same_sensor_that_begins_now() -> None:
    gym = Gym()
    running = await gym.connected()
    gym.clock.at_s = 300.0
    gym.run.switch_trainee("Jonas Reiter")
    first, second = gym.keepers
    assert (first.ends, second.ends) == (1, 0)
    assert [(one.channel, one.at_s) for one in second.arrivals] == [(Channel.LINK, 300.0)]
    await gym.until(lambda: gym.feed.shown[-1].stage is Stage.READY)
    assert gym.feed.shown[-1].trainee == gym.run.trainee == "Jonas Reiter"
    gym.run.stop()
    await running
    assert (first.ends, second.ends) == (1, 1)


async def test_who_may_not_train_does_not_get_the_bar_and_the_session_in_progress_goes_on() -> None:
    gym = Gym()
    running = await gym.connected()
    gym.refused["Jonas Reiter"] = "No session: pain 6 of 10."
    gym.run.switch_trainee("Jonas Reiter")
    assert [(keeper.trainee, keeper.ends) for keeper in gym.keepers] == [("Mara Lindt", 0)]
    assert gym.run.trainee == "Mara Lindt"
    assert any("Jonas Reiter: No session: pain 6 of 10." in str(moment) for moment in gym.feed.moments)
    gym.run.stop()
    await running


async def test_the_same_trainee_again_changes_nothing() -> None:
    gym = Gym()
    running = await gym.connected()
    gym.run.switch_trainee("Mara Lindt")
    assert len(gym.keepers) == 1
    gym.run.stop()
    await running


async def test_once_the_run_is_over_the_bar_cannot_be_given_on() -> None:
    gym = Gym()
    gym.run.switch_trainee("Jonas Reiter")  # nor before it began
    running = await gym.connected()
    gym.run.stop()
    await running
    gym.run.switch_trainee("Jonas Reiter")
    assert [keeper.trainee for keeper in gym.keepers] == ["Mara Lindt"]


async def test_a_log_that_cannot_be_closed_for_the_next_trainee_ends_the_run_and_tells_why() -> None:
    gym = Gym()
    running = await gym.connected()
    gym.keepers[0].fails["ended"] = OSError("the log is locked")
    gym.run.switch_trainee("Jonas Reiter")
    with pytest.raises(OSError, match="log is locked"):
        await running
    assert gym.source.closed
    assert len(gym.keepers) == 1


async def test_a_session_is_begun_anew_as_long_as_nothing_was_done() -> None:
    gym = Gym()
    running = await gym.connected()
    gym.run.renew()
    assert len(gym.keepers) == 2
    assert gym.keepers[0].ends == 1
    assert [one.channel for one in gym.keepers[1].arrivals] == [Channel.LINK]  # what the sensor is, said again
    assert not [one for one in gym.feed.moments if one.kind == "closing"]
    gym.run.stop()
    await running
    gym.run.renew()  # once all is over nothing begins
    assert len(gym.keepers) == 2


async def test_what_comes_next_is_worked_out_again_once_the_session_is_closed() -> None:
    gym = Gym()
    running = await gym.connected()
    gym.run.renew_next()
    assert gym.feed.shown[-1].next_text == ()  # it is not closed yet
    gym.run.end_session()
    await running
    gym.run.renew_next()
    assert gym.feed.shown[-1].next_text == ("again for Mara Lindt",)


async def test_the_screen_goes_on_while_arrivals_come_faster_than_they_are_taken(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    gym = Gym()
    running = await gym.connected()

    def take_a_while() -> None:
        gym.clock.at_s += 0.04

    monkeypatch.setattr(type(gym.run.bar), "is_busy", property(lambda _: True))
    monkeypatch.setattr(gym.run.bar, "work_off", take_a_while)
    shown, began_s = len(gym.feed.shown), gym.clock.at_s
    await gym.until(lambda: len(gym.feed.shown) >= shown + 10)
    assert gym.clock.at_s - began_s < 2.0  # ten pictures
    monkeypatch.undo()
    gym.run.stop()
    await running
