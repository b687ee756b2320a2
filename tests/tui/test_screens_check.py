"""The check of a session, worked by keys alone."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import replace

import pytest
from check_feed import DeskOf, untouched, view
from golden import check_golden, screen_text, shown
from textual.pilot import Pilot
from textual.screen import Screen

from analysis.motion.results import RepKind
from analysis.training.corrections import Because, By
from analysis.training.superset import SetKind
from tui.app import RungwiseApp
from tui.book.correcting import Teller, Wish
from tui.occasion import Occasion
from tui.rooms import Room
from tui.screens.check import CheckScreen
from tui.screens.check_marks import CheckMarksScreen
from tui.screens.say import SayScreen
from tui.views.check_view import CheckView, Speaker

SIZES = ((80, 24), (120, 40), (200, 60))
ADA = ("c", *"Ada", "enter")
"""Who corrects, asked once: the coach Ada."""


@asynccontextmanager
async def check(
    desk: DeskOf, size: tuple[int, int] = (80, 24), replays: list[float] | None = None
) -> AsyncIterator[tuple[RungwiseApp, Pilot[None]]]:
    def replay(at_s: float) -> Callable[[], Callable[[], Screen[None]]]:
        assert replays is not None
        replays.append(at_s)
        return lambda: lambda: SayScreen("replay", ())

    def enter() -> Callable[[], Screen[None]]:
        return lambda: CheckScreen(desk, desk.read(), Speaker(), replay if replays is not None else None)

    app = RungwiseApp(Occasion(rooms=[Room("c", "check", "", enter)], first="c"))
    async with app.run_test(size=size) as pilot:
        await shown(app, pilot, CheckScreen)
        yield app, pilot


async def press(pilot: Pilot[None], *keys: str) -> None:
    """Press keys one by one, each once the screen before has settled."""
    for key in keys:
        await pilot.press(key)
        await pilot.pause()


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_golden(size: tuple[int, int]) -> None:
    async with check(DeskOf(view()), size, replays=[]) as (app, pilot):
        check_golden(f"check-{size[0]}x{size[1]}", screen_text(app))
        await press(pilot, "right", "end")
        check_golden(f"check-corrected-{size[0]}x{size[1]}", screen_text(app))
        await press(pilot, "h")
        check_golden(f"check-marks-{size[0]}x{size[1]}", screen_text(app))
        await press(pilot, "q", "c", *ADA)
        check_golden(f"check-fixes-{size[0]}x{size[1]}", screen_text(app))


async def test_the_filter_goes_round_and_says_how_many_are_left() -> None:
    async with check(DeskOf(view())) as (app, pilot):
        for words, number, reps in (
            ("", 1, 6),
            ("missed: 2 of 12 reps", 1, 2),
            ("unsure: 2 of 12 reps", 1, 1),
            ("corrected: 1 of 12 reps", 2, 1),  # none in the first set, so the next one is shown
            ("", 2, 6),
        ):
            text = screen_text(app)
            assert words in text
            assert ("of 12 reps" in text) is bool(words)
            assert f" set {number}: 6," in text
            assert app.screen.query_one("#reps").count == reps  # type: ignore[attr-defined]
            await press(pilot, "f")


async def test_a_set_without_a_rep_of_that_kind_says_so_and_how_to_go_on() -> None:
    async with check(DeskOf(view())) as (app, pilot):
        await press(pilot, "f", "right")
        assert "No rep of this set is missed. f shows others." in screen_text(app)


@pytest.mark.parametrize(
    ("keys", "wish", "because"),
    [
        (("a", "m"), Wish("add_rep", 0.0, "1", (2,)), Because.MISSED),
        (("b", "m"), Wish("add_rep", 0.0, "1", (1,)), Because.MISSED),
        (("d", "n"), Wish("drop_rep", 0.0, "1", (2,)), Because.NOT_A_REP),
        (("m", "1"), Wish("merge", 0.0, "1", (2, 3)), Because.ONE_AS_TWO),
        (("s", "2"), Wish("split", 0.0, "1", (2,)), Because.TWO_AS_ONE),
        (("t", "2", "p"), Wish("kind", RepKind.PARTIAL, "1", (2,)), Because.NOT_FULL),
        (("t", "3", "f"), Wish("kind", RepKind.ONE_AND_HALF, "1", (2,)), Because.FULL),
        (("n", *"14", "enter", "t"), Wish("count", 14, "1"), Because.TYPED_WRONG),
        (("w", *"7,5", "enter", "t"), Wish("load", 7.5, "1"), Because.TYPED_WRONG),
        (("v", *"-20", "enter", "t"), Wish("load", -20.0, None), Because.TYPED_WRONG),
        (("l", "2", "e"), Wish("relabel", SetKind.WARM_UP, "1"), Because.OTHER_EXERCISE),
        (("x", "o", "enter"), Wish("drop_set", True, "1"), Because.OTHER),
        (("p", "enter"), Wish("give", "Jonas Reiter", "1"), Because.SOMEBODY_ELSE),
        (("p", "end", "enter", *"Ines Falk", "enter"), Wish("give", "Ines Falk", "1"), Because.SOMEBODY_ELSE),
    ],
)
async def test_each_correction_is_made_by_keys(keys: tuple[str, ...], wish: Wish, because: Because) -> None:
    desk = DeskOf(view())
    async with check(desk) as (app, pilot):
        await press(pilot, "down", "c", *ADA, *keys)
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert desk.heard == [(wish, Teller("Ada", By.COACH, because, ""))]
        assert "As it stands now" in screen_text(app)
        assert "measured 6" in screen_text(app)
        await press(pilot, "enter")
        assert isinstance(app.screen, CheckScreen)


async def test_who_corrects_is_asked_once_and_can_be_changed() -> None:
    desk = DeskOf(view())
    async with check(desk) as (_, pilot):
        await press(pilot, "c", "t", "d", "n", "enter", "c", "d", "n", "enter", "c", "i", *ADA, "d", "o", *"on tiptoe")
        await press(pilot, "enter")
        assert [(one.name, one.role, one.text) for _, one in desk.heard] == [
            (None, By.TRAINEE, ""),
            (None, By.TRAINEE, ""),
            ("Ada", By.COACH, "on tiptoe"),
        ]


def test_a_coach_is_remembered_for_all_and_a_trainee_for_nobody_else() -> None:
    speaker = Speaker()
    assert not speaker.is_known("Mara Lindt")
    speaker.trainee = "Mara Lindt"
    assert (speaker.is_known("Mara Lindt"), speaker.is_known("Jonas Reiter"), speaker.role) == (True, False, By.TRAINEE)
    speaker.name = "Ada"
    assert (speaker.is_known("Jonas Reiter"), speaker.role) == (True, By.COACH)


async def test_the_coach_confirms_what_the_trainee_said() -> None:
    desk = DeskOf(replace(view(), unconfirmed=True))
    async with check(desk) as (app, pilot):
        await press(pilot, "c", "t", "c", *"Ada", "enter")
        await app.workers.wait_for_complete()
        assert desk.heard == [(Wish("confirm"), Teller("Ada", By.COACH, Because.OTHER, ""))]


async def test_the_last_one_or_any_is_taken_back() -> None:
    desk = DeskOf(view())
    async with check(desk) as (app, pilot):
        await press(pilot, "u", *ADA, "enter", "h")
        assert isinstance(app.screen, CheckMarksScreen)
        assert "measured: up 0.6 top 0.1 down 0.5" in " ".join(screen_text(app).split())
        await press(pilot, "down", "enter")
        await app.workers.wait_for_complete()
        assert [wish for wish, _ in desk.heard] == [Wish("undo", ""), Wish("undo", "bbbb2222")]


async def test_going_back_at_any_question_corrects_nothing() -> None:
    desk = DeskOf(view())
    async with check(desk) as (app, pilot):
        for keys in (("c",), ("c", "c"), ("c", *ADA), ("c", "d"), ("c", "n"), ("c", "p"), ("c", "x", "o")):
            await press(pilot, *keys, "escape")
            await app.workers.wait_for_complete()
            await pilot.pause()
            assert isinstance(app.screen, CheckScreen), (keys, app.screen)
        assert not desk.heard


@pytest.mark.parametrize(
    ("keys", "words"), [([*"mara", "space", *"lindt"], "the coach is somebody else"), ([], "A name is needed")]
)
async def test_nobody_and_who_trained_are_no_coach(keys: list[str], words: str) -> None:
    async with check(DeskOf(view())) as (app, pilot):
        await press(pilot, "c", "c", *keys, "enter")
        assert words in screen_text(app)


async def test_a_number_out_of_range_is_asked_for_again() -> None:
    desk = DeskOf(view())
    async with check(desk) as (app, pilot):
        await press(pilot, "c", *ADA, "n", *"1.5", "enter")
        assert "Give a whole number from 0 to 999." in screen_text(app)
        assert not desk.heard


async def test_what_cannot_be_corrected_is_said() -> None:
    async with check(DeskOf(view(), refuses="set 1 has no rep 9: it has reps 1 to 6")) as (app, pilot):
        await press(pilot, "c", *ADA, "d", "n")
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert "Not corrected" in screen_text(app)
        assert "has reps 1 to 6" in screen_text(app)


@pytest.mark.parametrize(("at_s", "opened"), [(13.6, [13.6]), (None, [])])
async def test_enter_opens_the_replay_where_a_hold_began(at_s: float | None, opened: list[float]) -> None:
    first = view().sets[0]
    hold = replace(first, reps=(), verdict=replace(first.verdict, held=True), at_s=at_s)
    replays: list[float] = []
    async with check(DeskOf(replace(view(), sets=(hold,))), (120, 40), replays) as (app, pilot):
        last = screen_text(app).splitlines()[-1]
        assert ("enter replay" in last, "rep" in last.split("replay")[0]) == (bool(opened), False)
        await press(pilot, "enter")
    assert replays == opened


async def test_enter_opens_the_replay_at_the_marked_rep() -> None:
    replays: list[float] = []
    async with check(DeskOf(view()), replays=replays) as (_, pilot):
        await press(pilot, "down", "down", "enter")
        assert replays == [30.0]


@pytest.mark.parametrize("told", [untouched(), replace(view(), recorded=False)])
async def test_keys_are_shown_only_where_they_do_something(told: CheckView) -> None:
    replays: list[float] = []
    async with check(DeskOf(told), (120, 40), replays) as (app, pilot):
        keys = dict(app.screen.keys())  # type: ignore[attr-defined]
        assert ("enter" in keys) == told.recorded
        assert ("u" in keys) == bool(told.marks)
        await press(pilot, "enter", "u")
        assert bool(replays) == told.recorded
        assert isinstance(app.screen, CheckScreen) != (told.recorded or bool(told.marks))


@pytest.mark.parametrize(
    ("told", "words"), [(view(), "enter there takes one back"), (untouched(), "`rungwise done` types one in")]
)
async def test_a_session_without_a_set_says_what_to_do(told: CheckView, words: str) -> None:
    async with check(DeskOf(replace(told, sets=(), outcome=None))) as (app, pilot):
        assert words in " ".join(screen_text(app).split())
        assert "not judged" in screen_text(app)
        await press(pilot, "c", "f", "right", "enter", "q")
    assert app._exit
