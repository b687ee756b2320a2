"""What is sent when; against a channel that loses, doubles and reorders, coaches that restart, a log that was put back.

The pattern (go back to the receiver's cumulative mark) is that of RFC 9293, 3.8.1; the figures are the sender's own.
"""

import random
from dataclasses import dataclass, field

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

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
    Renew,
    Renewed,
    Send,
    Sender,
    Sent,
    Wait,
)

EPOCH = "e-1"


def sender(last: int = 0, *marks: Heard) -> Sender:
    made = Sender(EPOCH, last)
    made.take(Connected(), 0.0)
    for mark in marks:
        made.take(mark, 0.0)
    return made


def sent(by: Sender, now_s: float) -> list[int]:
    """Send all that is wanted at a moment."""
    found: list[int] = []
    while isinstance(want := by.wants(now_s), Send):
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


def test_a_mark_beyond_the_end_asks_for_a_new_epoch() -> None:
    by = sender(5, Heard("a", EPOCH, 9))
    assert by.wants(0.0) == Renew(9)
    by.take(Renewed("e-2", 5), 0.0)
    assert sent(by, 0.0) == [1, 2, 3, 4, 5]


def test_a_mark_beyond_the_end_holds_where_the_log_has_only_grown() -> None:
    by = sender(5, Heard("a", EPOCH, 9))
    by.take(Grown(12), 0.0)
    assert sent(by, 0.0) == [10, 11, 12]


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


@dataclass
class Coach:
    """Takes changes strictly in order, each once, and keeps its mark over a restart."""

    name: str
    epoch: str = ""
    through: int = 0
    got: list[tuple[str, int]] = field(default_factory=list)

    def take(self, epoch: str, sequence: int) -> None:
        if epoch != self.epoch:
            self.epoch, self.through = epoch, 0
        if sequence == self.through + 1:
            self.through = sequence
            self.got.append((epoch, sequence))

    @property
    def mark(self) -> Heard:
        return Heard(self.name, self.epoch, self.through)


class Air:
    """Loses, doubles and reorders; heals once `bad` is over."""

    def __init__(self, draw: random.Random) -> None:
        self.draw, self.bad = draw, True
        self.there: list[tuple[str, int]] = []
        self.back: list[Heard] = []

    def put(self, queue: list, what: object) -> None:
        if not self.bad:
            queue.append(what)
            return
        for _ in range(self.draw.choice((0, 1, 1, 2))):
            queue.insert(self.draw.randint(max(0, len(queue) - 5), len(queue)), what)


class World:
    """A station's log, its sender, coaches and the air between, step by step of a tenth of a second."""

    def __init__(self, seed: int, coaches: int) -> None:
        self.draw = random.Random(seed)
        self.air, self.coaches = Air(self.draw), [Coach(f"c-{number}") for number in range(coaches)]
        self.epoch, self.last, self.now_s, self.sent = EPOCH, 0, 0.0, 0
        self.sender = sender()
        for coach in self.coaches:
            self.air.put(self.air.back, coach.mark)

    def step(self) -> None:
        self.now_s += 0.1
        if self.air.bad:
            self.trouble()
        for epoch, sequence in self.air.there:
            for coach in self.coaches:
                coach.take(epoch, sequence)
                if self.draw.random() < 0.3 or not self.air.bad:
                    self.air.put(self.air.back, coach.mark)
        self.air.there.clear()
        for mark in self.air.back:
            self.sender.take(mark, self.now_s)
        self.air.back.clear()
        self.send()

    def send(self) -> None:
        while not isinstance(want := self.sender.wants(self.now_s), Wait):
            if isinstance(want, Renew):
                self.renew()
            else:
                assert 1 <= want.most <= WINDOW
                for sequence in range(want.after + 1, want.after + 1 + want.most):
                    assert 1 <= sequence <= self.last
                    self.air.put(self.air.there, (self.epoch, sequence))
                    self.sender.take(Sent(sequence), self.now_s)
                    self.sent += 1

    def renew(self) -> None:
        if self.last < self.sender.through:
            self.epoch = f"e-{self.draw.random()}"
            self.sender.take(Renewed(self.epoch, self.last), self.now_s)
        self.sender.take(Grown(self.last), self.now_s)

    def trouble(self) -> None:
        match self.draw.randrange(14):
            case 0 | 1 | 2:
                self.last += self.draw.randint(1, 9)
                self.sender.take(Grown(self.last), self.now_s)
            case 3:
                self.sender.take(Lost(), self.now_s)
            case 4 | 5:
                self.sender.take(Connected(), self.now_s)
            case 6:  # the coach's computer restarts, on an older copy of its logbook
                coach = self.draw.choice(self.coaches)
                coach.through = self.draw.randint(0, coach.through)
                self.air.put(self.air.back, coach.mark)
            case 7:  # the station's program was killed: it knows of no coach
                self.sender = Sender(self.epoch, self.last)
                self.sender.take(Connected(), self.now_s)
                for coach in self.coaches:
                    self.air.put(self.air.back, coach.mark)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 2**32), st.integers(1, 3), st.integers(0, 200))
def test_all_arrive_in_order_and_it_becomes_quiet(seed: int, coaches: int, steps: int) -> None:
    world = World(seed, coaches)
    for _ in range(steps):
        world.step()
    world.air.bad = False
    world.last += 1
    world.sender.take(Grown(world.last), world.now_s)
    world.sender.take(Connected(), world.now_s)
    for coach in world.coaches:  # each says where it is as the station appears
        world.air.put(world.air.back, coach.mark)
    for _ in range(1200):
        world.step()
    assert [coach.through for coach in world.coaches] == [world.last] * coaches
    assert world.sender.is_quiet
    assert all(coach.epoch == world.epoch for coach in world.coaches)
    before = world.sent
    for _ in range(600):
        world.step()
    assert world.sent == before


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 2**32), st.integers(1, 40), st.integers(0, 39))
def test_a_log_that_was_put_back_is_sent_anew(seed: int, last: int, kept: int) -> None:
    world = World(seed, 1)
    world.air.bad = False
    world.air.put(world.air.back, world.coaches[0].mark)
    world.last = last
    world.sender.take(Grown(last), 0.0)
    for _ in range(400):
        world.step()
    world.last = min(kept, last - 1)
    world.sender = Sender(world.epoch, world.last)
    world.sender.take(Connected(), world.now_s)
    world.air.put(world.air.back, world.coaches[0].mark)
    for _ in range(400):
        world.step()
    got = [sequence for epoch, sequence in world.coaches[0].got if epoch == world.epoch]
    assert world.epoch != EPOCH
    assert got == list(range(1, world.last + 1))


@pytest.mark.parametrize("through", [0, 3])
def test_what_is_unsent_can_be_told(through: int) -> None:
    assert sender(7, Heard("a", EPOCH, through)).through == through
