"""The rooms: the list of them, the ways in, the palette; by keys alone."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from golden import check_golden, read, screen_text, shown
from screen_feed import SHOWN, hold, log_room, snapshot
from textual.screen import Screen

from analysis.logbook.book import Logbook
from analysis.logbook.people import name_key
from tui.app import RungwiseApp
from tui.home import Home
from tui.occasion import Occasion
from tui.rooms import Library, Room, rooms_of
from tui.screens.go import GoScreen
from tui.screens.log import LogScreen
from tui.screens.visit import VisitScreen
from tui.session.messages import Stage
from tui.start import first_steps

SIZES = ((80, 24), (120, 40), (200, 60))


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_golden(size: tuple[int, int], tmp_path: Path) -> None:
    app = RungwiseApp(Occasion(rooms=[log_room()], guide=tuple(first_steps(Home(tmp_path), ""))))
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        check_golden(f"start-{size[0]}x{size[1]}", screen_text(app))


async def test_the_list_says_whose_rooms_they_are() -> None:
    names = ["Mara Lindt"]
    room = replace(log_room(), whose=lambda: names[0])
    app = RungwiseApp(Occasion(rooms=[room], first="l"))
    async with app.run_test() as pilot:
        await shown(app, pilot, LogScreen)
        for name in ("Mara Lindt", "Lea Amrein"):
            names[0] = name
            await pilot.press("g")
            assert f"Go to the rooms of {name}" in screen_text(app)
            await pilot.press("escape")


async def test_a_room_opens_by_its_key_and_by_walking_there_and_q_leads_back() -> None:
    app = RungwiseApp(Occasion(rooms=[log_room()]))
    async with app.run_test() as pilot:
        for keys in (("l",), ("enter",)):
            await pilot.press(*keys)
            await shown(app, pilot, LogScreen)
            await pilot.press("q")
            assert isinstance(app.screen, GoScreen)
        await pilot.press("q")
    assert app._exit


async def test_the_list_gives_way_to_the_room_that_was_chosen_from_within_another() -> None:
    app = RungwiseApp(Occasion(rooms=[log_room()], first="l"))
    async with app.run_test() as pilot:
        await shown(app, pilot, LogScreen)
        first = app.screen
        await pilot.press("g", "l")
        await shown(app, pilot, LogScreen)
        assert app.screen is not first
        await pilot.press("q")
        assert app.screen is first


@pytest.mark.parametrize(("patience_s", "said"), [(3600.0, False), (0.01, True)])
async def test_what_takes_long_is_said_and_can_be_given_up(
    monkeypatch: pytest.MonkeyPatch, patience_s: float, said: bool
) -> None:
    monkeypatch.setattr("tui.screens.visit.PATIENCE_S", patience_s)
    go = threading.Event()

    def slow() -> Callable[[], Screen[None]]:
        go.wait(60)
        return lambda: LogScreen(())

    app = RungwiseApp(Occasion(rooms=[Room("s", "slow room", "", slow)]))
    async with app.run_test() as pilot:
        await pilot.press("s")
        for _ in range(200 if said else 3):
            await pilot.pause(0.05)
            if "Reading" in screen_text(app):
                break
        assert isinstance(app.screen, VisitScreen)
        assert ("Reading: slow room" in screen_text(app)) is said
        await pilot.press("escape")
        assert isinstance(app.screen, GoScreen)
        go.set()
        await read(app, pilot)
        assert isinstance(app.screen, GoScreen)


async def test_the_palette_knows_the_rooms() -> None:
    app = RungwiseApp(Occasion(rooms=[log_room()]))
    async with app.run_test() as pilot:
        titles = [command.title for command in app.get_system_commands(app.screen)]
        assert titles == ["log", "keys", "bright or dark", "leave"]
        await pilot.press("ctrl+p", *"log", "enter")
        await pilot.pause(0.3)
        await shown(app, pilot, LogScreen)


@pytest.fixture
def library(tmp_path: Path) -> Iterator[Library]:
    home = Home(tmp_path)
    with Logbook.open(home.logbook) as logbook:
        yield Library(home=home, logbook=logbook, who=lambda: "", today=lambda: date(2026, 3, 2))


async def test_every_room_of_a_fresh_home_says_what_to_do_and_leads_back(library: Library) -> None:
    rooms = rooms_of(library)
    assert len({room.key for room in rooms}) == len(rooms)
    app = RungwiseApp(Occasion(rooms=rooms))
    async with app.run_test() as pilot:
        for room in rooms:
            await pilot.press(room.key)
            await read(app, pilot)
            assert not isinstance(app.screen, GoScreen), room.name
            assert "rungwise " in screen_text(app), f"{room.name} does not say what to do:\n{screen_text(app)}"
            await pilot.press("q")
            assert isinstance(app.screen, GoScreen), room.name


async def test_help_names_the_way_to_the_rooms_everywhere() -> None:
    app = RungwiseApp(Occasion(rooms=[log_room()], first="l"))
    async with app.run_test() as pilot:
        await shown(app, pilot, LogScreen)
        await pilot.press("question_mark")
        await pilot.pause()
        assert "g  go to another room" in screen_text(app)
        assert "ctrl+p  everything by its name" in screen_text(app)


async def test_help_that_is_longer_than_the_screen_is_moved_by_keys() -> None:
    app = RungwiseApp(Occasion(rooms=[log_room()], first="l"))
    async with app.run_test(size=(80, 14)) as pilot:
        await shown(app, pilot, LogScreen)
        await pilot.press("question_mark")
        await pilot.pause()
        assert "no answer" not in screen_text(app)
        await pilot.press("pagedown", "pagedown", "down")
        await pilot.pause()
        assert "no answer" in screen_text(app)
        await pilot.press("pageup", "pageup", "up")
        await pilot.pause()
        assert "no answer" not in screen_text(app)


def test_the_first_steps_name_what_is_missing(tmp_path: Path) -> None:
    home = Home(tmp_path)
    steps = " ".join(first_steps(home, ""))
    for command in ("rungwise demo", "rungwise scan", "rungwise plan new", "rungwise train"):
        assert command in steps
    home.plans.mkdir(parents=True)
    home.plan(name_key("Mara Lindt")).write_text("")
    later = " ".join(first_steps(home, "Mara Lindt"))
    assert "plan new" not in later
    assert 'rungwise train "Mara Lindt"' in later


async def test_a_session_that_a_room_hides_is_drawn_as_the_room_goes_and_not_before() -> None:
    app = RungwiseApp(Occasion(lambda feed: hold(feed, SHOWN["rest"]), rooms=[log_room()]))
    async with app.run_test() as pilot:
        app.frame()
        await pilot.press("question_mark")
        app.post_snapshot(snapshot(Stage.REST, rest_left_s=8.0))
        app.frame()
        assert app._session is not None
        assert app._session.snapshot is SHOWN["rest"]
        app.pop_screen()  # no frame later: what comes up is never what was left there
        assert app._session.snapshot != SHOWN["rest"]
