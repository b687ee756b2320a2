"""Sets of holds on the board: the running time is shown, each hold is told once, whichever answer comes first."""

from __future__ import annotations

from dataclasses import replace

from board_told import ASKED, Told

from analysis.motion.events import EventId, HoldBegan, HoldEnded, Phase
from analysis.motion.results import Bout, Hold, Where
from tui.messages import Stage
from tui.widgets.labels import held_s, phase_word, set_line, to_go_words

HOLDS = replace(ASKED, reps=1, hold_s=10.0)


def held(number: int, start_s: float, seconds: float = 16.0) -> Bout:
    hold = Hold(start_s, start_s + seconds, Where.TOP)
    return Bout(number=number, start_s=hold.start_s, end_s=hold.end_s, reps=(), holds=(hold,))


def told() -> Told:
    one = Told(HOLDS)
    one.connect()
    return one


def began(at_s: float) -> HoldBegan:
    return HoldBegan(id=EventId(-2, 0), at_s=at_s, emitted_s=at_s + 3.0)


def test_the_time_held_runs_on_the_screen() -> None:
    board = told()
    board.fold(began(10.0))
    shown = board.shown(16.0)
    assert (shown.phase, held_s(shown), phase_word(shown)) == (Phase.HANG, 6.0, "HOLD")
    assert to_go_words(shown) == "4 S TO GO"
    assert to_go_words(board.shown(21.0)) == "ALL DONE"
    board.fold(HoldEnded(id=EventId(-2, 1), at_s=26.0, emitted_s=27.0, hold=None))
    assert held_s(board.shown(28.0)) == 0.0


def test_a_hold_is_a_set_and_two_of_two_are_a_session() -> None:
    board = told()
    assert "set 1: held 16 s of 10 s, met" in board.close(held(0, 10.0))
    assert board.board.stage is Stage.REST
    board.close(held(1, 80.0))
    assert board.board.stage is Stage.DONE
    assert set_line(1, board.shown(100.0).closed[0]) == "set 1: held 16 of 10 s · met"
    assert board.board.verdict().summary[0] == "2 of 2 sets met."


def test_a_hold_that_was_seen_whole_first_is_not_counted_twice() -> None:
    board = told()
    board.refine(held(0, 10.2))
    board.close(held(0, 10.0))
    assert [one.number for one in board.board.sets] == [1]


def test_where_reps_are_asked_a_hold_is_no_set() -> None:
    board = Told(ASKED)
    board.connect()
    assert board.close(held(0, 10.0)) == ["held 16.0 s at the top"]
    assert board.board.sets == ()
