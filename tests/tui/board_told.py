"""A board, events made by hand for it, and what it told."""

from __future__ import annotations

from collections.abc import Iterable

from analysis.motion.events import BoutClosed, BoutOpened, BoutRefined, Event, EventId, RepConfirmed, RepWithdrawn
from analysis.motion.mounts import Mount
from analysis.motion.results import Bout, Rep, TimingSd
from analysis.training.pointing import Draft
from analysis.training.prescription import Exercise, Prescription, Tempo
from analysis.training.records import SetRecord
from sensor.clock import ClockEstimate
from sensor.source import LinkState
from tui.session.board import Board
from tui.session.messages import Link, Moment, Snapshot

ASKED = Prescription(
    exercise=Exercise("bar", "bar pull-up", Mount.BODY),
    sets=2,
    reps=3,
    tempo=Tempo(down_s=2, bottom_s=0, up_s=1, top_s=1),
    rest_s=60,
)
REP_S = 5.0
TRUE_CLOCK = ClockEstimate(ratio=1.0, offset_s=0.0, sd_ppm=50.0, span_s=100.0)


def rep(start_s: float, *, down_s: float = 2.0) -> Rep:
    sd = TimingSd(0.02, 0.02, 0.02, 0.02)
    top_s = start_s + 1.0
    return Rep(
        start_s=start_s, top_s=top_s, down_s=top_s + 1.0, end_s=top_s + 1.0 + down_s, hold_top_s=1.0, timing_sd=sd
    )


def bout(number: int, start_s: float, count: int = 3, *, down_s: float = 2.0) -> Bout:
    reps = tuple(rep(start_s + REP_S * index, down_s=down_s) for index in range(count))
    return Bout(number=number, start_s=start_s, end_s=reps[-1].end_s if reps else start_s + 1.0, reps=reps)


class Told:
    """A board and what it told so far."""

    def __init__(self, asked: Prescription = ASKED) -> None:
        self.board = Board(trainee="Mara Lindt", prescription=asked, began_s=0.0, cautions=("Pain stops the set.",))
        self.moments: list[Moment] = []

    def fold(self, event: Event, clock: ClockEstimate = TRUE_CLOCK) -> list[str]:
        return self.hear(self.board.on_event(event, clock, event.emitted_s))

    def hear(self, moments: Iterable[Moment]) -> list[str]:
        new = list(moments)
        self.moments += new
        return [moment.text for moment in new]

    def connect(self, at_s: float = 0.0) -> list[str]:
        return self.hear(self.board.on_link(Link(state=LinkState.CONNECTED, rate_hz=100.0), at_s))

    def open(self, at_s: float) -> list[str]:
        return self.fold(BoutOpened(id=EventId(0, 0), at_s=at_s, emitted_s=at_s))

    def close(self, done: Bout, clock: ClockEstimate = TRUE_CLOCK) -> list[str]:
        return self.fold(BoutClosed(id=EventId(0, 0), at_s=done.end_s, emitted_s=done.end_s, bout=done), clock)

    def do(self, done: Bout) -> list[str]:
        """Do a whole bout."""
        self.open(done.start_s)
        return self.close(done)

    def refine(self, done: Bout, *supersedes: int) -> list[str]:
        at_s = done.end_s + 1.0
        return self.fold(
            BoutRefined(id=EventId(0, 0), at_s=done.end_s, emitted_s=at_s, bout=done, supersedes=supersedes)
        )

    def confirm(self, count: int, one: Rep) -> list[str]:
        return self.fold(RepConfirmed(id=EventId(0, 0), at_s=one.end_s, emitted_s=one.end_s, count=count, rep=one))

    def withdraw(self, count: int, at_s: float) -> list[str]:
        return self.fold(
            RepWithdrawn(id=EventId(0, 0), at_s=at_s, emitted_s=at_s, count=count, reason="a swing, not a rep")
        )

    def drop_last(self) -> SetRecord | None:
        return self.board.tally.drop_last(self.board.clock)

    def take_back(self) -> Draft | None:
        return self.board.tally.take_back(self.board.clock)

    def relabel_last(self) -> SetRecord | None:
        return self.board.tally.relabel_last(self.board.clock)

    def shown(self, now_s: float) -> Snapshot:
        return self.board.snapshot(now_s)
