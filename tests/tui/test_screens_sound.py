"""What a person has of the sound on the live screen: one key, and a word where there is the bell only."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from golden import screen_text
from screen_feed import hold, snapshot
from screen_wishes import Wishes
from textual.pilot import Pilot

from tui.app import RungwiseApp
from tui.occasion import Occasion
from tui.screens.keyed import Keyed
from tui.session.control import Driver, Feed
from tui.session.messages import Moment, Snapshot, Stage
from tui.sound import sounds
from tui.sound.score import Note, Sound
from tui.sound.sounds import Sounds


class Remembering:
    """A player that only remembers."""

    is_heard = True

    def __init__(self) -> None:
        self.notes: list[Note] = []

    def play(self, note: Note) -> None:
        self.notes.append(note)

    def close(self) -> None:
        pass


@asynccontextmanager
async def running(driver: Driver, sound: Sounds | None) -> AsyncIterator[tuple[RungwiseApp, Pilot[None]]]:
    app = RungwiseApp(Occasion(driver, control=Wishes(), sound=sound))
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(app, pilot)
        yield app, pilot


async def settled(app: RungwiseApp, pilot: Pilot[None]) -> None:
    app.frame()
    await pilot.pause()


def showing(shown: Snapshot) -> Driver:
    return lambda feed: hold(feed, shown)


async def a_rest_ends(feed: Feed) -> None:
    feed.post_snapshot(snapshot(Stage.REST, rest_left_s=0.05, elapsed_s=50.0))
    await hold(feed, snapshot(Stage.REST, rest_left_s=-0.05, elapsed_s=50.1))


async def test_one_key_mutes_and_one_more_lets_it_sound_again(tmp_path: Path) -> None:
    player = Remembering()
    sound = Sounds(tmp_path / "quiet", open_player=lambda: player)
    async with running(showing(snapshot(Stage.READY)), sound) as (app, pilot):
        assert "m sound off" in screen_text(app)
        await pilot.press("m")
        await settled(app, pilot)
        assert "Sound is off." in screen_text(app)
        assert "m sound on" in screen_text(app)
        await a_rest(app)
        assert Sound.REST_OVER not in [note.sound for note in player.notes]
        await pilot.press("m")
        await settled(app, pilot)
        assert "Sound is on." in screen_text(app)
        assert isinstance(app.screen, Keyed)
        assert dict(app.screen.keys())["m"] == "sound off"  # a rest leaves it no room on the line
        await a_rest(app)
        assert player.notes[-1].sound is Sound.REST_OVER


async def a_rest(app: RungwiseApp) -> None:
    for left_s in (0.05, -0.05):
        app.post_snapshot(snapshot(Stage.REST, rest_left_s=left_s, elapsed_s=50.0 - left_s))


async def test_without_sound_there_is_no_key_for_it() -> None:
    async with running(showing(snapshot(Stage.READY)), None) as (app, pilot):
        await pilot.press("m")
        await settled(app, pilot)
        assert "sound" not in screen_text(app).lower()


async def test_without_the_extra_the_terminal_rings_and_the_screen_says_how_to_get_more(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sounds, "audio_installed", lambda: False)
    rung: list[str] = []
    monkeypatch.setattr(RungwiseApp, "bell", lambda app: rung.append("ring"))
    async with running(a_rest_ends, Sounds(tmp_path / "quiet")) as (app, _):
        assert "pip install 'rungwise[audio]'" in screen_text(app)
        assert rung == ["ring"]


async def test_a_moment_does_not_wait_for_the_sound(tmp_path: Path) -> None:
    """A player that is gone leaves the screen as it is."""

    class Gone(Remembering):
        is_heard = False

    async def told(feed: Feed) -> None:
        feed.post_moment(Moment(at_s=1.0, kind="note", text="the clip moved"))
        await a_rest_ends(feed)

    async with running(told, Sounds(tmp_path / "quiet", open_player=Gone)) as (app, _):
        assert "REST OVER" in screen_text(app).upper() or "NEXT" in screen_text(app).upper()
        assert app.failure is None
