"""The live screen, worked by keys alone."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager

import pytest
from golden import check_golden, read, screen_text, shown
from screen_feed import SHOWN, STAGES, hold, log_room, snapshot, walk
from screen_wishes import Wishes
from textual.pilot import Pilot

from analysis.motion.events import Phase
from sensor.source import LinkState
from tui.app import RungwiseApp
from tui.occasion import Occasion
from tui.screens.live import LiveScreen
from tui.screens.log import LogScreen
from tui.screens.pick import PickScreen
from tui.screens.session import SessionScreen
from tui.session.control import Driver, Feed
from tui.session.messages import Link, Moment, Snapshot, Stage
from tui.views.rows import LogRow
from tui.widgets.block_digits import BlockText
from tui.widgets.live_view import LiveView

SIZES = ((80, 24), (120, 40), (200, 60))
NAMES = ("Mara Lindt", "Jonas Brandt")


@asynccontextmanager
async def running(
    driver: Driver, size: tuple[int, int] = (80, 24), wishes: Wishes | None = None, trainees: Sequence[str] = NAMES
) -> AsyncIterator[tuple[RungwiseApp, Pilot[None]]]:
    app = RungwiseApp(Occasion(driver, control=wishes or Wishes(), trainees=trainees, rooms=[log_room()]))
    async with app.run_test(size=size) as pilot:
        await settled(app, pilot)
        yield app, pilot


def showing(shown: Snapshot) -> Driver:
    return lambda feed: hold(feed, shown)


async def settled(app: RungwiseApp, pilot: Pilot[None]) -> None:
    """Let the next frame come."""
    app.frame()
    await pilot.pause()


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("name", SHOWN)
async def test_golden(name: str, size: tuple[int, int]) -> None:
    async with running(showing(SHOWN[name]), size) as (app, _):
        check_golden(f"live-{name}-{size[0]}x{size[1]}", screen_text(app))


def rows_of_the_number(app: RungwiseApp) -> int:
    region = app.screen.query_one("#number", BlockText).region
    lines = screen_text(app).split("\n")[region.y : region.bottom]
    return len([line for line in lines if line[region.x : region.right].strip()])


@pytest.mark.parametrize("count", [7, 10])
async def test_the_count_is_a_third_of_the_screen_high(count: int) -> None:
    async with running(showing(snapshot(Stage.SET, count=count))) as (app, pilot):
        for size in ((80, 24), (120, 40), (100, 30), (80, 40), (132, 43), (200, 60)):
            await pilot.resize_terminal(*size)
            await settled(app, pilot)
            assert rows_of_the_number(app) >= size[1] / 3


async def test_the_seconds_of_a_rest_are_as_large_as_the_count() -> None:
    async with running(showing(snapshot(Stage.REST))) as (app, pilot):
        for seconds in (8.0, 52.0, 180.0, -12.0):
            app.post_snapshot(snapshot(Stage.REST, rest_left_s=seconds))
            await settled(app, pilot)
            assert rows_of_the_number(app) >= 8


@pytest.mark.parametrize("shown", STAGES, ids=[one.stage for one in STAGES])
async def test_a_small_terminal_still_shows_something(shown: Snapshot) -> None:
    async with running(showing(shown)) as (app, pilot):
        for size in ((60, 18), (40, 12), (24, 8), (10, 3)):
            await pilot.resize_terminal(*size)
            await settled(app, pilot)
            lines = screen_text(app).split("\n")
            assert "Mara" in lines[0]
            assert all(len(line) <= size[0] for line in lines)


async def test_a_size_can_change_while_a_set_runs() -> None:
    async with running(showing(snapshot(Stage.SET)), (80, 24)) as (app, pilot):
        await pilot.resize_terminal(120, 40)
        await settled(app, pilot)
        check_golden("live-set-120x40", screen_text(app))


async def test_a_provisional_rep_looks_different_from_a_counted_one() -> None:
    seen = []
    for provisional, count in ((True, 7), (False, 8)):
        shown = snapshot(Stage.SET, count=count, provisional=provisional)
        async with running(showing(shown)) as (app, _):
            number = app.screen.query_one("#number", BlockText)
            assert number.text == "8"
            seen.append(screen_text(app))
    assert seen[0] != seen[1]


async def test_a_missing_sensor_is_readable_from_the_bar() -> None:
    async with running(showing(snapshot(Stage.SET, link=Link(state=LinkState.LOST)))) as (app, _):
        assert app.screen.query_one("#cue", BlockText).text == "SENSOR LOST"
        assert "sensor lost" in screen_text(app)


async def test_a_burst_is_drawn_once_and_the_newest_wins() -> None:
    drawn: list[Snapshot] = []

    async def burst(feed: Feed) -> None:
        for tenth in range(500):
            feed.post_snapshot(snapshot(Stage.SET, phase=Phase.TOP, phase_s=tenth / 10, phase_target_s=1.0))
        await asyncio.Event().wait()

    async with running(burst) as (app, pilot):
        view = app.screen.query_one(LiveView)
        app.watch(view, "snapshot", lambda shown: drawn.append(shown), init=True)
        await settled(app, pilot)
        assert [one.phase_s for one in drawn] == [49.9]


class Frames:
    """A feed that draws every snapshot, so that none is skipped."""

    def __init__(self, app: RungwiseApp, screen: SessionScreen) -> None:
        self._app, self._screen = app, screen
        self.drawn: list[Stage] = []

    def post_snapshot(self, shown: Snapshot) -> None:
        self._app.post_snapshot(shown)
        self._app.frame()
        assert self._screen.live.snapshot == shown
        self.drawn.append(shown.stage)

    def post_moment(self, moment: Moment) -> None:
        self._app.post_moment(moment)


async def test_a_whole_session_walks_through_all_stages() -> None:
    async with running(showing(snapshot(Stage.SEARCHING))) as (app, pilot):
        assert isinstance(app.screen, LiveScreen)
        frames = Frames(app, app.screen)
        await walk(frames)
        await pilot.pause()
        assert list(dict.fromkeys(frames.drawn)) == list(Stage)
        assert app.screen.note == "rep 10"
        assert "To work on" in screen_text(app)
    assert app.failure is None


async def test_a_moment_is_shown_until_the_next() -> None:
    async def told(feed: Feed) -> None:
        feed.post_snapshot(snapshot(Stage.SET))
        feed.post_moment(Moment(at_s=1.0, kind="link", text="packets were lost"))
        feed.post_moment(Moment(at_s=2.0, kind="note", text="the clip moved"))
        await asyncio.Event().wait()

    async with running(told) as (app, _):
        assert "the clip moved" in screen_text(app)
        assert "packets were lost" not in screen_text(app)


async def test_the_bar_changes_hands_between_sets_by_keys() -> None:
    wishes = Wishes()
    async with running(showing(snapshot(Stage.REST)), wishes=wishes) as (app, pilot):
        await pilot.press("t")
        assert isinstance(app.screen, PickScreen)
        await pilot.press("down", "enter")
        assert isinstance(app.screen, LiveScreen)
        assert wishes.heard == ["trainee Jonas Brandt"]


async def test_leaving_the_choice_changes_nobody() -> None:
    wishes = Wishes()
    async with running(showing(snapshot(Stage.READY)), wishes=wishes) as (app, pilot):
        await pilot.press("t", "escape")
        assert isinstance(app.screen, LiveScreen)
        assert wishes.heard == []


async def test_the_bar_does_not_change_hands_in_a_set() -> None:
    async with running(showing(snapshot(Stage.SET))) as (app, pilot):
        await pilot.press("t")
        assert isinstance(app.screen, LiveScreen)
        assert "before and between sets" in screen_text(app)


async def test_a_set_is_dropped_and_the_session_ended_by_one_key_each() -> None:
    wishes = Wishes()
    async with running(showing(snapshot(Stage.REST)), wishes=wishes) as (_, pilot):
        await pilot.press("d", "e")
        assert wishes.heard == ["drop", "end"]


async def test_there_is_nothing_to_drop_before_the_first_set() -> None:
    wishes = Wishes()
    async with running(showing(snapshot(Stage.READY)), wishes=wishes) as (app, pilot):
        await pilot.press("d")
        assert wishes.heard == []
        assert "drop" not in screen_text(app)


async def test_help_names_the_keys_and_every_key_leads_back() -> None:
    async with running(showing(snapshot(Stage.REST))) as (app, pilot):
        for key in ("escape", "question_mark", "q"):
            await pilot.press("question_mark")
            await pilot.pause()
            assert "drop last set" in screen_text(app)
            assert "A rep is a hill" in screen_text(app)
            await pilot.press(key)
            assert isinstance(app.screen, LiveScreen)


async def test_q_in_the_log_leads_back_to_the_session_and_does_not_stop_it() -> None:
    wishes = Wishes()
    async with running(showing(snapshot(Stage.REST)), wishes=wishes) as (app, pilot):
        await pilot.press("g", "l")
        await shown(app, pilot, LogScreen)
        await pilot.press("enter", "q", "q")
        assert isinstance(app.screen, LiveScreen)
        assert wishes.heard == []


async def test_the_session_goes_on_under_the_log() -> None:
    async def later(feed: Feed) -> None:
        feed.post_snapshot(snapshot(Stage.READY))
        await go.wait()
        feed.post_snapshot(snapshot(Stage.SET))
        await asyncio.Event().wait()

    go = asyncio.Event()
    async with running(later) as (app, pilot):
        await pilot.press("g", "l")
        await shown(app, pilot, LogScreen)
        go.set()
        await pilot.pause()
        await settled(app, pilot)
        await pilot.press("escape")
        await settled(app, pilot)
        assert app.screen.query_one("#more", BlockText).text == "3 TO GO"


async def test_long_advice_scrolls_by_keys() -> None:
    cautions = tuple(f"caution number {number}" for number in range(30))
    async with running(showing(snapshot(Stage.READY, cautions=cautions))) as (app, pilot):
        assert "caution number 9" not in screen_text(app)
        await pilot.press("pagedown", "down")
        await pilot.pause()
        assert "caution number 9" in screen_text(app)


async def test_light_and_dark_by_one_key() -> None:
    async with running(showing(snapshot(Stage.SET))) as (app, pilot):
        before = app.theme
        await pilot.press("b")
        assert app.theme != before
        await pilot.press("b")
        assert app.theme == before


async def test_a_log_that_cannot_be_read_does_not_end_the_session() -> None:
    def broken() -> tuple[LogRow, ...]:
        raise OSError("the log is locked by another program")

    app = RungwiseApp(Occasion(showing(snapshot(Stage.REST)), control=Wishes(), rooms=[log_room(broken)]))
    async with app.run_test() as pilot:
        await settled(app, pilot)
        await pilot.press("g", "l")
        await read(app, pilot)
        assert "locked by another program" in screen_text(app)
        await pilot.press("q")
        assert isinstance(app.screen, LiveScreen)
    assert app.failure is None


async def test_before_there_is_a_session_the_screen_says_that_it_comes() -> None:
    async def late(feed: Feed) -> None:
        await go.wait()
        await hold(feed, snapshot(Stage.READY))

    go = asyncio.Event()
    async with running(late) as (app, pilot):
        assert "Getting ready" in screen_text(app)
        go.set()
        await pilot.pause()
        await settled(app, pilot)
        assert "Getting ready" not in screen_text(app)
        assert "HANG TO START" in app.screen.query_one("#start", BlockText).text
