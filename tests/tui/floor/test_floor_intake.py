"""Records come into their order, each once, through a channel that loses, doubles and reorders as QoS 1 may."""

from __future__ import annotations

from dataclasses import dataclass

from hypothesis import given
from hypothesis import strategies as st

from tui.floor.intake import AGAIN_S, AHEAD, BATCH, Intake


@dataclass(frozen=True)
class One:
    sequence: int


def begun(epoch: str = "a", through: int = 0) -> Intake[One]:
    intake: Intake[One] = Intake()
    intake.begin(epoch, through, 0)
    return intake


def apply(intake: Intake[One], log: list[tuple[str, int]], at_s: float = 0.0) -> None:
    epoch, batch = intake.ready(at_s)
    if batch:
        log += [(epoch, one.sequence) for one in batch]
        intake.applied(epoch, batch[-1].sequence, 0, 0, at_s)


@given(st.permutations(range(1, 13)), st.lists(st.integers(1, 12), max_size=12), st.sets(st.integers(1, 12)))
def test_all_come_once_and_in_order(order: list[int], doubled: list[int], lost: set[int]) -> None:
    intake = begun()
    log: list[tuple[str, int]] = []
    intake.present("a", 12)
    for number in [one for one in order if one not in lost] + doubled:
        intake.take("a", One(number))
        apply(intake, log)
        assert [one for _, one in log] == list(range(1, len(log) + 1))
        intake.told(0.0)
    if len(log) < 12:
        assert not intake.is_due(1.0)
        assert intake.is_due(AGAIN_S)  # the hole is told as long as it lasts
    for number in range(len(log) + 1, 13):
        intake.take("a", One(number))
    apply(intake, log, 5.0)
    assert log == [("a", number) for number in range(1, 13)]
    assert intake.behind == 0


def test_a_hole_is_told_at_once_and_then_again() -> None:
    intake = begun(through=3)
    intake.present("a", 3)
    assert intake.is_due(0.0)
    intake.told(0.0)
    assert not intake.is_due(10.0)  # nothing is missing: nothing is told
    intake.take("a", One(5))
    assert intake.is_due(10.0)
    intake.told(10.0)
    assert not intake.is_due(10.0 + AGAIN_S - 0.01)
    assert intake.is_due(10.0 + AGAIN_S)


def test_what_is_known_is_answered_by_the_mark() -> None:
    intake = begun(through=9)
    intake.told(0.0)
    intake.take("a", One(4))
    assert intake.is_due(0.1)
    assert not intake.ready(0.1)[1]


def test_nothing_is_told_or_applied_before_our_mark_is_known() -> None:
    intake: Intake[One] = Intake()
    intake.present("a", 4)
    intake.take("a", One(1))
    assert not intake.is_due(0.0)
    assert not intake.ready(0.0)[1]
    intake.begin("a", 2, 0)
    assert not intake.ready(0.0)[1]  # 1 is known
    intake.take("a", One(3))
    assert [one.sequence for one in intake.ready(0.0)[1]] == [3]


def test_another_epoch_begins_at_one_and_the_old_one_is_over() -> None:
    intake = begun(through=7)
    log: list[tuple[str, int]] = []
    intake.take("a", One(8))
    intake.present("b", 2)
    for epoch, number in (("a", 8), ("b", 2), ("b", 1), ("a", 9)):
        intake.take(epoch, One(number))
    apply(intake, log)
    assert log == [("b", 1), ("b", 2)]
    assert (intake.epoch, intake.through) == ("b", 2)


def test_a_logbook_that_does_not_move_is_not_hurried() -> None:
    intake = begun()
    intake.take("a", One(1))
    intake.applied("a", 0, 0, 0, 5.0)
    assert not intake.ready(5.1)[1]
    assert intake.ready(5.0 + AGAIN_S)[1]


def test_what_waits_is_bounded() -> None:
    intake = begun()
    intake.present("a", 0)
    for number in (AHEAD, AHEAD + 1, 10**15):
        intake.take("a", One(number))
    assert intake.behind == AHEAD
    for number in range(1, AHEAD):
        intake.take("a", One(number))
    assert len(intake.ready(0.0)[1]) == BATCH
