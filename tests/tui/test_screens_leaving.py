"""Ways out: q, Ctrl-C, a session that ends, a session that fails."""

from __future__ import annotations

import asyncio

import pytest
from screen_feed import hold, snapshot
from screen_wishes import Wishes
from textual.pilot import Pilot

from tui.app import RungwiseApp
from tui.occasion import Occasion
from tui.session.control import Feed
from tui.session.messages import Stage


async def gone(app: RungwiseApp, pilot: Pilot[None]) -> bool:
    """Wait until the application has left, for as long as that takes."""
    while app.is_running and not app._exit:
        await pilot.pause(0.01)
    return True


@pytest.mark.parametrize("key", ["q", "ctrl+c", "ctrl+q"])
async def test_stopping_asks_the_session_and_waits_for_it(key: str) -> None:
    closed: list[str] = []
    stopped = asyncio.Event()
    wishes = Wishes()
    wishes.on_stop = stopped.set

    async def session(feed: Feed) -> None:
        feed.post_snapshot(snapshot(Stage.SET))
        await stopped.wait()
        closed.append("log complete")

    app = RungwiseApp(Occasion(session, control=wishes))
    async with app.run_test() as pilot:
        await pilot.pause()
        await pilot.press(key)
        assert await gone(app, pilot)
    assert wishes.heard == ["stop"]
    assert closed == ["log complete"]
    assert app.failure is None
    assert app.return_code == 0


async def test_q_again_cancels_a_session_that_hangs_and_lets_it_clean_up() -> None:
    cleaned: list[str] = []

    async def session(feed: Feed) -> None:
        try:
            await hold(feed, snapshot(Stage.SET))
        finally:
            cleaned.append("recording closed")

    app = RungwiseApp(Occasion(session, control=Wishes()))
    async with app.run_test() as pilot:
        await pilot.pause()
        await pilot.press("q", "q")
        assert await gone(app, pilot)
    assert cleaned == ["recording closed"]
    assert app.failure is None


async def test_a_session_that_fails_leaves_the_screen_and_keeps_the_reason() -> None:
    async def session(feed: Feed) -> None:
        feed.post_snapshot(snapshot(Stage.SET))
        raise OSError("the recording cannot be written: the disk is full")

    app = RungwiseApp(Occasion(session, control=Wishes()))
    async with app.run_test() as pilot:
        assert await gone(app, pilot)
    assert isinstance(app.failure, OSError)
    assert "disk is full" in str(app.failure)
    assert app.return_code == 1


async def test_a_session_that_ends_stays_on_the_screen_until_q() -> None:
    async def session(feed: Feed) -> None:
        feed.post_snapshot(snapshot(Stage.DONE))

    app = RungwiseApp(Occasion(session, control=Wishes()))
    async with app.run_test() as pilot:
        await pilot.pause()
        assert not app._exit
        await pilot.press("q")
        assert await gone(app, pilot)
    assert app.return_code == 0


async def test_without_a_control_q_cancels() -> None:
    app = RungwiseApp(Occasion(lambda feed: hold(feed, snapshot(Stage.SET))))
    async with app.run_test() as pilot:
        await pilot.pause()
        await pilot.press("q")
        assert await gone(app, pilot)
    assert app.return_code == 0
