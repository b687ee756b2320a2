"""What is sent when, and what is looked up in the log before.

The pattern (go back to the receiver's cumulative mark) is that of RFC 9293, 3.8.1; the figures are the sender's own.
"""

import pytest

from tui.share.sender import (
    AGAIN_S,
    BURST,
    MOST_COACHES,
    PATIENCE,
    RATE_PER_S,
    WINDOW,
    Connected,
    Grown,
    Heard,
    Lost,
    Prove,
    Proved,
    Renewed,
    Sender,
    Sent,
    Wait,
)

EPOCH = "e-1"


def sender(last: int = 0, *marks: Heard) -> Sender:
    """A sender that was told these marks, each of which the log bears out."""
    made = Sender(EPOCH, last)
    made.take(Connected(), 0.0)
    for mark in marks:
        made.take(mark, 0.0)
        made.take(Proved(mark.through, mark.noted_utc_us), 0.0)
    return made


def sent(by: Sender, now_s: float) -> list[int]:
    """Send all that is wanted at a moment; the log bears out what the coaches say."""
    found: list[int] = []
    while not isinstance(want := by.wants(now_s), Wait):
        if isinstance(want, Prove):
            by.take(Proved(want.sequence, want.noted_utc_us), now_s)
            continue
        for sequence in range(want.after + 1, want.after + 1 + want.most):
            by.take(Sent(sequence), now_s)
            found.append(sequence)
    return found


def test_nothing_is_sent_to_nobody() -> None:
    assert isinstance(sender(17).wants(0.0), Wait)
    assert sent(sender(17, Heard("a", EPOCH, 17)), 0.0) == []


def test_what_comes_after_the_mark_is_sent_as_far_as_the_window_goes() -> None:
    by = sender(100, Heard("a", EPOCH, 10))
    assert sent(by, 0.0) == list(range(11, 11 + WINDOW))
    by.take(Heard("a", EPOCH, 20), 0.1)
    assert sent(by, 0.1) == list(range(11 + WINDOW, 21 + WINDOW))


def test_it_is_sent_again_after_five_seconds_without_progress() -> None:
    by = sender(3, Heard("a", EPOCH, 0))
    assert sent(by, 0.0) == [1, 2, 3]
    assert by.wants(1.0) == Wait(AGAIN_S)
    by.take(Heard("a", EPOCH, 1), 4.0)
    assert sent(by, AGAIN_S) == []
    assert sent(by, 4.0 + AGAIN_S) == [2, 3]


def test_a_coach_that_never_answers_is_let_be_until_it_says_something() -> None:
    by = sender(2, Heard("a", EPOCH, 0))
    times = sum(bool(sent(by, AGAIN_S * step)) for step in range(60))
    assert times == PATIENCE
    assert by.is_quiet
    by.take(Heard("a", EPOCH, 0), 1000.0)
    assert sent(by, 1000.0) == [1, 2]


def test_after_a_reconnect_what_is_unanswered_is_sent_at_once() -> None:
    by = sender(3, Heard("a", EPOCH, 1))
    assert sent(by, 0.0) == [2, 3]
    by.take(Lost(), 1.0)
    assert by.wants(100.0) == Wait(float("inf"))
    by.take(Connected(), 100.0)
    assert sent(by, 100.0) == [2, 3]


def test_a_coach_may_ask_from_further_back() -> None:
    by = sender(5, Heard("a", EPOCH, 5))
    by.take(Heard("a", EPOCH, 2), 1.0)
    assert sent(by, 1.0) == [3, 4, 5]
    by.take(Heard("a", EPOCH, 2), 1.5)  # says so once more before it can have come
    assert sent(by, 1.5) == []
    by.take(Heard("a", EPOCH, 2), 3.5)
    assert sent(by, 3.5) == [3, 4, 5]


def test_of_another_epoch_a_coach_begins_at_the_first() -> None:
    assert sent(sender(2, Heard("a", "e-0", 2)), 0.0) == [1, 2]
    assert sent(sender(2, Heard("a", "", 0)), 0.0) == [1, 2]


@pytest.mark.parametrize("last", [5, 12])
def test_a_mark_that_the_log_does_not_bear_out_makes_a_new_epoch(last: int) -> None:
    by = sender(last)
    by.take(Heard("a", EPOCH, 9, 77), 0.0)
    assert by.wants(0.0) == Prove(9, 77)
    by.take(Renewed("e-2", last), 0.0)
    assert sent(by, 0.0) == list(range(1, last + 1))


def test_a_mark_beyond_the_end_holds_where_the_log_has_only_grown() -> None:
    by = sender(5, Heard("a", EPOCH, 5, 50))
    by.take(Heard("a", EPOCH, 9, 90), 0.0)  # somebody else told it of the same log
    assert by.wants(0.0) == Prove(9, 90)
    by.take(Grown(12), 0.0)
    by.take(Proved(5, 50), 0.0)
    assert by.wants(0.0) == Prove(9, 90)
    by.take(Proved(9, 90), 0.0)
    assert sent(by, 0.0) == [10, 11, 12]


def test_a_mark_is_looked_up_once() -> None:
    by = sender(9, Heard("a", EPOCH, 5, 50))
    by.take(Heard("a", EPOCH, 6, 60), 0.0)
    assert sent(by, 0.0) == [7, 8, 9]


def test_a_coach_that_begins_does_not_hold_up_another() -> None:
    by = sender(1000, Heard("a", EPOCH, 1000), Heard("b", EPOCH, 0))
    sent(by, 0.0)
    by.take(Grown(1001), 0.5)
    assert 1001 in sent(by, 0.5)


def test_a_change_is_sent_once_to_coaches_that_are_alike() -> None:
    by = sender(3, Heard("a", EPOCH, 0), Heard("b", EPOCH, 0))
    assert sent(by, 0.0) == [1, 2, 3]


def test_in_the_long_run_it_keeps_to_its_rate() -> None:
    by, count, now_s = sender(10_000, Heard("a", EPOCH, 0)), 0, 0.0
    while now_s < 20.0:
        found = sent(by, now_s)
        count += len(found)
        if found:
            by.take(Heard("a", EPOCH, found[-1]), now_s)
        now_s += 0.01
    assert BURST + 19 * RATE_PER_S <= count <= BURST + 20 * RATE_PER_S + 1


def test_names_of_coaches_fill_no_memory() -> None:
    by = sender(1)
    for number in range(1000):
        by.take(Heard(f"c-{number}", EPOCH, 0), float(number))
    assert by.heard_of == MOST_COACHES


@pytest.mark.parametrize("through", [0, 3])
def test_what_is_unsent_can_be_told(through: int) -> None:
    assert sender(7, Heard("a", EPOCH, through)).through == through
