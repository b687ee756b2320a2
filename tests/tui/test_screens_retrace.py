"""The replay, worked by keys alone."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import replace

import pytest
from golden import check_golden, screen_text, shown
from retrace_feed import FIRST_S, NOTES, REP_S, SECOND_S, opened, seen_set, view
from textual.pilot import Pilot

from tui.app import RungwiseApp
from tui.occasion import Occasion
from tui.retrace.desk import Desk, Other
from tui.retrace.live import Live
from tui.retrace.marks import Marking
from tui.retrace.recorded import Opened
from tui.retrace.signals import Signals
from tui.retrace.view import Note
from tui.rooms import Room
from tui.screens.compare import CompareScreen
from tui.screens.retrace import RetraceScreen

SIZES = ((80, 24), (120, 40), (200, 60))


class Logbook:
    """A desk that only remembers; of a moment what was said last."""

    def __init__(self) -> None:
        self.notes: list[Note] = list(NOTES)
        then = (seen_set("1", 5.0, 4, down_s=3.0), seen_set("2", 50.0, 3, down_s=1.0))
        self.others = (
            Other("Sat 28 February 2026 · dead hang", lambda: ()),
            Other("Thu 26 February 2026 · low-bar pull-up, heels down", lambda: then, alike=True),
        )

    def keep(self, made: Marking) -> tuple[Note, ...]:
        self.notes = [note for note in self.notes if note.at_s != made.at_s]
        self.notes += [] if made.gone else [Note(made.at_s, made.text, made.who, "Mon 2 March 2026")]
        return tuple(sorted(self.notes, key=lambda note: note.at_s))

    def desk(self) -> Desk:
        return Desk(lambda: self.others, self.keep)


class Hand:
    """Real seconds that stand where they are put."""

    def __init__(self) -> None:
        self.at_s = 0.0

    def __call__(self) -> float:
        return self.at_s


@asynccontextmanager
async def replay(
    size: tuple[int, int] = (80, 24),
    what: Opened | None = None,
    desk: Desk | None = None,
    now: Hand | None = None,
    at_s: float | None = None,
) -> AsyncIterator[tuple[RungwiseApp, Pilot[None], RetraceScreen]]:
    screen = RetraceScreen(what or opened(), desk=desk, now=now or Hand(), at_s=at_s)
    app = RungwiseApp(Occasion(rooms=[Room("r", "replay", "a session", lambda: lambda: screen)], first="r"))
    async with app.run_test(size=size) as pilot:
        await shown(app, pilot, RetraceScreen)
        await settled(app, pilot)
        yield app, pilot, screen


async def settled(app: RungwiseApp, pilot: Pilot[None]) -> None:
    """Wait until what is read beside the screen is there."""
    await app.workers.wait_for_complete()
    await pilot.pause()


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_golden(size: tuple[int, int]) -> None:
    name = f"{size[0]}x{size[1]}"
    noted = replace(opened(), view=view(faults=()))
    async with replay(size, noted, Logbook().desk()) as (app, pilot, _):
        check_golden(f"retrace-whole-{name}", screen_text(app))
        await pilot.press("n", "enter")
        await pilot.pause()
        check_golden(f"retrace-set-{name}", screen_text(app))
        await pilot.press("c", "n", "n", "enter")
        await pilot.pause()
        check_golden(f"retrace-rep-{name}", screen_text(app))
        await pilot.press("o")
        await settled(app, pilot)
        await pilot.press("enter")
        await settled(app, pilot)
        assert isinstance(app.screen, CompareScreen)
        check_golden(f"compare-{name}", screen_text(app))


async def test_what_was_counted_is_shown_before_the_motion_is_read() -> None:
    def unread() -> Signals:
        raise OSError("the disk is away")

    async with replay(what=Opened(view(), unread)) as (app, pilot, _):
        lines = screen_text(app)
        assert "The motion cannot be read: the disk is away" in lines
        assert "4, 5 reps" in lines
        await pilot.press("n")
        await pilot.pause()
        assert "rep 2 · up" in screen_text(app)


async def test_steps_by_keys() -> None:
    cases: list[tuple[tuple[str, ...], float]] = [
        (("n",), FIRST_S + REP_S),
        (("n", "p"), FIRST_S),
        (("right", "right"), FIRST_S + 2.0),
        (("right", "left"), FIRST_S),
        (("e",), FIRST_S + 1.4),
        (("e", "e", "E"), FIRST_S + 1.4),
        (("right_square_bracket",), SECOND_S),
        (("right_square_bracket", "left_square_bracket"), FIRST_S),
        (("end",), 99.98),
        (("home",), 0.0),
    ]
    for keys, at_s in cases:
        async with replay() as (_, pilot, screen):
            await pilot.press(*keys)
            assert screen.place.head_s == pytest.approx(at_s), keys


async def test_zoom_and_move_by_keys() -> None:
    async with replay() as (_, pilot, screen):
        await pilot.press("plus", "plus")
        assert screen.place.width_s == pytest.approx(99.98 / 1.5**2)
        await pilot.press("minus")
        assert screen.place.width_s == pytest.approx(99.98 / 1.5)
        before = screen.place.from_s
        await pilot.press("full_stop")
        assert screen.place.from_s == pytest.approx(before + 99.98 / 1.5 / 4)


async def test_playing_goes_by_real_time_and_the_loop_stays_in_its_rep() -> None:
    hand = Hand()
    async with replay(now=hand, at_s=FIRST_S + 1.0) as (app, pilot, screen):
        await pilot.press("up", "space")
        hand.at_s += 0.5
        screen.frame()
        assert screen.place.head_s == pytest.approx(FIRST_S + 2.0)
        await pilot.press("l")
        hand.at_s += REP_S / 2
        screen.frame()
        assert screen.place.head_s == pytest.approx(FIRST_S + 2.0)
        await pilot.pause()
        assert "playing at 2×, over and over" in screen_text(app)
        await pilot.press("space")
        hand.at_s += 5.0
        screen.frame()
        assert screen.place.head_s == pytest.approx(FIRST_S + 2.0)


async def test_a_rep_is_laid_behind_the_others_until_it_is_let_go() -> None:
    async with replay(at_s=FIRST_S) as (app, pilot, _):
        await pilot.press("c")
        await pilot.pause()
        assert "rep 1 of set 1 lies behind every rep now" in screen_text(app)
        await pilot.press("n", "n", "n")
        await pilot.pause()
        assert "against rep 1 of set 1: up alike, top alike, down 1.2 s shorter" in screen_text(app)
        await pilot.press("c")
        await pilot.pause()
        assert "against" not in screen_text(app)


async def test_a_file_has_no_place_for_marks() -> None:
    async with replay() as (app, pilot, screen):
        shown_keys = screen.keys()
        assert not {"m", "t T", "a", "w", "x", "u"} & {key for key, _ in shown_keys}
        await pilot.press("m", "w", "x", "u")
        await pilot.pause()
        assert isinstance(app.screen, RetraceScreen)


async def test_nothing_counted_says_so_and_can_still_be_walked() -> None:
    empty = Opened(view(sets=(), live=Live(), notes=(), faults=()), opened().load)
    async with replay(what=empty) as (app, pilot, screen):
        assert "Nothing was counted in this recording." in screen_text(app)
        await pilot.press("n", "p", "right", "enter", "l", "c", "right_square_bracket", "plus", "comma", "space")
        await pilot.pause()
        assert screen.place.playing


async def test_q_leaves() -> None:
    async with replay() as (app, pilot, _):
        await pilot.press("q")
    assert app._exit
