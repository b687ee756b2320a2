"""The log and the replay, worked by keys alone."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import replace

import pytest
from golden import check_golden, read, screen_text, shown
from screen_feed import Knobs, hold, log_room, log_rows, snapshot
from textual.pilot import Pilot

from tui.app import RungwiseApp
from tui.occasion import Occasion
from tui.screens.log import LogScreen
from tui.screens.log_sets import LogSetsScreen
from tui.screens.replay import SPEEDS, next_speed
from tui.session.messages import Stage
from tui.views.rows import LogRow

SIZES = ((80, 24), (120, 40))


@asynccontextmanager
async def log(
    rows: tuple[LogRow, ...], size: tuple[int, int] = (80, 24)
) -> AsyncIterator[tuple[RungwiseApp, Pilot[None]]]:
    app = RungwiseApp(Occasion(rooms=[log_room(lambda: rows)], first="l"))
    async with app.run_test(size=size) as pilot:
        await shown(app, pilot, LogScreen)
        yield app, pilot


@asynccontextmanager
async def replay(knobs: Knobs, size: tuple[int, int] = (80, 24)) -> AsyncIterator[tuple[RungwiseApp, Pilot[None]]]:
    app = RungwiseApp(Occasion(lambda feed: hold(feed, snapshot(Stage.SET)), replay=knobs))
    async with app.run_test(size=size) as pilot:
        app.frame()
        await pilot.pause()
        yield app, pilot


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_golden(size: tuple[int, int]) -> None:
    async with log(log_rows(), size) as (app, pilot):
        check_golden(f"log-{size[0]}x{size[1]}", screen_text(app))
        await pilot.press("enter")
        await pilot.pause()
        check_golden(f"log-sets-{size[0]}x{size[1]}", screen_text(app))
    async with replay(Knobs(), size) as (app, pilot):
        check_golden(f"replay-{size[0]}x{size[1]}", screen_text(app))


async def test_an_empty_log_says_what_to_do() -> None:
    async with log(()) as (app, pilot):
        assert "rungwise train" in screen_text(app)
        await pilot.press("enter", "q")
        assert app._exit


async def test_a_log_that_cannot_be_read_says_why() -> None:
    def broken() -> tuple[LogRow, ...]:
        raise OSError("the log is locked by another program")

    app = RungwiseApp(Occasion(rooms=[log_room(broken)], first="l"))
    async with app.run_test() as pilot:
        await read(app, pilot)
        assert "locked by another program" in screen_text(app)
        await pilot.press("q")
    assert app._exit


async def test_the_log_is_walked_by_keys_and_the_mark_stays_in_sight() -> None:
    rows = log_rows() * 20
    async with log(rows) as (app, pilot):
        for key in ("down", "pagedown", "end", "up", "pageup", "home", "j", "k"):
            await pilot.press(key)
            await pilot.pause()
            assert screen_text(app).count("▸") == 1


async def test_enter_opens_the_marked_session() -> None:
    async with log(log_rows()) as (app, pilot):
        await pilot.press("down", "down", "down", "enter")
        await pilot.pause()
        assert isinstance(app.screen, LogSetsScreen)
        shown = screen_text(app)
        assert "19 Feb 2026" in shown
        assert "entered by hand" in shown
        assert "no recording of this set" in shown
        await pilot.press("escape")
        assert "Log of Mara Lindt" in screen_text(app)


async def test_a_log_of_several_people_names_each_session() -> None:
    mara = log_rows()[0]
    jonas = replace(log_rows()[1], trainee="Jonas Brandt", rung="")
    async with log((mara, jonas)) as (app, _):
        lines = screen_text(app).split("\n")
        assert "Log of Jonas Brandt, Mara Lindt" in lines[0]
        assert "Mara Lindt   10, 10, 8" in lines[2]
        assert "Jonas Brandt   10, 10, 8" in lines[6]
        assert lines[7].strip().startswith("low-bar pull-up, heels down · 3 × 10")


async def test_space_holds_the_replay_and_goes_on() -> None:
    knobs = Knobs()
    async with replay(knobs) as (app, pilot):
        await pilot.press("space")
        await pilot.pause()
        assert not knobs.state.playing
        assert "paused at 1×" in screen_text(app)
        await pilot.press("space")
        assert knobs.state.playing


async def test_seeking_by_keys() -> None:
    cases: list[tuple[tuple[str, ...], float]] = [
        (("right",), 175.0),
        (("left",), 165.0),
        (("home",), 0.0),
        (("home", "left"), 0.0),
        (("n",), 292.0),
        (("n", "n"), 420.0),
        (("n", "n", "right"), 420.0),
        (("p",), 155.0),
        (("p", "p"), 20.0),
        (("p", "p", "p"), 0.0),
    ]
    knobs = Knobs()
    async with replay(knobs) as (_, pilot):
        for keys, position_s in cases:
            knobs.seek(170.0)
            await pilot.press(*keys)
            assert knobs.state.position_s == position_s, keys


async def test_speed_by_keys_stops_at_both_ends() -> None:
    knobs = Knobs()
    async with replay(knobs) as (app, pilot):
        await pilot.press("up", "plus")
        assert knobs.state.speed == 4.0
        await pilot.press(*["minus"] * 10)
        assert knobs.state.speed == SPEEDS[0]
        await pilot.press(*["up"] * 10)
        await pilot.pause()
        assert knobs.state.speed == SPEEDS[-1]
        assert "at 16×" in screen_text(app)


def test_a_speed_off_the_list_joins_it_at_the_nearest() -> None:
    assert next_speed(3.1, 1) == 8.0
    assert next_speed(1.0, -1) == 0.5


async def test_q_leaves_the_replay_at_once() -> None:
    async with replay(Knobs()) as (app, pilot):
        await pilot.press("q")
        await pilot.pause()
        assert app._exit


async def test_an_empty_log_says_what_to_do_and_keeps_its_keys_in_view() -> None:
    app = RungwiseApp(Occasion(rooms=[log_room(lambda: ())], first="l"))
    async with app.run_test(size=(80, 24)) as pilot:
        await shown(app, pilot, LogScreen)
        assert "rungwise demo" in screen_text(app)
        assert screen_text(app).splitlines()[-1].startswith(" q back")
