"""Sets over sets, by keys alone."""

from __future__ import annotations

from golden import screen_text
from retrace_feed import opened, seen_set, view
from test_screens_retrace import Logbook, replay, settled

from tui.retrace.desk import Desk
from tui.retrace.recorded import Opened
from tui.screens.compare import CompareScreen
from tui.screens.pick import PickScreen
from tui.screens.retrace import RetraceScreen


async def test_the_newest_session_of_the_same_exercise_is_marked_first() -> None:
    async with replay(desk=Logbook().desk()) as (app, pilot, _):
        await pilot.press("o")
        await settled(app, pilot)
        assert isinstance(app.screen, PickScreen)
        assert "▸ Thu 26 February 2026 · low-bar pull-up, heels down" in screen_text(app)


async def test_which_set_lies_behind_which_is_chosen_by_keys() -> None:
    async with replay(desk=Logbook().desk()) as (app, pilot, _):
        await pilot.press("o")
        await settled(app, pilot)
        await pilot.press("enter")
        await settled(app, pilot)
        assert isinstance(app.screen, CompareScreen)
        shown = screen_text(app)
        assert "Sets to lay behind: 1: 4 reps · 2: 3 reps" in shown
        assert "set 1: 4 reps, over set 1: 4 reps" in shown
        assert "set 2: 5 reps, over set 2: 3 reps" in shown
        steps = (
            ("right", "over set 2: 3 reps"),
            ("right", "over none"),
            ("right", "over set 1"),
            ("left", "over none"),
        )
        for key, words in steps:
            await pilot.press(key)
            await pilot.pause()
            assert f"set 1: 4 reps, {words}" in screen_text(app)
            assert "set 2: 5 reps, over set 2: 3 reps" in screen_text(app)
        await pilot.press("down", "left")
        await pilot.pause()
        assert "set 2: 5 reps, over set 1: 4 reps" in screen_text(app)


async def test_the_first_session_is_laid_over_itself() -> None:
    async with replay(desk=Desk(lambda: (), Logbook().keep)) as (app, pilot, _):
        await pilot.press("o")
        await settled(app, pilot)
        assert isinstance(app.screen, CompareScreen)
        shown = screen_text(app)
        assert "Mara Lindt · Mon 2 March 2026, over itself" in shown
        assert "set 1: 4 reps, over none" in shown
        assert "set 2: 5 reps, over set 1: 4 reps" in shown
        await pilot.press("q")
        assert isinstance(app.screen, RetraceScreen)


async def test_a_session_is_laid_over_itself_by_choice_too() -> None:
    async with replay(desk=Logbook().desk()) as (app, pilot, _):
        await pilot.press("o")
        await settled(app, pilot)
        await pilot.press("home", "enter")
        await settled(app, pilot)
        assert isinstance(app.screen, CompareScreen)
        assert "over itself" in screen_text(app)


async def test_nothing_measured_says_so_and_moves_nothing() -> None:
    empty = Opened(view(sets=(), notes=(), faults=()), opened().load)
    async with replay(what=empty, desk=Desk(lambda: (), Logbook().keep)) as (app, pilot, _):
        await pilot.press("o")
        await settled(app, pilot)
        assert "There is no set that was measured." in screen_text(app)
        await pilot.press("right", "left", "down", "q")
        assert isinstance(app.screen, RetraceScreen)


def test_a_set_of_one_rep_is_one_rep() -> None:
    screen = CompareScreen(view(sets=(seen_set("1", 5.0, 1),)), "itself")
    assert "set 1: 1 rep, over none" in "".join(text for row in screen._item(0, 80) for text, _ in row)
