"""All arrive through a channel that loses, doubles and reorders, while computers restart on older copies of a log.

The pattern (go back to the receiver's cumulative mark) is that of RFC 9293, 3.8.1.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field

from hypothesis import given, settings
from hypothesis import strategies as st

from tui.share.sender import WINDOW, Connected, Grown, Heard, Lost, Prove, Proved, Renewed, Sender, Sent, Wait

EPOCH = "e-1"


@dataclass
class Coach:
    """Takes changes strictly in order, each once, and keeps its mark over a restart."""

    name: str
    epoch: str = ""
    got: list[int] = field(default_factory=list)

    def take(self, epoch: str, sequence: int, noted: int, before: int) -> None:
        if epoch != self.epoch:
            self.epoch, self.got = epoch, []
        if (sequence, before) == (len(self.got) + 1, self.mark.noted_utc_us):
            self.got.append(noted)

    @property
    def mark(self) -> Heard:
        return Heard(self.name, self.epoch, len(self.got), self.got[-1] if self.got else 0)


class Air:
    """Loses, doubles and reorders; heals once `bad` is over."""

    def __init__(self, draw: random.Random) -> None:
        self.draw, self.bad = draw, True
        self.there: list[tuple[str, int, int, int]] = []
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
        self.epoch, self.now_s, self.sent = EPOCH, 0.0, 0
        self.log: list[int] = []
        self.written = 0
        self.start()

    @property
    def last(self) -> int:
        return len(self.log)

    def start(self) -> None:
        """The station's program begins: it knows of no coach, and each says where it is."""
        self.sender = Sender(self.epoch, self.last)
        self.sender.take(Connected(), self.now_s)
        for coach in self.coaches:
            self.air.put(self.air.back, coach.mark)

    def write(self, count: int) -> None:
        self.log += range(self.written + 1, self.written + count + 1)
        self.written += count
        self.sender.take(Grown(self.last), self.now_s)

    def step(self) -> None:
        self.now_s += 0.1
        if self.air.bad:
            self.trouble()
        for told in self.air.there:
            for coach in self.coaches:
                coach.take(*told)
                if self.draw.random() < 0.3 or not self.air.bad:
                    self.air.put(self.air.back, coach.mark)
        self.air.there.clear()
        for mark in self.air.back:
            self.sender.take(mark, self.now_s)
        self.air.back.clear()
        self.send()

    def send(self) -> None:
        while not isinstance(want := self.sender.wants(self.now_s), Wait):
            if isinstance(want, Prove):
                self.prove(want)
            else:
                assert 1 <= want.most <= WINDOW
                for sequence in range(want.after + 1, want.after + 1 + want.most):
                    assert 1 <= sequence <= self.last
                    before = self.log[sequence - 2] if sequence > 1 else 0
                    self.air.put(self.air.there, (self.epoch, sequence, self.log[sequence - 1], before))
                    self.sender.take(Sent(sequence), self.now_s)
                    self.sent += 1

    def prove(self, want: Prove) -> None:
        if self.log[want.sequence - 1 : want.sequence] == [want.noted_utc_us]:
            self.sender.take(Proved(want.sequence, want.noted_utc_us), self.now_s)
            return
        self.epoch = f"e-{self.draw.random()}"
        self.sender.take(Renewed(self.epoch, self.last), self.now_s)

    def trouble(self) -> None:
        match self.draw.randrange(14):
            case 0 | 1 | 2:
                self.write(self.draw.randint(1, 9))
            case 3:
                self.sender.take(Lost(), self.now_s)
            case 4 | 5:
                self.sender.take(Connected(), self.now_s)
            case 6:  # the coach's computer restarts, on an older copy of its logbook
                coach = self.draw.choice(self.coaches)
                del coach.got[self.draw.randint(0, len(coach.got)) :]
                self.air.put(self.air.back, coach.mark)
            case 7:  # the station's program was killed
                self.start()
            case 8:  # the station's computer restarts, on an older copy of its logbook that may have gone on
                del self.log[self.draw.randint(0, self.last) :]
                self.write(self.draw.randint(0, 40))
                self.start()


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 2**32), st.integers(1, 3), st.integers(0, 200))
def test_all_arrive_in_order_and_it_becomes_quiet(seed: int, coaches: int, steps: int) -> None:
    world = World(seed, coaches)
    for _ in range(steps):
        world.step()
    world.air.bad = False
    world.write(1)
    world.sender.take(Connected(), world.now_s)
    for coach in world.coaches:  # each says where it is as the station appears
        world.air.put(world.air.back, coach.mark)
    for _ in range(1200):
        world.step()
    assert [coach.got for coach in world.coaches] == [world.log] * coaches
    assert world.sender.is_quiet
    assert all(coach.epoch == world.epoch for coach in world.coaches)
    before = world.sent
    for _ in range(600):
        world.step()
    assert world.sent == before


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 2**32), st.integers(1, 40), st.integers(0, 39), st.integers(0, 60))
def test_a_log_that_was_put_back_is_sent_anew_wherever_it_has_grown_to(
    seed: int, last: int, kept: int, grown: int
) -> None:
    world = World(seed, 1)
    world.air.bad = False
    world.start()
    world.write(last)
    for _ in range(400):
        world.step()
    assert world.coaches[0].got == world.log
    del world.log[min(kept, last - 1) :]
    world.write(grown)
    world.start()
    for _ in range(600):
        world.step()
    assert world.epoch != EPOCH
    world.write(1)
    for _ in range(600):
        world.step()
    assert world.coaches[0].got == world.log
