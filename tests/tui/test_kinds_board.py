"""Cluster sets, warm-up sets and tests on the board, through the same events as straight sets."""

from __future__ import annotations

from dataclasses import replace
from uuid import uuid4

import pytest
from board_told import ASKED, TRUE_CLOCK, Told, bout, rep
from live_gym import Kept, Lookout

from analysis.logbook.entries import RunKind, Trainee
from analysis.motion.events import BoutClosed, BoutOpened, BoutRefined, Event, EventId
from analysis.motion.mounts import Mount
from analysis.motion.results import Bout
from analysis.motion.touch import Felt
from analysis.training.prescription import Prescription
from analysis.training.records import SetRecord
from analysis.training.superset import SetKind
from sensor.postures import Postures
from sensor.source import Arrival, Channel, LinkState
from tui.session.board import Board
from tui.session.messages import Link, Stage
from tui.session.plans import DEMO_TRAINING, Plan, as_test, in_turn_with
from tui.session.session import Session
from tui.widgets.labels import rest_progress, rest_word, set_words, to_go_words
from tui.words import format as words
from tui.words.set_news import dropped_line

CLUSTER = replace(ASKED, reps=6, gap_s=20.0, rest_s=100.0)


def told(asked: Prescription = CLUSTER) -> Told:
    one = Told(asked)
    one.connect()
    return one


def test_a_gap_does_not_end_a_cluster_set() -> None:
    board = told()
    first = bout(0, 10.0)
    assert board.do(first) == ["set 1: 3 of 6 reps so far", "gap 20 s, then go on"]
    shown = board.shown(first.end_s + 5)
    assert (shown.stage, shown.set_number, shown.rest_left_s, shown.closed) == (Stage.REST, 1, 15.0, ())
    assert (set_words(shown), rest_word(shown.rest_left_s, gap=True)) == ("set 1 of 2, gap", "GAP")
    band = rest_progress(shown)
    assert band is not None
    assert band.words == "seconds left of 20"
    second = bout(1, first.end_s + 22)
    assert board.open(second.start_s) == ["set 1 goes on: hands on"]
    board.confirm(1, rep(second.start_s))
    shown = board.shown(second.start_s + 6)
    assert (shown.stage, shown.set_number, shown.count, len(shown.hills)) == (Stage.SET, 1, 4, 4)
    assert to_go_words(shown) == "2 TO GO"
    lines = board.close(second)
    assert lines[:2] == ["set 1: 6 of 6 reps", "  number of reps met"]
    assert lines[-1] == "rest 100 s, then set 2"
    shown = board.shown(second.end_s + 10)
    assert (shown.set_number, shown.rest_left_s, shown.gap_s, len(shown.closed)) == (2, 90.0, None, 1)


def test_a_cluster_set_is_over_when_its_gap_is() -> None:
    board = told()
    first = bout(0, 10.0)
    board.do(first)
    assert board.hear(board.board.tick(first.end_s + 12)) == ["8 s of gap left"]
    assert board.hear(board.board.tick(first.end_s + 21)) == ["gap over: set 1 goes on"]
    assert board.hear(board.board.tick(first.end_s + 29)) == []
    lines = board.hear(board.board.tick(first.end_s + 31))
    assert lines[0] == "set 1: 3 of 6 reps"
    assert lines[-1] == "rest 100 s, then set 2"
    assert board.shown(first.end_s + 31).rest_left_s == 69.0
    assert board.hear(board.board.tick(first.end_s + 92)) == ["8 s of rest left"]
    assert board.open(first.end_s + 100) == ["set 2: hands on"]


def test_the_last_cluster_set_is_not_the_end_before_it_is_over() -> None:
    board = told(replace(CLUSTER, sets=1))
    first = bout(0, 10.0)
    board.do(first)
    assert board.board.stage is Stage.REST
    board.do(bout(1, first.end_s + 20))
    assert board.board.stage is Stage.DONE
    assert board.board.verdict().summary[0] == "1 of 1 sets met."


def test_a_try_within_the_gap_leaves_the_set_waiting() -> None:
    board = told()
    first = bout(0, 10.0)
    board.do(first)
    board.do(bout(1, first.end_s + 10, 0))
    assert board.board.waiting is not None
    board.do(bout(2, first.end_s + 20))
    assert [one.bouts for one in board.board.sets] == [(0, 2)]


def test_seen_whole_a_part_may_complete_the_set() -> None:
    board = told(replace(CLUSTER, reps=4))
    first = bout(0, 10.0)
    board.do(first)
    lines = board.refine(bout(0, 10.0, 4), 0)
    assert "set 1, seen whole: 4 of 4 reps" in lines
    assert board.board.waiting is None


def test_what_waits_at_the_end_is_told() -> None:
    board = told()
    board.do(bout(0, 10.0))
    board.board.ended = True
    assert "set 1: 3 of 6 reps" in board.hear(board.board.closing_moments(60.0))


def test_the_first_sets_are_warm_ups() -> None:
    board = told(replace(ASKED, warm_ups=1))
    assert set_words(board.shown(1.0)) == "warm-up 1 of 1"
    board.open(10.0)
    hasty = rep(10.0, down_s=0.4)
    assert all("missed" not in line for line in board.confirm(1, hasty))
    shown = board.shown(14.0)
    assert (set_words(shown), to_go_words(shown), shown.cue) == ("warm-up 1 of 1", "", "")
    assert board.close(bout(0, 10.0)) == ["warm-up 1: 3 reps, not judged", "then set 1"]
    shown = board.shown(40.0)
    assert (shown.stage, shown.set_number, set_words(shown)) == (Stage.READY, 1, "set 1 of 2")
    board.do(bout(1, 60.0))
    board.do(bout(2, 140.0))
    assert board.board.stage is Stage.DONE
    assert board.board.verdict().outcome == "met"
    assert [one.kind for one in board.board.all_sets] == [SetKind.WARM_UP, SetKind.EXERCISE, SetKind.EXERCISE]


def test_a_warm_up_may_be_left_out() -> None:
    board = told(replace(ASKED, warm_ups=1))
    board.do(bout(0, 10.0))
    record = board.drop_last()
    assert record is not None
    assert dropped_line(record) == "warm-up 1 is not counted; what was measured stays"
    assert board.open(60.0) == ["warm-up 1: hands on"]


def test_a_test_asks_for_no_number() -> None:
    asked = replace(ASKED, sets=1, reps=0)
    board = told(asked)
    assert words.asked(asked) == "1 × as many clean reps as possible"
    board.open(10.0)
    board.confirm(1, rep(10.0))
    assert to_go_words(board.shown(16.0)) == ""
    made = bout(0, 10.0, 4)
    hasty = replace(made, reps=(*made.reps[:3], rep(25.0, down_s=0.4)))
    assert board.close(hasty)[0] == "set 1: 3 clean of 4 reps"
    assert board.board.stage is Stage.DONE


def test_the_command_asks_for_a_test_outside_the_ladder() -> None:
    trainee = Trainee(uuid4(), "Jonas Reiter")
    plan = Plan(
        trainee=trainee, prescription=CLUSTER, mount=Mount.BODY, rung="pull-up", training=DEMO_TRAINING, reference_m=0.5
    )
    assert as_test(False, plan) is plan
    tested = as_test(True, plan)
    assert (tested.rung, tested.view.reference_m) == (None, 0.5)
    assert tested.prescription.is_test
    assert (tested.prescription.sets, tested.prescription.gap_s) == (1, None)
    assert in_turn_with("press-up", tested) is tested
    assert in_turn_with("press-up", plan).prescription.partner is not None


@pytest.mark.parametrize(
    ("changes", "text"),
    [
        ({"load_kg": 7.5}, "7.5 kg added"),
        ({"load_kg": -20.0}, "20 kg help"),
        ({"half_pause_s": 1.0}, "one and a half, 1 s half-way"),
        ({"gap_s": 20.0}, "20 s gaps within a set"),
        ({"warm_ups": 2}, "2 warm-up sets first"),
        ({"two_sided": ("down", "top")}, "lowering and top hold no longer either"),
    ],
)
def test_what_is_asked_is_shown(changes: dict[str, object], text: str) -> None:
    assert text in words.prescription_line(replace(ASKED, **changes))  # type: ignore[arg-type]


class Stands:
    """A host clock that stands, and a sensor's clock that agrees with it."""

    at_s = 0.0

    def now_s(self) -> float:
        return self.at_s

    def utc_us(self) -> int:
        return 0

    async def sleep(self, duration_s: float) -> None:
        raise NotImplementedError


class ByHand:
    """A track whose events are made by hand."""

    link = Link(state=LinkState.CONNECTED, sensor="clip", rate_hz=100.0)
    clock = TRUE_CLOCK
    seen = Postures().seen()
    felt = Felt()

    def __init__(self) -> None:
        self.next: list[Event] = []

    def push(self, arrival: Arrival) -> list[Event]:
        events, self.next = self.next, []
        return events

    def finish(self) -> list[Event]:
        return []


class Sets(Kept):
    """A keeper that remembers the sets it was given."""

    found: tuple[tuple[RunKind, tuple[int, ...], int], ...] = ()

    def set_found(self, *kept: object) -> None:
        record, kind, _ = kept
        assert isinstance(record, SetRecord)
        assert isinstance(kind, RunKind)
        self.found += ((kind, record.bouts, record.verdict.count),)


def test_a_cluster_set_is_kept_at_each_gap_and_when_it_is_over() -> None:
    clock, track, keeper = Stands(), ByHand(), Sets("Mara Lindt")
    board = Board(trainee="Mara Lindt", prescription=CLUSTER, began_s=0.0)
    session = Session(track=track, board=board, clock=clock, feed=Lookout(), keeper=keeper)  # type: ignore[arg-type]

    def happen(event: Event) -> None:
        clock.at_s = event.emitted_s
        track.next = [event]
        session.handle(Arrival("clip", clock.at_s, Channel.DATA, b""))

    def do(done: Bout) -> None:
        happen(BoutOpened(id=EventId(0, 0), at_s=done.start_s, emitted_s=done.start_s))
        happen(BoutClosed(id=EventId(0, 0), at_s=done.end_s, emitted_s=done.end_s, bout=done))

    first = bout(0, 10.0)
    do(first)
    assert keeper.found == ((RunKind.PART, (0,), 3),)
    do(bout(1, first.end_s + 20))
    assert keeper.found[1:] == ((RunKind.LIVE, (0, 1), 6),)
    third = bout(2, 200.0)
    do(third)
    at_s = third.end_s + 1
    happen(BoutRefined(id=EventId(0, 0), at_s=third.end_s, emitted_s=at_s, bout=third, supersedes=(2,)))
    assert keeper.found[2:] == ((RunKind.PART, (2,), 3),) * 2
    clock.at_s = third.end_s + 31
    session.tick()
    assert keeper.found[4:] == ((RunKind.REFINED, (2,), 3),)
