"""The first picture: while the rest of the program is loaded."""

from __future__ import annotations

import threading

import pytest
from golden import check_golden, screen_text, shown
from screen_feed import log_room

from tui.app import RungwiseApp
from tui.occasion import Occasion
from tui.screens.go import GoScreen
from tui.screens.opening import OpeningScreen
from tui.trouble import Trouble

SIZES = ((80, 24), (120, 40), (200, 60))


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_it_stands_until_all_is_ready(size: tuple[int, int]) -> None:
    ready = threading.Event()

    def prepare() -> Occasion:
        ready.wait(60)
        return Occasion(rooms=[log_room()])

    app = RungwiseApp(prepare)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        assert isinstance(app.screen, OpeningScreen)
        check_golden(f"opening-{size[0]}x{size[1]}", screen_text(app))
        ready.set()
        await shown(app, pilot, GoScreen)
        await pilot.press("q")
    assert app._exit
    assert app.failure is None


async def test_it_can_be_left_before_all_is_ready() -> None:
    ready = threading.Event()

    def prepare() -> Occasion:
        ready.wait(60)
        return Occasion()

    app = RungwiseApp(prepare)
    async with app.run_test() as pilot:
        await pilot.press("q")
        assert app._exit
        ready.set()
    assert app.failure is None


async def test_what_goes_wrong_while_it_stands_is_told_once_the_screen_is_left() -> None:
    def prepare() -> Occasion:
        raise Trouble("no session today")

    app = RungwiseApp(prepare)
    async with app.run_test() as pilot:
        await pilot.pause(0.3)
    assert isinstance(app.failure, Trouble)
