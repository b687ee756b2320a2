"""What is mended on the spot from the live screen, by keys alone."""

from __future__ import annotations

from dataclasses import replace

import pytest
from golden import check_golden, screen_text
from screen_feed import snapshot
from screen_wishes import Wishes
from test_screens_live import SIZES, running, settled, showing

from analysis.motion.events import Phase
from tui.screens.live import LiveScreen
from tui.session.messages import Offer, Stage
from tui.views.turn_view import TurnsView
from tui.widgets.block_digits import BlockText
from tui.widgets.work_panel import WorkPanel


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize(("name", "key"), [("mount", "w"), ("told-set", "a"), ("name", "o")])
async def test_golden(name: str, key: str, size: tuple[int, int]) -> None:
    async with running(showing(snapshot(Stage.REST)), size) as (app, pilot):
        await pilot.press(key)
        await pilot.pause()
        check_golden(f"mend-{name}-{size[0]}x{size[1]}", screen_text(app))


async def test_a_mount_is_one_key_and_that_of_now_is_none_of_them() -> None:
    wishes = Wishes()
    async with running(showing(snapshot(Stage.REST)), wishes=wishes) as (app, pilot):
        await pilot.press("w", "1")
        await pilot.pause()
        assert not isinstance(app.screen, LiveScreen)  # on the belt it is taken to be
        await pilot.press("4")
    assert wishes.heard == ["on fixed-bar"]


@pytest.mark.parametrize(("typed", "heard"), [("", "told 10"), ("7", "told 7")])
async def test_reps_are_typed_or_those_asked_for(typed: str, heard: str) -> None:
    wishes = Wishes()
    async with running(showing(snapshot(Stage.REST)), wishes=wishes) as (_, pilot):
        await pilot.press("a", *typed, "enter")
    assert wishes.heard == [heard]


@pytest.mark.parametrize(("typed", "heard"), [("", "told 10"), ("125", "told 125")])
async def test_of_a_hold_the_seconds_are_typed_or_those_asked_for(typed: str, heard: str) -> None:
    wishes, shown = Wishes(), snapshot(Stage.REST)
    asked = replace(shown.prescription, reps=1, hold_s=10.0)
    async with running(showing(replace(shown, prescription=asked)), wishes=wishes) as (app, pilot):
        await pilot.press("a")
        await pilot.pause()
        assert "how many seconds? (enter: 10)" in screen_text(app)
        await pilot.press(*typed, "enter")
    assert wishes.heard == [heard]


async def test_who_leaves_the_question_changes_nothing() -> None:
    wishes = Wishes()
    async with running(showing(snapshot(Stage.REST)), wishes=wishes) as (app, pilot):
        await pilot.press("w", "escape", "a", "escape")
        await pilot.pause()
        assert isinstance(app.screen, LiveScreen)
    assert wishes.heard == []


async def test_what_is_not_offered_has_no_key() -> None:
    wishes = Wishes()
    shown = snapshot(Stage.REST, offers=frozenset({Offer.DROP}))
    async with running(showing(shown), wishes=wishes) as (app, pilot):
        await pilot.press("w", "a")
        await pilot.pause()
        assert isinstance(app.screen, LiveScreen)
        assert "add a set" not in screen_text(app)
    assert wishes.heard == []


async def test_whose_session_it_is_is_chosen_or_typed() -> None:
    wishes = Wishes()
    async with running(showing(snapshot(Stage.REST)), wishes=wishes) as (app, pilot):
        await pilot.press("o", "enter")
        await pilot.press("o", "down", "enter")
        await pilot.pause()
        assert "What is the name?" in screen_text(app)
        await pilot.press("enter", *"Ada Wirth", "enter")
    assert wishes.heard == ["all Jonas Brandt", "all Ada Wirth"]


async def test_a_shared_bar_has_no_wrong_name() -> None:
    wishes = Wishes()
    shown = snapshot(Stage.REST, turns=TurnsView(next="", rows=()))
    async with running(showing(shown), wishes=wishes) as (app, pilot):
        await pilot.press("o")
        await pilot.pause()
        assert isinstance(app.screen, LiveScreen)


async def test_the_rest_clock_stays_while_somebody_hangs_in_the_rest_and_no_set_has_begun() -> None:
    hanging = snapshot(Stage.REST, rest_left_s=52.0, phase=Phase.HANG, phase_s=3.0)
    async with running(showing(hanging)) as (app, _):
        assert app.screen.query_one("#word", BlockText).text == "REST"
        assert app.screen.query_one("#number", BlockText).text == "52"
        assert app.screen.query_one("#more", BlockText).text == "HANG"


@pytest.mark.parametrize(("left_s", "number", "more"), [(8.0, "3", "SET 2"), (52.0, "52", "HOLD 3")])
async def test_where_holds_are_asked_a_hang_late_in_the_rest_is_the_set(left_s: float, number: str, more: str) -> None:
    """Early in it, it may be somebody who stretches or stands still: the clock of the rest stays in its place."""
    asked = replace(snapshot(Stage.REST).prescription, reps=1, hold_s=10.0)
    holding = snapshot(
        Stage.REST, prescription=asked, phase=Phase.HANG, phase_s=3.0, phase_target_s=10.0, rest_left_s=left_s
    )
    async with running(showing(holding)) as (app, _):
        assert app.screen.query_one("#number", BlockText).text == number
        assert app.screen.query_one("#more", BlockText).text == more


@pytest.mark.parametrize("stage", Stage)
async def test_whatever_is_shown_the_heading_says_how_far_it_is_read_again(stage: Stage) -> None:
    async with running(showing(snapshot(stage, read_again=0.4))) as (app, _):
        assert "reading again, 40 % done" in screen_text(app)


async def test_what_is_read_again_says_how_far_it_is() -> None:
    async with running(showing(snapshot(Stage.REST, read_again=0.4))) as (app, pilot):
        assert "Reading 40%" in screen_text(app)
        app.post_snapshot(snapshot(Stage.SET, read_again=0.5))
        await settled(app, pilot)
        assert app.screen.query_one("#cue", BlockText).text == "READING 50%"


async def test_what_comes_next_in_a_superset_is_as_large_as_a_set() -> None:
    async with running(showing(snapshot(Stage.REST, partner_due="press-up"))) as (app, pilot):
        more = app.screen.query_one("#more", BlockText)
        assert more.text == "PRESS-UP"
        assert len(more.draw(more.size.width, more.size.height)) == 3  # rows of block letters, not a line of text
        app.post_snapshot(snapshot(Stage.REST))
        await settled(app, pilot)
        assert more.text == "SET 2"


@pytest.mark.parametrize(("hold_s", "asked", "start"), [(None, "3×10", "HANG"), (20.0, "4 S", "HOLD")])
async def test_whoever_stands_still_before_the_first_set_still_reads_what_is_asked(
    hold_s: float | None, asked: str, start: str
) -> None:
    """Quiet standing may be taken for a hang; where a hold is asked for, its seconds run from the first moment on."""
    wanted = replace(snapshot(Stage.READY).prescription, hold_s=hold_s)
    still = snapshot(Stage.READY, prescription=wanted, phase=Phase.HANG, phase_s=4.0)
    async with running(showing(still)) as (app, _):
        assert app.screen.query_one("#asked", BlockText).text == asked
        assert app.screen.query_one("#start", BlockText).text == start


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (200, 60)], ids=lambda size: f"{size[0]}x{size[1]}")
async def test_the_first_picture_of_a_set_leaves_its_words_the_room_of_every_other(size: tuple[int, int]) -> None:
    """A panel that was hidden has no size yet: the words were squeezed into eight cells until it had one."""
    async with running(showing(snapshot(Stage.READY)), size) as (app, pilot):
        work = app.screen.query_one(WorkPanel)
        assert work.size.width == 0
        work.show(snapshot(Stage.SET))
        first = work.aside.styles.width
        app.post_snapshot(snapshot(Stage.SET))
        await settled(app, pilot)
        assert work.size.width == size[0]
        assert first == work.aside.styles.width
