"""What a session asks of whoever keeps what must not be lost."""

from __future__ import annotations

from typing import Protocol

from analysis.logbook.entries import RunKind
from analysis.motion.events import Event
from analysis.training.pointing import Draft
from analysis.training.records import SetRecord
from sensor.clock import ClockEstimate
from sensor.postures import Seen
from sensor.source import Arrival
from tui.board import Board


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

    def set_dropped(self, record: SetRecord) -> None:
        """Keep that a set does not count."""
        ...

    def set_told(self, told: Draft) -> None:
        """Keep that a set was done without the sensor."""
        ...

    def set_taken_back(self, what: Draft) -> None:
        """Keep that a set that was left out counts again, or that one that was told does not."""
        ...

    def set_relabelled(self, record: SetRecord) -> None:
        """Keep whose set it is, as a person said."""
        ...

    def ended(self, board: Board) -> tuple[str, ...]:
        """Close the session in the log; return what comes next, in words."""
        ...

    def next_lines(self) -> tuple[str, ...]:
        """Work out what comes next from all that is in the log by now; return it in words."""
        ...

    def relived(self) -> None:
        """Keep the events of a session that is gone on with, those of before among them."""
        ...

    def learnt(self, sensor_id: str, seen: Seen) -> tuple[str, ...]:
        """Keep what the still postures of the session tell of its sensor; return it in words."""
        ...
