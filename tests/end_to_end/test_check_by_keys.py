"""A coach's way by keys: from the log into the check, a correction, the replay of that rep, and back."""

from __future__ import annotations

from datetime import date

import pytest
from correcting import rungwise
from textual.pilot import Pilot
from virtual_session import Gym

from analysis.training.corrections import Because, By
from tests.tui.golden import screen_text, shown
from tui.app import RungwiseApp
from tui.occasion import Occasion
from tui.rooms import Library, rooms_of
from tui.screens.check import CheckScreen
from tui.screens.log import LogScreen
from tui.screens.log_sets import LogSetsScreen
from tui.screens.retrace import RetraceScreen
from tui.screens.say import SayScreen
from tui.session.plans import DEMO_TRAINEE


def dashboard(gym: Gym, first: str) -> RungwiseApp:
    library = Library(home=gym.home, logbook=gym.logbook, who=lambda: DEMO_TRAINEE, today=lambda: date(2026, 3, 2))
    return RungwiseApp(Occasion(rooms=rooms_of(library), first=first))


async def press(app: RungwiseApp, pilot: Pilot[None], *keys: str) -> None:
    for key in keys:
        await pilot.press(key)
        await pilot.pause()


async def done(app: RungwiseApp, pilot: Pilot[None], screen: type) -> None:
    """Wait until what was wished is done and said."""
    await app.workers.wait_for_complete()
    await pilot.pause()
    assert isinstance(app.screen, screen), app.screen


async def test_from_the_log_a_rep_is_taken_out_seen_again_and_given_back(mine: Gym) -> None:
    (record,) = mine.records()
    app = dashboard(mine, "l")
    async with app.run_test(size=(120, 40)) as pilot:
        await shown(app, pilot, LogScreen)
        await press(app, pilot, "c")
        await shown(app, pilot, CheckScreen)
        await press(app, pilot, "right", "right", "f", "down", "c", "c", *"Ada", "enter", "d", "n")
        await done(app, pilot, SayScreen)
        assert "set 3: 4 (measured 5), missed  4 of 5 reps." in screen_text(app)
        (made,) = mine.logbook.corrections(record.session_id)
        rep = record.sets[2].reps[4]
        assert (made.start_s, made.end_s) == (rep.start_s, rep.end_s)
        assert (made.who, made.role, made.reason) == ("Ada", By.COACH, Because.NOT_A_REP)
        await press(app, pilot, "enter", "q")
        await done(app, pilot, LogScreen)
        assert "5, 5, 4" in screen_text(app)  # read again, not as it was
        await press(app, pilot, "enter", "c")
        await shown(app, pilot, CheckScreen)
        await press(app, pilot, "u")
        await done(app, pilot, SayScreen)
        await press(app, pilot, "q", "q")
        await done(app, pilot, LogSetsScreen)
        assert "set 3: 5 of 5" in screen_text(app)
    assert [one.verdict.count for one in mine.records()[0].sets] == [5, 5, 5]


@pytest.mark.parametrize(("keys", "number"), [((), 1), (("down", "down"), 3)])
async def test_enter_plays_the_marked_rep(mine: Gym, keys: tuple[str, ...], number: int) -> None:
    app = dashboard(mine, "c")
    async with app.run_test(size=(120, 40)) as pilot:
        await shown(app, pilot, CheckScreen)
        await press(app, pilot, "right", *keys, "enter")
        await shown(app, pilot, RetraceScreen)
        assert f"set 2 · rep {number}" in screen_text(app)
        await press(app, pilot, "q")
        assert isinstance(app.screen, CheckScreen)


async def test_a_set_is_given_to_somebody_else_by_keys(mine: Gym) -> None:
    typed = rungwise(mine, "done", "Jonas Reiter", "--date", "2026-02-20", "--sets", "15,15,15", "--rest", "90")
    assert typed.exit_code == 0, typed.output
    app = dashboard(mine, "c")
    async with app.run_test(size=(80, 24)) as pilot:
        await shown(app, pilot, CheckScreen)
        names = [one.name for one in mine.logbook.trainees()]
        await press(app, pilot, "right", "c", "t", "p", *["down"] * names.index("Jonas Reiter"), "enter")
        await done(app, pilot, SayScreen)
        assert "set o1: Jonas Reiter, 5" in screen_text(app)
        await press(app, pilot, "enter")
        assert "set o1: Jonas Reiter, 5" in screen_text(app)
    (record,) = [one for one in mine.records() if one.trainee == mine.logbook.trainee(DEMO_TRAINEE).id]  # type: ignore[union-attr]
    assert [one.verdict.count for one in record.sets] == [5, 5]
