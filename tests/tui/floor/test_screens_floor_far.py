"""What a coach across the room sees of the floor, and how long what came to know stands there."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from floor_desk import crowd, made
from floor_feed import gone, here, now, rest, shown
from test_screens_floor import floor, heard_of_one, looked

from tui.floor.kept import read_words
from tui.floor.needs import Look, Need
from tui.floor.view import WORD_SHOWN_S, TileView
from tui.floor.words import LATE, TARGET_HOLDS_S
from tui.widgets.block_digits import draw_block
from tui.widgets.canvas import Ink, plain
from tui.widgets.floor_tile import draw_tile
from tui.widgets.floor_tiles import MOST_LINES, columns, tile_height

TILE = TileView(name="rack-3", trainee="Mara Lindt", where="set 2 of 3", doing="4 of 8 · DOWN 0.6 of 2 s", link="good")


def letters(text: str, height: int) -> str:
    """Return the first line of a text in block letters."""
    return plain(draw_block(text, 60, height))[0].strip()


@pytest.mark.parametrize(
    ("tile", "large"),
    [
        (TILE, "4 OF 8"),
        (replace(TILE, doing="rest 0:45 · 8 of 8"), "0:45"),
        (replace(TILE, look=Look(Need.STOP, "pain 6")), "PAIN 6"),
        (replace(TILE, look=Look(Need.STOP, "stop: something in the shoulder gave way")), "4 OF 8"),
    ],
)
def test_a_tile_with_room_says_in_block_letters_what_matters_first(tile: TileView, large: str) -> None:
    rows = plain(draw_tile(tile, 60, 18))
    assert len(rows) == 18
    assert letters(large, 5) in "\n".join(rows)
    assert letters(large, 3) not in "\n".join(plain(draw_tile(tile, 60, 9)))


def test_why_stands_under_the_name_and_where_below() -> None:
    rows = draw_tile(replace(TILE, look=Look(Need.FORM, "fast down")), 40, 5)
    assert plain(rows)[1].strip() == "◆ fast down"
    assert plain(rows)[4].strip() == "set 2 of 3"
    assert {ink for _, ink in rows[0]} <= {Ink.ATTENTION, Ink.BLANK}
    assert Ink.ATTENTION not in {ink for _, ink in draw_tile(TILE, 40, 5)[0]}


def test_few_stations_take_all_the_room_there_is() -> None:
    assert [columns(120, count) for count in (0, 1, 2, 4, 5, 24)] == [1, 1, 2, 4, 3, 4]
    assert [tile_height(36, rows) for rows in (1, 2, 3, 6, 9)] == [MOST_LINES, 18, 12, 6, 6]


async def test_who_needs_a_look_elsewhere_is_told_while_one_is_open(tmp_path: Path) -> None:
    desk = heard_of_one(tmp_path, now("rack-3"))
    desk.give(here("rack-4"), rest("rack-4"))
    async with floor(desk) as (app, pilot):
        await looked(app, pilot)
        await pilot.press("enter")
        assert "◆" not in await looked(app, pilot)
        desk.give(now("rack-4", pain=7))
        assert "◆ rack-4 pain 7" in await looked(app, pilot)
        desk.give(here("rack-5"), now("rack-5", ended=True))
        assert "◆ rack-4 pain 7 · 1 more needs a look" in await looked(app, pilot)
        desk.post.link.went("The broker at localhost:1883 does not answer.")
        assert "No broker since 12:00" in await looked(app, pilot)
        desk.post.link.came()
        assert "No broker" not in await looked(app, pilot)


async def test_what_came_to_know_is_read_whole_and_goes_after_a_while(tmp_path: Path) -> None:
    desk = made(tmp_path)
    crowd(desk, 2)
    told = "Mara Lindt is here already as somebody else, so the one of rack-2 is kept apart as Mara Lindt (rack-2)."
    desk.floor.news.append((desk.clock.utc_us(), told))
    async with floor(desk) as (app, pilot):
        assert told in " ".join((await looked(app, pilot)).split())
        desk.clock.at_s += WORD_SHOWN_S
        assert "kept apart" not in await looked(app, pilot)
        assert f"12:00 {told}" in app.screen.legend()  # type: ignore[attr-defined]
        desk.give((now("rack-2")[0], b"{"))
        assert "rack-2 sends what this Rungwise cannot read" in await looked(app, pilot)
        desk.clock.at_s += WORD_SHOWN_S
        assert "cannot read" not in await looked(app, pilot)
        desk.give((now("rack-2")[0], b"["))
        assert "rack-2 sends what this Rungwise cannot read" in await looked(app, pilot)


async def test_no_target_is_asked_for_once_the_session_is_done(tmp_path: Path) -> None:
    desk = heard_of_one(tmp_path, now("rack-3", stage="done", phase="away"))
    async with floor(desk) as (app, pilot):
        await looked(app, pilot)
        await pilot.press("r")
        assert "The session of Mara Lindt at rack-3 is done." in await looked(app, pilot)
        assert not desk.gym.words.said


async def test_a_target_that_nobody_took_is_given_up_with_its_day(tmp_path: Path) -> None:
    desk = heard_of_one(tmp_path, now("rack-3"), gone("rack-3"))
    async with floor(desk) as (app, pilot):
        await looked(app, pilot)
        desk.desk.note("rack-3", "Breathe.")
        desk.desk.target("rack-3", 6, None, None)
        await pilot.pause(0.3)
        assert "target waits" in await looked(app, pilot)
        desk.clock.at_s += TARGET_HOLDS_S
        await pilot.pause(0.3)
        desk.give(here("rack-3"), now("rack-3"))
        await pilot.pause(0.3)
        assert "target not shown, given up 00:00" in await looked(app, pilot)
    sent = [one.payload for one in desk.post.sent if one.topic.endswith("down/word")]
    assert [b"Breathe." in one for one in sent] == [True]
    assert [one.state for one in read_words(desk.home.words).said.values()] == ["", LATE]
    (target,) = (one for one in desk.gym.words.said.values() if one.what == "target")
    desk.give(shown("rack-3", target.id))  # its answer was on the way for longer
    assert desk.gym.words.said[target.id].state == "shown"
