"""Sets of holds on the board: the running time is shown, each hold is told once, whichever answer comes first."""

from __future__ import annotations

from dataclasses import replace

import pytest
from board_told import ASKED, Told, bout

from analysis.motion.events import EventId, HoldBegan, HoldEnded, Phase, PhaseChanged
from analysis.motion.results import Bout, Hold, Where
from sensor.source import LinkState
from tui.session.messages import Link, Offer, Stage
from tui.widgets.hold_labels import held_s, perhaps_held_s
from tui.widgets.labels import phase_progress, phase_word, rest_digits, set_line, set_words, to_go_words

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


def changed(phase: Phase, at_s: float) -> PhaseChanged:
    return PhaseChanged(id=EventId(0, 0), at_s=at_s, emitted_s=at_s + 0.2, phase=phase)


def let_go(hold: Hold | None, at_s: float) -> HoldEnded:
    return HoldEnded(id=EventId(-2, 1), at_s=at_s, emitted_s=at_s + 2.6, hold=hold)


def test_the_rest_runs_from_letting_go_whatever_opens_meanwhile() -> None:
    """In the order and at the times at which the demonstration's first hold is told."""
    board = told()
    board.do(Bout(number=0, start_s=12.6, end_s=13.6, reps=()))
    board.fold(began(13.6))
    board.fold(let_go(Hold(13.6, 28.4, Where.TOP), 28.4))
    board.open(31.3)
    board.fold(changed(Phase.TOP, 32.6))
    shown = board.shown(36.4)
    assert (shown.stage, shown.set_number, shown.rest_left_s) == (Stage.REST, 2, pytest.approx(52.0))
    assert (shown.phase, rest_digits(shown.rest_left_s), Offer.DROP in shown.offers) == (Phase.AWAY, "52", False)
    board.refine(held(0, 13.6, 14.8))
    shown = board.shown(40.4)
    assert (shown.stage, shown.set_number, shown.rest_left_s) == (Stage.REST, 2, pytest.approx(48.0))
    assert [round(hill.top_s or 0.0, 1) for hill in shown.hills] == [14.8]
    board.fold(began(45.0))
    shown = board.shown(49.0)
    assert (shown.stage, shown.phase, shown.phase_s) == (Stage.REST, Phase.HANG, 4.0)
    board.fold(let_go(None, 50.0))
    board.close(Bout(number=1, start_s=31.3, end_s=32.6, reps=()))
    board.open(79.0)
    assert board.shown(80.4).stage is Stage.SET  # 9 s were left: it may well be the next hold


def test_what_was_held_last_stays_on_the_screen_until_it_is_told() -> None:
    board = told()
    board.close(held(0, 10.0))
    board.open(89.0)
    board.fold(began(90.0))
    board.fold(let_go(Hold(90.0, 103.0, Where.TOP), 103.0))
    board.fold(changed(Phase.DOWN, 103.0))
    board.board.heard(106.0)
    shown = board.shown(106.0)
    assert (shown.stage, set_words(shown), held_s(shown)) == (Stage.SET, "set 2 of 2", 13.0)
    assert (to_go_words(shown), phase_word(shown), phase_progress(shown)) == ("ALL DONE", "", None)
    assert board.shown(124.0).held_s == 0.0  # it was none after all: nothing waits for it for ever
    board.close(held(1, 90.0, 13.0))
    assert board.shown(106.0).stage is Stage.DONE


def test_a_hold_goes_on_as_the_set_though_its_bout_is_closed() -> None:
    board = told()
    board.open(12.6)
    board.fold(began(13.6))
    board.close(Bout(number=0, start_s=12.6, end_s=13.6, reps=()))
    shown = board.shown(20.0)
    assert (shown.stage, shown.rest_left_s, phase_word(shown), held_s(shown)) == (Stage.SET, None, "HOLD", 6.4)


def test_a_hold_that_was_none_begins_no_rest() -> None:
    board = told()
    board.open(9.0)
    board.fold(began(10.0))
    board.fold(let_go(None, 23.0))
    assert board.shown(26.0).stage is Stage.SET


def test_keeping_still_counts_provisionally_until_it_is_known_for_a_hold() -> None:
    board = told()
    board.open(9.0)
    board.fold(changed(Phase.TOP, 10.0))
    board.board.heard(14.0)
    shown = board.shown(14.0)
    band = phase_progress(shown)
    assert band is not None
    assert (perhaps_held_s(shown), held_s(shown), phase_word(shown)) == (4.0, 0.0, "HOLD")
    assert (band.words, band.then, to_go_words(shown)) == ("4.0 of 10 s", "", "6 S TO GO")
    board.board.heard(21.0)
    assert to_go_words(board.shown(21.0)) == ""  # that all is done is said of a hold that is known
    board.fold(began(10.0))
    assert to_go_words(board.shown(21.0)) == "ALL DONE"


@pytest.mark.parametrize("phase", [Phase.UP, Phase.DOWN])
def test_getting_into_a_hold_and_out_of_it_has_no_time(phase: Phase) -> None:
    board = told()
    board.open(9.0)
    board.fold(changed(phase, 10.0))
    board.board.heard(11.0)
    shown = board.shown(11.0)
    assert (shown.phase, shown.phase_target_s, shown.then, perhaps_held_s(shown)) == (phase, None, Phase.AWAY, 0.0)


def test_a_set_beyond_those_asked_for_is_an_extra_one() -> None:
    board = told()
    board.close(held(0, 10.0))
    board.close(held(1, 80.0))
    board.open(130.0)
    shown = board.shown(131.0)
    assert (shown.stage, shown.session_verdict) == (Stage.DONE, board.board.verdict())  # it may be steps
    board.fold(began(131.0))
    shown = board.shown(135.0)
    assert (set_words(shown), to_go_words(shown)) == ("extra set 3", "")


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


def test_what_reads_as_reps_is_no_hold_and_says_how_to_add_one() -> None:
    board = told()
    done = bout(0, 10.0, 1)
    board.open(10.0)
    assert board.confirm(1, done.reps[0]) == []
    assert board.close(done) == ["no hold was seen in it; a adds one, in seconds"]
    assert board.board.sets == ()


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
