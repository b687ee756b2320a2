"""What is asked on the live screen, by keys only: before the first set, in the rest, after the last."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import pytest
from golden import check_golden, screen_text
from screen_feed import hold, snapshot
from screen_wishes import Wishes
from textual.pilot import Pilot

from analysis.training.setup import SetUp, Support
from tui.app import RungwiseApp
from tui.occasion import Occasion
from tui.questions import questions
from tui.questions.interview import AskView, Interview, Part
from tui.session.control import Feed
from tui.session.messages import Stage

SIZES = [(80, 24), (120, 40), (200, 60)]
LAST = SetUp(bar_cm=105, heels_cm=40, support=Support.RACK)
WHY = ("Rest of 75 s was kept with all reps: 5 s less.",)
NO_SESSION = (
    "No session: pain 6 of 10 on Mon 2 March 2026. No pulling until pain is 3 or less and settled overnight; see your "
    "coach, and a clinician if it stays.",
    'once pain is 3 or less, and was so overnight: rungwise tell "Mara Lindt" --pain N',
)


class Asked:
    """Asks parts, and remembers what they found."""

    def __init__(self, *parts: Part, **told: Any) -> None:
        self.interview, self.told = Interview(parts), told

    @property
    def wants_answers(self) -> bool:
        return self.interview.view is not None

    def look(self) -> AskView | None:
        view = self.interview.view
        return replace(view or AskView(), **self.told) if view or self.told.get("stopped") else None

    def press(self, key: str, character: str = "") -> bool:
        return self.interview.press(key, character)


class Found(list[Any]):
    """What the parts found."""

    def pain(self) -> Part:
        return Part("pain", lambda: questions.pain_before(trained=True), self.append)

    def set_up(self) -> Part:
        return Part("set-up", lambda: questions.set_up(LAST, frozenset({"low-bar"})), self.append)

    def hard(self) -> Part:
        return Part("how hard", questions.exertion, self.append)


def app_with(asked: Asked, stage: Stage, control: Wishes | None = None) -> RungwiseApp:
    return RungwiseApp(Occasion(lambda feed: hold(feed, snapshot(stage)), control=control or Wishes(), asked=asked))


async def press(app: RungwiseApp, pilot: Pilot[None], keys: Sequence[str]) -> None:
    """Press keys between two frames of the live screen."""
    await pilot.pause()
    app.frame()
    await pilot.press(*keys)
    app.frame()
    await pilot.pause()


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize(
    ("name", "stage", "part", "keys", "told"),
    [
        ("pain", Stage.SEARCHING, Found.pain, (), {"follows": WHY}),
        ("where", Stage.READY, Found.pain, ("2", "3"), {}),
        ("set_up", Stage.READY, Found.set_up, (), {}),
        ("length", Stage.READY, Found.set_up, ("n", "9", "9", "9", "enter", "1"), {}),
        ("rest", Stage.REST, Found.pain, (), {}),
        ("after", Stage.DONE, Found.hard, (), {}),
        ("no_session", Stage.DONE, None, (), {"follows": NO_SESSION, "stopped": True}),
    ],
)
async def test_how_it_looks(
    name: str, stage: Stage, part: Any, keys: tuple[str, ...], told: dict[str, Any], size: tuple[int, int]
) -> None:
    app = app_with(Asked(*([part(Found())] if part else []), **told), stage)
    async with app.run_test(size=size) as pilot:
        await press(app, pilot, keys)
        check_golden(f"ask_{name}_{size[0]}x{size[1]}", screen_text(app))


async def test_all_is_answered_by_keys_and_then_the_prescription_stands_large() -> None:
    found = Found()
    app = app_with(Asked(found.pain(), found.set_up()), Stage.READY)
    async with app.run_test() as pilot:
        await press(app, pilot, ["0", "0", "space"])
        assert found == [questions.Felt(0, 0, "", False), LAST]
        assert "HANG" not in screen_text(app)  # in block letters by now
        assert app.screen.query_one("#asked").display
        assert app.screen.query_one("PlanPanel").display
        assert not app.screen.query_one("AskPanel").display


async def test_own_words_are_typed_whatever_the_keys_mean_elsewhere() -> None:
    found, wishes = Found(), Wishes()
    app = app_with(Asked(found.pain()), Stage.READY, wishes)
    async with app.run_test() as pilot:
        await press(app, pilot, ["1", "1", "9", *"qed", "question_mark", "enter", "n"])
        assert found == [questions.Felt(1, 1, "qed?", False)]
        assert wishes.heard == []


async def test_a_key_that_answers_nothing_does_what_it_always_does() -> None:
    wishes = Wishes()
    app = app_with(Asked(Found().pain()), Stage.READY, wishes)
    async with app.run_test() as pilot:
        await press(app, pilot, ["e"])
        assert wishes.heard == ["end"]


async def test_in_a_set_nothing_is_asked() -> None:
    asked = Asked()
    app = app_with(asked, Stage.SET)
    async with app.run_test() as pilot:
        await press(app, pilot, [])
        assert not app.screen.query_one("AskStrip").display
        assert not app.screen.query_one("AskPanel").display


async def leaving(key: str, asked: Asked) -> tuple[RungwiseApp, list[str]]:
    """Press a key that leaves, once; return the application, and what was on the screen then where it stayed."""
    stopped, stayed, wishes = asyncio.Event(), [], Wishes()
    wishes.on_stop = stopped.set

    async def session(feed: Feed) -> None:
        feed.post_snapshot(snapshot(Stage.REST))
        await stopped.wait()
        feed.post_snapshot(snapshot(Stage.DONE))

    app = RungwiseApp(Occasion(session, control=wishes, asked=asked))
    async with app.run_test() as pilot:
        await press(app, pilot, [key])
        await pilot.pause(0.1)
        app.frame()
        await pilot.pause()
        if app.is_running and not app._exit:
            stayed.append(screen_text(app))
            await pilot.press("7", "q")
            await pilot.pause(0.1)
        assert app._exit
    return app, stayed


async def test_who_leaves_is_asked_first_and_can_leave_all_the_same() -> None:
    found = Found()
    _, stayed = await leaving("q", Asked(found.hard()))
    assert len(stayed) == 1
    assert "How hard was it" in stayed[0]
    assert "The log is closed. q again leaves without an answer." in stayed[0]
    assert found == [7]


async def test_who_leaves_is_kept_by_nothing_where_nothing_is_asked() -> None:
    assert (await leaving("q", Asked()))[1] == []


async def test_who_is_in_a_hurry_is_not_asked() -> None:
    found = Found()
    assert (await leaving("ctrl+c", Asked(found.hard())))[1] == []
    assert found == []
