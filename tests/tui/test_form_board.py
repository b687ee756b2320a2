"""What is judged beside the tempo, on the board: reps short of the reference, the start, and what is not checked."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from uuid import uuid4

import pytest
from board_told import ASKED, Told, bout, rep
from live_gym import Clock
from screen_feed import snapshot

from analysis.motion.mounts import Mount, Place
from analysis.motion.results import Bout
from analysis.training.form import HOLDS_UNJUDGED
from analysis.training.prescription import Prescription, Start
from analysis.training.view import NOTHING, View
from sensor.recording import Recording
from tui.replay.replay import recorded_board
from tui.session.board import Board
from tui.session.messages import Stage
from tui.session.stored import StoredEventError, prescription_to_json, view_from_json, view_to_json
from tui.widgets.plan_panel import advice

SEEN = View(reference_m=0.50)


def told(asked: Prescription = ASKED, view: View = SEEN) -> Told:
    one = Told(asked)
    one.board = Board(trainee="Mara Lindt", prescription=asked, began_s=0.0, view=view)
    one.connect()
    return one


def travelled(*travels_m: float) -> Bout:
    done = bout(0, 10.0, len(travels_m))
    reps = [replace(one, travel_m=travel_m) for one, travel_m in zip(done.reps, travels_m, strict=True)]
    return replace(done, reps=tuple(reps))


def test_a_rep_short_of_the_reference_does_not_count_while_it_is_done() -> None:
    board = told()
    board.open(10.0)
    whole, short, _ = travelled(0.50, 0.30, 0.50).reps
    assert "met" in board.confirm(1, whole)[0]
    assert board.confirm(2, short) == [
        "partial, not counted: 60 % of the reference rep's travel",
        "set done: the last pull did not get to the top",
    ]
    shown = board.shown(21.0)
    assert (shown.count, [hill.counted for hill in shown.hills]) == (1, [True, False])
    lines = board.close(travelled(0.50, 0.30, 0.50))
    assert "set 1: 2 of 3 reps" in lines
    # twice the one sigma of the mean of two, √(.027²/2 + (.85 × .027)²) = 3 cm, above 42.5 cm
    assert "  range 50 ± 3 cm, at least 42, met" in lines
    assert "  2 of 3 reps, 1 partial." in lines


def test_a_withdrawn_short_rep_takes_no_other_with_it() -> None:
    board = told()
    board.open(10.0)
    whole, short, _ = travelled(0.50, 0.30, 0.50).reps
    board.confirm(1, whole)
    board.confirm(2, short)
    board.withdraw(1, short.end_s)
    assert board.shown(21.0).count == 1


def test_how_reps_began_is_told_beside_the_verdict() -> None:
    board = told(replace(ASKED, start=Start.HANG), NOTHING)
    board.open(10.0)
    risen = replace(bout(0, 10.0), reps=tuple(replace(rep(10.0 + 5 * n), shrug_start_s=9.6 + 5 * n) for n in range(3)))
    assert "  start seen as asked in 3 of 3 reps, met" in board.close(risen)


def test_lean_is_told_where_it_is_the_trunks() -> None:
    board = told(view=View(place=Place.CHEST))
    board.open(10.0)
    done = bout(0, 10.0)
    leaning = replace(done, reps=tuple(replace(one, lean_deg=45.0) for one in done.reps))
    assert "  lean 45 ± 9° at the top, up to 20°, missed" in board.close(leaning)


@pytest.mark.parametrize(
    ("mount", "view", "words"),
    [
        (Mount.BODY, NOTHING, "Range is not checked: no reference rep is stored for this rung and set-up."),
        (Mount.SUSPENSION, SEEN, "Range is not checked: this mount shows no travel."),
    ],
)
def test_what_is_not_checked_is_told_once_before_the_first_set(mount: Mount, view: View, words: str) -> None:
    board = told(replace(ASKED, exercise=replace(ASKED.exercise, mount=mount)), view)
    assert [text for text in board.hear(board.board.opening_moments(0.0)) if "not checked" in text] == [words]
    board.open(10.0)
    assert not any("range" in line for line in board.close(travelled(0.5, 0.5, 0.5)))


@pytest.mark.parametrize(("mount", "said"), [(Mount.BODY, 0), (Mount.MOVING_BAR, 1), (Mount.FIXED_BAR, 1)])
def test_that_holds_are_not_judged_from_a_mount_is_told_before_the_first_one(mount: Mount, said: int) -> None:
    asked = replace(ASKED, reps=1, hold_s=10.0, exercise=replace(ASKED.exercise, mount=mount))
    texts = Told(asked).hear(Told(asked).board.opening_moments(0.0))
    assert texts.count(HOLDS_UNJUDGED) == said
    shown = snapshot(Stage.READY, prescription=asked)
    assert [text for text, _ in advice(shown)].count(HOLDS_UNJUDGED) == said
    assert not any("Range" in text for text in texts)


def test_a_replay_judges_by_what_was_known_then(tmp_path: Path) -> None:
    view = View(place=Place.CHEST, reference_m=0.47)
    assert view_from_json(view_to_json(view)) == view
    with pytest.raises(StoredEventError):
        view_from_json("[")
    asked = replace(ASKED, start=Start.HANG)
    meta = {"trainee": "Mara Lindt", "prescription": prescription_to_json(asked), "view": view_to_json(SEEN)}
    for known, counted in ((meta, 2), ({key: meta[key] for key in ("trainee", "prescription")}, 3)):
        path = tmp_path / f"{counted}.sqlite"
        recording = Recording.create(path, session_id=uuid4(), clock=Clock(), meta=known)
        one = Told(asked)
        one.board = recorded_board(recording, 0.0)
        recording.close()
        one.connect()
        one.open(10.0)
        one.close(travelled(0.50, 0.30, 0.50))
        assert one.board.sets[0].verdict.count == counted
