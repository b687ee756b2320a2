"""Sets of holds on the board: the running time is shown, each hold is told once, whichever answer comes first."""

from __future__ import annotations

from dataclasses import replace

import pytest
from board_told import ASKED, Told

from analysis.motion.events import EventId, HoldBegan, HoldEnded, Phase
from analysis.motion.results import Bout, Hold, Where
from sensor.source import LinkState
from tui.session.messages import Link, Offer, Stage
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


@pytest.mark.parametrize(("seconds", "outcome", "line"), [(12, "met", "As told"), (6, "missed", "Held 6 of 10 s")])
def test_a_hold_without_the_sensor_is_told_in_seconds_and_can_be_taken_back(
    seconds: int, outcome: str, line: str
) -> None:
    board = told()
    list(board.board.on_link(Link(state=LinkState.CONNECTED, sensor="clip"), 0.0))
    board.close(held(0, 10.0))
    assert Offer.TELL_SET in board.board.offers
    said = board.board.tally.tell(seconds, 80.0, board.board.clock)
    assert (said.start_s, said.end_s, said.value) == (80.0 - seconds, 80.0, {"held_s": seconds})
    first, second = board.board.sets
    assert set_line(2, second.verdict).startswith(f"set 2: held {seconds} of 10 s · {outcome}")
    assert line in second.verdict.remark
    assert (first.verdict.tut_s, second.start_s, second.bouts) == (16.0, said.start_s, ())
    assert board.shown(81.0).undo == "take it out again"
    assert board.take_back() == said
    assert board.board.sets == (first,)


def test_a_hold_that_was_found_where_one_was_told_is_that_one() -> None:
    board = told()
    board.board.tally.tell(12, 30.0, board.board.clock)
    board.close(held(0, 17.0, 13.0))
    (one,) = board.board.sets
    assert (one.verdict.tut_s, one.bouts) == (12.0, (0,))
