"""A coach's words on the live screen: large, beside the rest clock, and told to have been drawn only once they are."""

from __future__ import annotations

import re
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import replace

import pytest
from golden import check_golden, screen_text
from screen_feed import SHOWN, hold, log_room
from screen_wishes import Wishes
from textual.pilot import Pilot

from tui.app import RungwiseApp
from tui.occasion import Occasion
from tui.screens.log import LogScreen
from tui.session.messages import CoachView, Snapshot
from tui.widgets.coach_strip import large_lines

SIZES = ((80, 24), (120, 40), (200, 60))
SAID = CoachView(
    large="8 REPS - REST 120",
    lines=("Coach: from the next set on 8 reps, rest 120 s. Same tempo.",),
    words=("w-1",),
)
LONG = CoachView(lines=("Coach: " + "shoulder blades down before each pull, and breathe out on the way up. " * 3,))


@asynccontextmanager
async def running(shown: Snapshot, size: tuple[int, int]) -> AsyncIterator[tuple[RungwiseApp, Pilot[None], list[str]]]:
    drawn: list[str] = []
    occasion = Occasion(
        lambda feed: hold(feed, shown), control=Wishes(), rooms=[log_room()], drawn=lambda words: drawn.extend(words)
    )
    app = RungwiseApp(occasion)
    async with app.run_test(size=size) as pilot:
        app.frame()
        await pilot.pause()
        yield app, pilot, drawn


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("name", ["rest", "ready"])
async def test_golden(name: str, size: tuple[int, int]) -> None:
    async with running(replace(SHOWN[name], coach=SAID), size) as (app, _, drawn):
        check_golden(f"coach-{name}-{size[0]}x{size[1]}", screen_text(app))
        assert drawn == ["w-1"]


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_the_rest_clock_stays_beside_words_of_any_length(size: tuple[int, int]) -> None:
    async with running(SHOWN["rest"], size) as (app, _, _):
        plain = screen_text(app).split("\n")
    for view in (SAID, LONG):
        async with running(replace(SHOWN["rest"], coach=view), size) as (app, _, _):
            lines = screen_text(app).split("\n")
            assert lines[:10] == plain[:10]
            said = " ".join(" ".join(lines).split())
            assert view.lines[0][:60] in re.sub(r"[^ -~]", "", said)


async def test_what_must_hold_before_anybody_hangs_stays_on_a_small_screen() -> None:
    async with running(replace(SHOWN["ready"], coach=SAID), (80, 24)) as (app, _, _):
        said = screen_text(app)
    assert SAID.lines[0] in said
    assert "Pain stops the set." in said


async def test_what_another_room_hides_was_not_shown() -> None:
    async with running(SHOWN["rest"], (80, 24)) as (app, pilot, drawn):
        await pilot.press("g", "enter")
        await pilot.pause()
        assert isinstance(app.screen, LogScreen)
        app.post_snapshot(replace(SHOWN["rest"], coach=SAID))
        app.frame()
        await pilot.pause()
        assert drawn == []
        while app.screen is not app._session:
            app.pop_screen()
            await pilot.pause()
        assert drawn == ["w-1"]


async def test_a_way_to_the_coach_that_is_lost_is_one_quiet_word() -> None:
    async with running(replace(SHOWN["rest"], link_to_coach="coach: not connected"), (80, 24)) as (app, _, _):
        with_it = screen_text(app)
    async with running(SHOWN["rest"], (80, 24)) as (app, _, _):
        without = screen_text(app)
    changed = [
        (one, other) for one, other in zip(with_it.split("\n"), without.split("\n"), strict=True) if one != other
    ]
    assert [one.strip() for one, _ in changed] == ["coach: not connected"]


@pytest.mark.parametrize(
    ("text", "width", "count"),
    [
        ("8 REPS", 78, 1),
        ("8 REPS - REST 120", 78, 1),
        ("SHOULDERS DOWN FIRST TODAY", 78, 2),
        ("WORD " * 12, 78, 0),
        ("", 78, 0),
    ],
)
def test_what_is_short_is_large(text: str, width: int, count: int) -> None:
    assert len(large_lines(text.strip(), width)) == count
