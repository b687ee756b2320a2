"""A set that was left out by key counts again by another: on the board and on the screen."""

from __future__ import annotations

import pytest
from board_told import Told, bout
from golden import screen_text
from screen_feed import snapshot
from screen_wishes import Wishes
from test_screens_live import running, showing

from tui.session.messages import Stage
from tui.words.set_news import counts_again_line


def test_a_dropped_set_counts_again_in_its_place_with_what_was_refined_meanwhile() -> None:
    told = Told()
    told.connect()
    told.do(bout(0, 10.0))
    assert told.take_back() is None
    assert told.drop_last() is not None
    assert told.board.snapshot(30.0).undo == "count it again"
    told.refine(bout(0, 10.2), 0)
    told.do(bout(1, 60.0))
    told.open(120.0)
    assert told.take_back() is None  # not in a set
    told.do(bout(2, 120.0))
    what = told.take_back()
    assert what is not None
    assert counts_again_line(what, told.board.tally.set_within(what)) == "set 1 counts again"
    assert told.board.sets[0].start_s == pytest.approx(bout(0, 10.2).start_s)
    assert [one.number for one in told.board.sets] == [1, 2, 3]
    assert not told.board.snapshot(150.0).undo
    assert told.take_back() is None


async def test_a_set_left_out_counts_again_by_one_key_where_there_is_one() -> None:
    wishes = Wishes()
    async with running(showing(snapshot(Stage.REST)), wishes=wishes) as (app, pilot):
        assert "count it again" not in screen_text(app)
        await pilot.press("u")
    async with running(showing(snapshot(Stage.REST, undo="count it again")), wishes=wishes) as (app, pilot):
        assert "u count it again" in screen_text(app)
        await pilot.press("u")
    assert wishes.heard == ["take back"]
