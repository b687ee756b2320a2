"""The table of a shared bar, and a question beside it: what each did last, and nobody's line gives way to words."""

from __future__ import annotations

from dataclasses import replace

import pytest
from golden import check_golden, screen_text
from screen_feed import snapshot
from test_screens_turns import QUESTIONS, ROWS, SHOWN, SIZES, VIEW, shared

from analysis.motion.events import Phase
from tui.questions.interview import AskView
from tui.screens.live import LiveScreen
from tui.session.messages import Stage
from tui.widgets.canvas import plain
from tui.widgets.live_view import LiveView
from tui.widgets.turns import draw_turns

NEWCOMER = ("Nothing on the ladder yet: it begins with low-bar pull-up, feet on the floor, 3 × 5 with 20 s rest.",)
ASKED = AskView(question=QUESTIONS["set-up"], told=("bar: not said", "heels: not said"), follows=NEWCOMER)


@pytest.mark.parametrize("width", [80, 120, 200])
def test_each_line_ends_with_what_was_done_last_and_whether_that_was_met(width: int) -> None:
    mara, jonas, ines, *_ = plain(draw_turns(VIEW, width))
    assert mara.rstrip().endswith("set 1: 10 of 10 · tempo missed")
    assert jonas.rstrip().endswith("set 1: 6 of 6 · met")
    assert mara.index("set 1:") == jonas.index("set 1:")
    assert ines.rstrip().endswith("ready")


@pytest.mark.parametrize("width", range(24, 90))
def test_of_a_verdict_there_is_all_or_nothing(width: int) -> None:
    rows = plain(draw_turns(VIEW, width))
    assert all(len(row) <= width for row in rows)
    mara = next(row for row in rows if "Mara" in row)
    assert "set 1" not in mara or mara.rstrip().endswith("10 of 10 · tempo missed")


@pytest.mark.parametrize("people", [3, 6])
@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_with_a_question_below_everybody_still_has_a_line(size: tuple[int, int], people: int) -> None:
    rows = (ROWS[:3] * 2)[:people]
    named = tuple(replace(row, name=f"Person {number}") for number, row in enumerate(rows, 1))
    shown = replace(SHOWN["rest"], turns=replace(VIEW, next="Person 1", rows=named))
    async with shared(shown, size) as (app, pilot, _):
        app.screen.query_one(LiveView).ask = ASKED
        await pilot.pause()
        text = screen_text(app)
        assert all(f"{row.name} " in text for row in named)
        assert ASKED.question is not None
        assert ASKED.question.text in text
        if people == 3:
            check_golden(f"turns-asked-{size[0]}x{size[1]}", text)


@pytest.mark.parametrize("stage", [Stage.READY, Stage.REST])
async def test_who_hangs_has_the_screen_and_anothers_question_waits_below(stage: Stage) -> None:
    """Its title in block letters stood over the one who hung."""
    hanging = snapshot(stage, phase=Phase.HANG, phase_s=2.0, turns=VIEW)
    async with shared(hanging) as (app, pilot, _):
        app.screen.query_one(LiveView).ask = ASKED
        await pilot.pause()
        assert not app.screen.query_one("AskPanel").display
        assert app.screen.query_one("PlanPanel" if stage is Stage.READY else "WorkPanel").display
        assert ASKED.question is not None
        assert ASKED.question.text in screen_text(app)


PARTED = "reps 4 to 5 were Jonas Reiter's"
DOUBT = f"Mara Lindt, set 1: two people? p: {PARTED}. 10 s from rep 3 to 4."


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_a_set_of_two_people_is_parted_by_the_key_that_is_named(size: tuple[int, int]) -> None:
    shown = replace(SHOWN["rest"], turns=replace(VIEW, parted=PARTED, doubts=(DOUBT,)))
    async with shared(shown, size) as (app, pilot, wishes):
        assert isinstance(app.screen, LiveScreen)
        assert dict(app.screen.keys())["p"] == "two people's"
        assert f"two people? p: {PARTED}." in screen_text(app)
        check_golden(f"turns-two-people-{size[0]}x{size[1]}", screen_text(app))
        await pilot.press("p")
        assert wishes.asked == ["part"]
