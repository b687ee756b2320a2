"""The room of the people, worked by keys alone."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import replace

import pytest
from golden import check_golden, screen_text, shown
from textual.pilot import Pilot

from tui.app import RungwiseApp
from tui.occasion import Occasion
from tui.rooms import Looking, Room
from tui.screens.go import GoScreen
from tui.screens.group import GroupScreen
from tui.screens.say import SayScreen
from tui.views.group_view import GroupView, PersonRow
from tui.widgets.canvas import plain, size
from tui.widgets.group_table import draw_heads, draw_person

SIZES = ((80, 24), (120, 40), (200, 60))
GROUP = GroupView(
    group="",
    rows=(
        PersonRow(
            name="Tim Oberson",
            place="feet-on-floor 1/7",
            last="02 Mar met",
            due="–",
            looks=("stop: pain 8 on Mon 2 March 2026 (left elbow)", "no session: see a clinician"),
        ),
        PersonRow(
            name="Lea Amrein",
            place="heels-raised 3/7",
            last="02 Mar missed",
            due="Fri 06 Mar",
            looks=("stalled: two weeks not met, now slow negatives",),
        ),
        PersonRow(name="Jonas Reiter", place="feet-on-floor 2/7", last="02 Mar met", due="today"),
        PersonRow(name="Mara Lindt", place="feet-on-floor 1/7", last="never", due="today", looks=("new",)),
    ),
)


@asynccontextmanager
async def group(
    view: GroupView = GROUP, size: tuple[int, int] = (80, 24), later: GroupView = GROUP
) -> AsyncIterator[tuple[RungwiseApp, Pilot[None], Looking]]:
    looking = Looking()

    def enter() -> Callable[[], GroupScreen]:
        return lambda: GroupScreen(view, looking, lambda: later)

    def log() -> Callable[[], SayScreen]:
        name = looking.name
        return lambda: SayScreen(f"Log of {name}", ())

    mine = Room("l", "log", "what was done", log, lambda: looking.name)
    rooms = [mine, Room("p", "people", "who needs a look, and why", enter)]
    app = RungwiseApp(Occasion(rooms=rooms, first="p"))
    async with app.run_test(size=size) as pilot:
        await shown(app, pilot, GroupScreen)
        yield app, pilot, looking


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_golden(size: tuple[int, int]) -> None:
    async with group(size=size) as (app, _, _):
        check_golden(f"group-{size[0]}x{size[1]}", screen_text(app))


async def test_all_that_is_to_look_at_of_the_marked_person_is_said() -> None:
    async with group() as (app, pilot, _):
        for key, words in (("end", "Mara Lindt"), ("up", "nothing to look at"), ("home", "see a clinician")):
            await pilot.press(key)
            await pilot.pause()
            assert words in "\n".join(screen_text(app).splitlines()[-4:])


async def test_enter_opens_the_rooms_of_that_person() -> None:
    async with group() as (app, pilot, looking):
        await pilot.press("down", "enter")
        assert isinstance(app.screen, GoScreen)
        assert "Go to the rooms of Lea Amrein" in screen_text(app)
        await pilot.press("l")
        await shown(app, pilot, SayScreen)
        assert "Log of Lea Amrein" in screen_text(app)
        await pilot.press("q")
        assert isinstance(app.screen, GroupScreen)
        assert looking.name == "Lea Amrein"


async def test_who_comes_back_sees_everybody_as_they_are_then_and_the_same_one_marked() -> None:
    calm = replace(GROUP.rows[1], last="06 Mar met", looks=())
    later = replace(GROUP, rows=(GROUP.rows[0], *GROUP.rows[2:], calm))
    async with group(later=later) as (app, pilot, _):
        await pilot.press("down", "enter", "l")
        await shown(app, pilot, SayScreen)
        await pilot.press("q")
        await app.workers.wait_for_complete()
        await pilot.pause()
        text = screen_text(app)
        assert "Everybody: 2 of 4 need a look" in text
        assert "▸ Lea Amrein    heels-raised 3/7   06 Mar met" in text


async def test_nobody_and_a_plan_that_cannot_be_read_are_told() -> None:
    async with group(GroupView(group="valley", wrong=("plans/Jonas_Reiter.toml:3: no such key",))) as (app, pilot, _):
        assert "rungwise done" in screen_text(app)
        assert "Jonas_Reiter.toml:3" in screen_text(app)
        assert screen_text(app).splitlines()[-1].strip() == "q back   ? help"
        await pilot.press("enter", "q")
    assert app._exit


@pytest.mark.parametrize("width", [20, 80, 200])
def test_the_columns_stand_below_their_heads(width: int) -> None:
    heads = plain((draw_heads(GROUP, width),))[0]
    for row in GROUP.rows:
        lines = draw_person(row, GROUP, width - 2)
        assert {size(line) for line in lines} == {width - 2}
        if width > 60:
            first = f"  {plain(lines)[0]}"
            assert first.index(row.last) == heads.index("last")
            assert first.index(row.due, heads.index("last") + len(row.last)) == heads.index("next")
