"""A superset on the board: the other exercise is told and not counted, a key says whose a set was."""

from __future__ import annotations

from dataclasses import replace
from uuid import uuid4

from board_told import ASKED, Told, bout

from analysis.logbook.entries import Trainee
from analysis.motion.mounts import Mount
from analysis.motion.results import Bout
from analysis.training.prescription import Exercise
from analysis.training.superset import SetKind
from tui.session.messages import Stage
from tui.session.plans import DEMO_TRAINING, Plan, in_turn_with
from tui.widgets.labels import set_words, to_go_words

IN_TURN = replace(ASKED, partner=Exercise("press-up", "press-up", Mount.BODY))
UPRIGHT, LYING = (0.2, 0.0, 0.98), (0.98, 0.0, 0.2)


def pull(number: int, start_s: float) -> Bout:
    return replace(bout(number, start_s), begins_down=False, direction=UPRIGHT)


def press_up(number: int, start_s: float) -> Bout:
    return replace(bout(number, start_s), begins_down=True, direction=LYING)


def told() -> Told:
    one = Told(IN_TURN)
    one.connect()
    return one


def test_the_other_exercise_is_told_and_not_counted_and_the_rest_runs_from_its_end() -> None:
    board = told()
    assert "press-up, then rest 60 s, then set 2" in board.do(pull(0, 10.0))
    lines = board.do(press_up(1, 40.0))
    assert "press-up: seen, not counted" in lines
    assert "rest 60 s, then set 2" in lines
    assert [one.kind for one in board.board.all_sets] == [SetKind.EXERCISE, SetKind.PARTNER]
    shown = board.shown(60.0)
    assert (shown.stage, shown.set_number, shown.count) == (Stage.REST, 2, 3)
    assert shown.rest_left_s == 60.0 - (60.0 - press_up(1, 40.0).end_s)


def test_until_it_is_over_nobody_says_whose_set_it_is() -> None:
    board = told()
    board.do(pull(0, 10.0))
    board.open(40.0)
    shown = board.shown(45.0)
    assert set_words(shown) == "set 2 of 2 or press-up"
    assert to_go_words(shown) == ""


def test_the_session_is_done_by_the_sets_that_count() -> None:
    board = told()
    for number, one in enumerate((pull, press_up, pull)):
        assert board.board.stage is not Stage.DONE
        board.do(one(number, 10.0 + 60.0 * number))
    assert board.board.stage is Stage.DONE
    assert board.board.verdict().summary[0] == "2 of 2 sets met."


def test_seen_whole_a_set_may_turn_out_to_be_the_partners() -> None:
    board = told()
    board.do(pull(0, 10.0))
    unclear = replace(pull(1, 40.0), begins_down=None)
    assert any("may have been the press-up" in line for line in board.do(unclear))
    assert any("press-up: seen, not counted" in line for line in board.refine(replace(unclear, begins_down=True), 1))
    assert len(board.board.sets) == 1


def test_one_key_says_that_it_was_the_other_exercise_and_takes_it_back() -> None:
    board = told()
    board.do(pull(0, 10.0))
    board.do(pull(1, 70.0))
    assert len(board.board.sets) == 2
    record = board.relabel_last()
    assert record is not None
    assert record.kind is SetKind.PARTNER
    assert [one.number for one in board.board.sets] == [1]
    board.refine(pull(1, 70.2), 1)  # a new answer does not undo what a person said
    assert len(board.board.sets) == 1
    board.relabel_last()
    assert len(board.board.sets) == 2


def test_dropping_the_last_set_never_drops_the_one_before_a_partners() -> None:
    board = told()
    board.do(pull(0, 10.0))
    board.do(press_up(1, 40.0))
    assert board.drop_last() is None
    assert len(board.board.sets) == 1


def test_without_a_superset_the_key_does_nothing_and_every_set_counts() -> None:
    board = Told(ASKED)
    board.connect()
    board.do(pull(0, 10.0))
    board.do(press_up(1, 40.0))
    assert board.relabel_last() is None
    assert len(board.board.sets) == 2


def test_the_command_names_the_other_exercise() -> None:
    trainee = Trainee(uuid4(), "Jonas Reiter")
    plan = Plan(trainee=trainee, prescription=ASKED, mount=Mount.BODY, rung=None, training=DEMO_TRAINING)
    assert in_turn_with(None, plan) is plan
    assert in_turn_with("Press up", plan).prescription.partner == Exercise("press-up", "Press up", Mount.BODY)
