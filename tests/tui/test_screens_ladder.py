"""The ladder's room on a logbook of weeks, by keys alone."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from golden import check_golden, screen_text, shown

from analysis.logbook.book import Logbook
from analysis.logbook.people import name_key
from analysis.training.statements import Pain
from tests.analysis.training.builders import utc_us
from tests.tui.past_weeks import INES, JONAS, TODAY, past_weeks
from tui.app import RungwiseApp
from tui.home import Home
from tui.occasion import Occasion
from tui.rooms import Library, rooms_of
from tui.screens.go import GoScreen
from tui.screens.ladder import LadderScreen
from tui.screens.visit import VisitScreen

SIZES = ((80, 24), (120, 40), (200, 60))


@pytest.fixture
def library(tmp_path: Path) -> Iterator[Library]:
    home, book = past_weeks(tmp_path)
    yield Library(home=home, logbook=book, who=lambda: JONAS, today=lambda: TODAY)
    book.close()


def ladder_app(library: Library) -> RungwiseApp:
    return RungwiseApp(Occasion(rooms=rooms_of(library), first="d"))


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_golden(size: tuple[int, int], library: Library) -> None:
    app = ladder_app(library)
    async with app.run_test(size=size) as pilot:
        await shown(app, pilot, LadderScreen)
        check_golden(f"ladder-{size[0]}x{size[1]}", screen_text(app))


async def test_all_sections_are_reached_by_keys_at_the_smallest_size(library: Library) -> None:
    app = ladder_app(library)
    async with app.run_test(size=(80, 24)) as pilot:
        await shown(app, pilot, LadderScreen)
        seen = screen_text(app)
        for _ in range(4):
            await pilot.press("pagedown")
            await pilot.pause(0.4)
            seen += screen_text(app)
    for head in (
        "Next session",
        "Rest on feet-on-floor, week by week",
        "Two weeks",
        "Last sessions",
        "From week to week",
        "Why",
    ):
        assert f" {head}" in seen
    assert "rising" in seen
    assert "common practice, no source" in seen


async def test_t_shows_another_ladder_in_the_place_of_this_one(library: Library) -> None:
    app = RungwiseApp(Occasion(rooms=rooms_of(library)))
    async with app.run_test() as pilot:
        await pilot.press("d")
        await shown(app, pilot, LadderScreen)
        assert f"Ladder of {JONAS}" in screen_text(app)
        await pilot.press("t", "escape")
        assert f"Ladder of {JONAS}" in screen_text(app)
        await pilot.press("t", "enter")
        await shown(app, pilot, LadderScreen)
        assert f"Ladder of {INES}" in screen_text(app)
        assert "it begins with" in screen_text(app)
        await pilot.press("q")
        assert isinstance(app.screen, GoScreen)


async def test_where_pain_stops_it_the_calendar_is_empty_and_says_so(library: Library) -> None:
    person = library.logbook.trainee(JONAS)
    assert person is not None
    library.logbook.say(person.id, Pain(said_utc_us=utc_us(TODAY), day=TODAY, now=7, worst=7))
    app = ladder_app(library)
    async with app.run_test(size=(120, 40)) as pilot:
        await shown(app, pilot, LadderScreen)
        for words in ("no session", "pain 7 of 10", "no session to come", "rungwise tell"):
            assert words in screen_text(app)


async def test_an_empty_logbook_says_what_to_do(tmp_path: Path) -> None:
    home = Home(tmp_path)
    with Logbook.open(home.logbook) as book:
        app = ladder_app(Library(home=home, logbook=book, who=lambda: "", today=lambda: TODAY))
        async with app.run_test() as pilot:
            await shown(app, pilot, LadderScreen)
            assert "rungwise train" in screen_text(app)
            assert "rungwise done" in screen_text(app)
            assert screen_text(app).splitlines()[-1].startswith(" q back")
            await pilot.press("t")
            assert isinstance(app.screen, LadderScreen)


async def test_a_plan_that_cannot_be_read_says_so(library: Library) -> None:
    library.home.plans.mkdir()
    library.home.plan(name_key(JONAS)).write_text("goal = 1", encoding="utf-8")
    app = ladder_app(library)
    async with app.run_test() as pilot:
        await shown(app, pilot, VisitScreen)
        said = " ".join(screen_text(app).replace("│", " ").split())  # however long the path
        assert "line 1, goal" in said
