"""What a session asks of whoever keeps what must not be lost."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Protocol
from uuid import UUID

from analysis.logbook.entries import RunKind
from analysis.motion.events import BoutClosed, BoutRefined, Event
from analysis.training.corrections import Because
from analysis.training.pointing import Draft
from analysis.training.prescription import Prescription
from analysis.training.records import SetRecord
from sensor.clock import ClockEstimate
from sensor.postures import Seen
from sensor.source import Arrival
from tui.session.board import Board
from tui.session.plans import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Handed:
    """What is kept of a session with which another goes on.

    Attributes
    ----------
    plan
        Whose it was, and what was asked.
    session_id, path
        In the log, and its recording; None where neither has begun.
    run
        Under which name its events stand there.
    early
        What came, where nothing is recorded yet.
    """

    plan: Plan
    session_id: UUID | None
    path: Path | None
    run: str
    early: tuple[Arrival, ...] = ()


class Keeper(Protocol):
    """Who keeps what must not be lost. A replay has none."""

    def arrived(self, arrival: Arrival) -> None:
        """Keep raw bytes; called before anything interprets them."""
        ...

    def emitted(self, event: Event) -> None:
        """Keep what the motion core said."""
        ...

    def tick(self) -> None:
        """Make safe what has come."""
        ...

    def setbacks(self) -> tuple[str, ...]:
        """Return what is to be told now of what could not be kept."""
        ...

    def set_found(self, record: SetRecord, kind: RunKind, clock: ClockEstimate) -> None:
        """Keep a set as the live or the refined answer has it."""
        ...

    def said(self, what: Draft, how: str, why: Because) -> None:
        """Keep what was said of a set by key, with what that did in words, and why."""
        ...

    def taken_back(self, what: Draft) -> None:
        """Keep that it does not hold any more."""
        ...

    def asked_anew(self, prescription: Prescription) -> None:
        """Keep what is asked of the sets that are still to begin."""
        ...

    def ended(self, board: Board) -> tuple[str, ...]:
        """Close the session in the log; return what comes next, in words."""
        ...

    def next_lines(self) -> tuple[str, ...]:
        """Work out what comes next from all that is in the log by now; return it in words."""
        ...

    def flush(self) -> Handed:
        """Write what waits for the log, or raise what keeps it from that; return what is kept."""
        ...

    def let_go(self) -> None:
        """Keep nothing more: another goes on with the session, which is not closed."""
        ...

    def relived(self) -> None:
        """Keep the events of a session that is gone on with, those of before among them."""
        ...

    def learnt(self, sensor_id: str, seen: Seen) -> tuple[str, ...]:
        """Keep what the still postures of the session tell of its sensor; return it in words."""
        ...


def keep_found(keeper: Keeper, board: Board, event: BoutClosed | BoutRefined) -> None:
    """Keep the set that a bout stands as, where it is one."""
    record = board.set_of(event.bout)
    if record:
        kind = RunKind.REFINED if isinstance(event, BoutRefined) else RunKind.LIVE
        _keep(keeper, board, record, RunKind.PART if record == board.waiting else kind)


def keep_over(keeper: Keeper, board: Board, waited: SetRecord) -> None:
    """Keep a cluster set whose gap is over."""
    _keep(keeper, board, waited, RunKind.REFINED if board.is_refined(waited) else RunKind.LIVE)


def _keep(keeper: Keeper, board: Board, record: SetRecord, kind: RunKind) -> None:
    """Keep a set as it was found, whatever a person said of it."""
    measured = next(one for one in board.measured if record.bouts[0] in one.bouts)
    keeper.set_found(measured, kind, board.clock)
