"""A session of holds in the replay: each is drawn as a flat top, told in seconds, and can be gone to."""

from __future__ import annotations

from dataclasses import replace

import pytest
from board_told import ASKED, Told
from retrace_feed import view
from screen_feed import log_rows, set_verdict

from analysis.motion.events import Phase
from analysis.motion.results import Bout, Hold, Where
from analysis.training.verdict import Outcome
from sensor.source import LinkState
from tui.retrace.built import set_of_record
from tui.retrace.view import RetraceView
from tui.screens.log import draw_log_row
from tui.session.messages import Link
from tui.views.hills import set_hills, target_hill
from tui.widgets.retrace import _counts
from tui.widgets.retrace_words import live_words, where_words

HOLDS = replace(ASKED, reps=1, hold_s=10.0)


@pytest.fixture
def held() -> RetraceView:
    board = Told(HOLDS)
    board.connect()
    for number, (start_s, end_s) in enumerate(((10.0, 25.0), (80.0, 86.0))):
        hold = Hold(start_s, end_s, Where.TOP)
        board.close(Bout(number=number, start_s=start_s, end_s=end_s, reps=(), holds=(hold,)))
    return view(sets=tuple(set_of_record(one, HOLDS) for one in board.board.sets))


def test_a_hold_is_a_flat_top_of_which_only_the_length_is_known(held: RetraceView) -> None:
    (first,), (second,) = (one.reps for one in held.sets)
    assert (first.hill.up_s, first.hill.top_s, first.hill.down_s) == (None, 15.0, None)
    assert (first.outcome, second.outcome) == (Outcome.MET, Outcome.UNSURE)  # 6 ± 2.5 s
    assert [(edge.phase, edge.at_s) for edge in first.edges] == [(Phase.TOP, 10.0), (Phase.BOTTOM, 25.0)]
    assert (target_hill(HOLDS).top_s, target_hill(ASKED).top_s) == (10.0, ASKED.tempo.top_s)


def test_the_log_tells_holds_in_seconds() -> None:
    row = log_rows()[0]
    verdicts = [replace(set_verdict(()), held=True, tut_s=seconds) for seconds in (15.2, 14.0)]
    done = tuple(replace(row.done[0], verdict=verdict) for verdict in verdicts)
    assert "15 s, 14 s" in "".join(text for text, _ in draw_log_row(replace(row, done=done), 80)[0])


def test_a_hold_is_told_in_seconds(held: RetraceView) -> None:
    assert _counts(held) == "15, 6 s held"
    assert where_words(held, 12.0) == "set 1 · hold"
    assert where_words(held, 30.0) == "after set 1"
    assert live_words(held, 12.0) == ""
    assert held.sets[0].words == "set 1: held 15 of 10 s · met"


def test_a_hold_that_a_sensor_saw_is_drawn_wherever_a_set_is() -> None:
    board = Told(HOLDS)
    list(board.board.on_link(Link(state=LinkState.CONNECTED, sensor="clip"), 0.0))
    board.close(Bout(number=0, start_s=10.0, end_s=25.0, reps=(), holds=(Hold(10.0, 25.0, Where.TOP),)))
    (one,) = board.board.sets
    assert [hill.top_s for hill in set_hills(one)] == [15.0]
    assert board.shown(30.0).hills == set_hills(one)
    board.board.tally.tell(12, 90.0, board.board.clock)
    assert set_hills(board.board.sets[-1]) == ()  # of what was told nobody saw how it went
