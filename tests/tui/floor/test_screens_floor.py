"""The coach's floor, worked by keys alone, with a clock that stands still."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from floor_desk import Desk, crowd, made
from floor_feed import HILL, gone, here, now, rest, shown
from textual.pilot import Pilot

from tests.tui.golden import check_golden, screen_text
from tests.tui.golden import shown as opened
from tui.app import RungwiseApp
from tui.floor.plans import Plan
from tui.floor.station import SILENT_S
from tui.floor.words import Word
from tui.occasion import Occasion
from tui.rooms import Room
from tui.screens.ask_key import AskKeyScreen
from tui.screens.ask_line import AskLineScreen
from tui.screens.floor import FloorScreen
from tui.screens.floor_station import StationScreen
from tui.screens.go import GoScreen
from tui.screens.say import SayScreen

SIZES = ((80, 24), (120, 40), (200, 60))


@asynccontextmanager
async def floor(desk: Desk, size: tuple[int, int] = (80, 24)) -> AsyncIterator[tuple[RungwiseApp, Pilot[None]]]:
    def enter() -> Callable[[], SayScreen]:
        name = desk.desk.trainee
        return lambda: SayScreen(f"Log of {name}", ())

    async def drive(feed: object) -> None:
        await desk.floor.run()

    rooms = [Room("l", "log", "what was done", enter, lambda: desk.desk.trainee)]
    app = RungwiseApp(Occasion(driver=drive, floor=desk.desk, rooms=rooms))
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        yield app, pilot


def heard_of_one(folder: Path, *told: tuple[str, bytes]) -> Desk:
    """Return a desk that hears rack-3 come, and then what it tells."""
    desk = made(folder)
    desk.post.link.came()
    desk.give(here("rack-3"), *told)
    return desk


async def looked(app: RungwiseApp, pilot: Pilot[None]) -> str:
    """Look once more, as the next frame does, and return what is on the screen."""
    assert isinstance(app.screen, FloorScreen | StationScreen)
    app.screen.look()
    await pilot.pause()
    return screen_text(app)


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_golden(size: tuple[int, int], tmp_path: Path) -> None:
    desk = made(tmp_path)
    crowd(desk)
    async with floor(desk, size) as (app, pilot):
        text = await looked(app, pilot)
        check_golden(f"floor-{size[0]}x{size[1]}", text)
        assert text.count("rack-") == (8 if size[0] == 80 else 24)


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_golden_of_one(size: tuple[int, int], tmp_path: Path) -> None:
    desk = heard_of_one(tmp_path, now("rack-3", hills=[HILL, {**HILL, "outcome": "missed", "down_s": 0.5}, HILL, HILL]))
    data = {
        "word": "0" * 8 + "-0000-0000-0000-" + "0" * 12,
        "what": "note",
        "trainee": "Mara Lindt",
        "text": "Slower down.",
    }
    desk.gym.words.say(Word(station="rack-3", data=data, sent_utc_us=desk.clock.utc_us()))
    desk.give(shown("rack-3", data["word"]))
    async with floor(desk, size) as (app, pilot):
        await pilot.press("enter")
        check_golden(f"floor-station-{size[0]}x{size[1]}", await looked(app, pilot))


async def test_those_first_that_need_a_look_and_a_word_says_why(tmp_path: Path) -> None:
    desk = made(tmp_path)
    crowd(desk)
    async with floor(desk, (120, 40)) as (app, pilot):
        text = await looked(app, pilot)
        assert "Floor: 5 of 24 need a look" in text
        names = [tile.name for tile in desk.desk.look().tiles]
        assert names[:5] == ["rack-5", "rack-7", "rack-9", "rack-20", "rack-11"]
        assert names[5:9] == ["rack-1", "rack-2", "rack-3", "rack-4"]
        for words in ("◆ pain 6", "◆ ended early", "◆ sensor lost", "◆ fast down", "◆ station gone"):
            assert words in text


async def test_the_chosen_tile_stays_chosen_where_others_move(tmp_path: Path) -> None:
    desk = made(tmp_path)
    crowd(desk, 4)
    async with floor(desk) as (app, pilot):
        await looked(app, pilot)
        await pilot.press("end")
        assert "▸ rack-4" in await looked(app, pilot)
        desk.clock.at_s += 2
        desk.give(*(now(f"rack-{number}") for number in range(1, 4)), now("rack-4", pain=7))
        text = await looked(app, pilot)
        assert desk.desk.look().tiles[0].name == "rack-4"
        assert "▸ rack-4" in text
        await pilot.press("enter")
        assert "rack-4" in (await looked(app, pilot)).splitlines()[0]


async def test_the_way_to_the_tiles_that_have_no_room(tmp_path: Path) -> None:
    desk = made(tmp_path)
    crowd(desk)
    async with floor(desk) as (app, pilot):
        text = await looked(app, pilot)
        assert "1–8 of 24 shown" in text
        assert "rack-15" not in text
        await pilot.press("pagedown", "pagedown")
        assert "11–18 of 24 shown, home: ◆ rack-5 pain 6" in await looked(app, pilot)
        await pilot.press("end")
        text = await looked(app, pilot)
        assert "17–24 of 24 shown" in text
        await pilot.press("home", "right", "down", "left", "up")
        assert "▸ rack-5" in await looked(app, pilot)


async def test_the_rest_clock_runs_on_here(tmp_path: Path) -> None:
    desk = heard_of_one(tmp_path, rest("rack-3", 45.0))
    async with floor(desk) as (app, pilot):
        assert "rest 0:45" in await looked(app, pilot)
        desk.clock.at_s += 7
        assert "rest 0:38" in await looked(app, pilot)
        desk.clock.at_s += SILENT_S
        assert "◆ no word for 0:19" in await looked(app, pilot)


async def test_a_note_is_sent_and_said_to_be_shown(tmp_path: Path) -> None:
    desk = heard_of_one(tmp_path, now("rack-3"))
    async with floor(desk) as (app, pilot):
        await looked(app, pilot)
        await pilot.press("n")
        assert isinstance(app.screen, AskLineScreen)
        assert "Note to Mara Lindt at rack-3" in screen_text(app)
        await pilot.press(*"Slower down", "enter")
        await pilot.pause(0.3)
        assert "note sent" in await looked(app, pilot)
        (word,) = desk.gym.words.said.values()
        assert (word.data["text"], word.data["trainee"]) == ("Slower down", "Mara Lindt")
        desk.give(shown("rack-3", word.id))
        assert "note shown 12:00" in await looked(app, pilot)
        await pilot.press("enter")
        assert "12:00 “Slower down”: shown 12:00" in await looked(app, pilot)


async def test_a_note_to_a_station_that_went_waits(tmp_path: Path) -> None:
    desk = heard_of_one(tmp_path, now("rack-3"), gone("rack-3"))
    async with floor(desk) as (app, pilot):
        await looked(app, pilot)
        await pilot.press("n", *"Well", "enter")
        await pilot.pause(0.3)
        assert "note waits" in await looked(app, pilot)
        desk.give(here("rack-3"))
        await pilot.pause(0.3)
        assert "note sent" in await looked(app, pilot)


async def test_a_target_is_asked_for_step_by_step(tmp_path: Path) -> None:
    desk = heard_of_one(tmp_path, now("rack-3"))
    async with floor(desk) as (app, pilot):
        await looked(app, pilot)
        await pilot.press("r", *"many", "enter")
        assert "Give a whole number from 1 to 100." in screen_text(app)
        await pilot.press(*["backspace"] * 4, "6", "enter")
        await pilot.press(*"inf", "enter")
        assert "Give seconds from 0 to 3600." in screen_text(app)
        await pilot.press(*["backspace"] * 3, "enter")
        await pilot.press(*"31", "enter")
        assert "Give four figures" in screen_text(app)
        await pilot.press(*"11", "enter")
        (word,) = desk.gym.words.said.values()
        said = {key: word.data[key] for key in ("what", "reps", "rest_s", "tempo")}
        assert said == {"what": "target", "reps": 6, "rest_s": None, "tempo": "3-1-1-1"}
        await pilot.pause(0.3)
        assert "target sent" in await looked(app, pilot)
        await pilot.press("r", "enter", "enter", "enter")
        assert "Nothing was changed" in await looked(app, pilot)
        await pilot.press("r", "escape", "n", "escape")
        assert len(desk.gym.words.said) == 1


async def test_a_plan_is_sent_or_it_is_said_why_not(tmp_path: Path) -> None:
    desk = heard_of_one(tmp_path, now("rack-3"))
    async with floor(desk) as (app, pilot):
        await looked(app, pilot)
        await pilot.press("p")
        await pilot.pause(0.2)
        assert "No plan of Mara Lindt is written here." in await looked(app, pilot)
        desk.plans.to_send = lambda name, station: Plan(name, "# a plan", "")
        await pilot.press("p")
        await pilot.pause(0.2)
        assert "Plan of Mara Lindt sent to rack-3." in await looked(app, pilot)
        (word,) = desk.gym.words.said.values()
        assert (word.what, word.data["text"], word.data["base"]) == ("plan", "# a plan", "")


async def test_where_both_changed_a_plan_the_coach_says_which_one_counts(tmp_path: Path) -> None:
    desk = heard_of_one(tmp_path, now("rack-3"))
    desk.plans.to_send = lambda name, station: Plan(name, "# mine", "0" * 64, "mara_lindt.toml.from-station")
    async with floor(desk) as (app, pilot):
        await looked(app, pilot)
        await pilot.press("p")
        await opened(app, pilot, AskKeyScreen)
        await pilot.pause(0.2)
        boxed = [line.split("│")[1].strip() for line in screen_text(app).splitlines() if line.count("│") == 2]
        text = " ".join(boxed)
        assert "The plan of Mara Lindt was changed at rack-3 and here. Which one counts?" in text
        assert "mara_lindt.toml.from-station" in text
        await pilot.press("escape")
        assert not desk.gym.words.said
        for key, said in (("s", "is the one of rack-3"), ("y", "Plan of Mara Lindt sent to rack-3.")):
            await pilot.press("p")
            await opened(app, pilot, AskKeyScreen)
            assert not desk.gym.words.said
            await pilot.press(key)
            await pilot.pause(0.2)
            assert said in await looked(app, pilot)
        assert desk.plans.taken == ["rack-3"]
        (word,) = desk.gym.words.said.values()
        assert (word.data["text"], word.data["base"]) == ("# mine", "0" * 64)


async def test_rooms_are_of_whoever_trains_at_the_chosen_station(tmp_path: Path) -> None:
    desk = made(tmp_path)
    crowd(desk, 4)
    async with floor(desk) as (app, pilot):
        await looked(app, pilot)
        await pilot.press("down", "g")
        assert isinstance(app.screen, GoScreen)
        assert "Go to the rooms of Tim Oberson" in screen_text(app)
        await pilot.press("l")
        await opened(app, pilot, SayScreen)
        assert "Log of Tim Oberson" in screen_text(app)
        await pilot.press("q", "question_mark", "pagedown", "pagedown")
        assert "Those stand first" in screen_text(app)
        await pilot.press("q", "q")
    assert app._exit


async def test_nobody_here_and_no_broker_are_told(tmp_path: Path) -> None:
    desk = made(tmp_path)
    async with floor(desk) as (app, pilot):
        assert "Connecting to mqtt://localhost" in await looked(app, pilot)
        desk.post.link.came()
        text = await looked(app, pilot)
        assert "No station is here yet." in text
        assert "--share mqtt://localhost --station rack-1" in " ".join(text.split())
        await pilot.press("enter", "n", "r", "p", "down")
        desk.clock.at_s += 120
        desk.give(here("rack-3"), now("rack-3"))
        desk.post.link.went("The broker at localhost:1883 does not answer.")
        text = await looked(app, pilot)
        assert "No broker since 12:02: The broker at localhost:1883 does not answer." in text
        assert "▸ rack-3 Mara Lindt" in text
        desk.clock.at_s += 60
        text = await looked(app, pilot)
        assert "since 12:02" in text
        assert "no word for" not in text  # the silence is not the station's
        desk.post.link.came()
        assert "No broker" not in await looked(app, pilot)


async def test_a_station_that_cannot_be_read_is_named_and_steers_nothing(tmp_path: Path) -> None:
    evil = "\x1b]0;x\x07\x1b[2J[bold red]Mara\u202e\n"
    desk = heard_of_one(tmp_path, now("rack-3", trainee=evil, rung="[link=file:///]x[/]"))
    async with floor(desk) as (app, pilot):
        text = await looked(app, pilot)
        assert "�]0;x��[2J[bold red]Mara" in text
        assert not set(text) & {"\x1b", "\x07", "\u202e"}
        desk.give((now("rack-3")[0], now("rack-3")[1].replace(b"now.1", b"now.9")))
        assert "rack-3 sends what this Rungwise cannot read (it is of version 9" in await looked(app, pilot)
        await pilot.press("enter")
        assert not set(await looked(app, pilot)) & {"\x1b", "\x07", "\u202e"}
