"""What a person says of a set by one key while the session goes on: corrections beside what was measured."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from uuid import UUID, uuid4

from analysis.logbook.book import Logbook
from analysis.training.corrections import Act, Because, Correction, standing_corrections
from analysis.training.pointing import Draft, set_dropped
from analysis.training.records import SetRecord
from sensor.source import HostClock
from tui.later import Later

_BY_KEY = " by key"
"""How the text of a correction ends that a key of the live screen made."""


@dataclass(frozen=True, slots=True)
class ByKey:
    """Writes them, once the logbook can be written to.

    Attributes
    ----------
    who
        The trainee's name.
    """

    logbook: Logbook
    later: Later
    clock: HostClock
    who: str

    def dropped(self, session_id: UUID, record: SetRecord) -> None:
        """Keep that a set does not count."""
        self._write(self._said(session_id, set_dropped(record), "dropped"))

    def relabelled(self, session_id: UUID, record: SetRecord) -> None:
        """Keep whose set it is."""
        whose = Draft(Act.RELABEL, record.start_s, record.end_s, record.kind.value)
        self._write(self._said(session_id, whose, "relabelled"))

    def told(self, session_id: UUID, told: Draft) -> None:
        """Keep that a set was done without the sensor."""
        self._write(self._said(session_id, told, "told"))

    def taken_back(self, session_id: UUID, what: Draft) -> None:
        """Keep that a set that was dropped counts again, or a told one does not: undone, never removed."""
        undoing = self._said(session_id, replace(what, kind=Act.UNDO), "taken back")
        self.later.write(lambda: self._undo(undoing, what.kind))

    def _undo(self, undoing: Correction, act: Act) -> None:
        made = said_by_key(self.logbook.corrections(undoing.session_id))
        there = [one for one in made if one.kind is act and _overlap(one, undoing)]
        if there:
            self.logbook.add_correction(replace(undoing, value=str(there[-1].id)))

    def _write(self, correction: Correction) -> None:
        self.later.write(lambda: self.logbook.add_correction(correction))

    def _said(self, session_id: UUID, what: Draft, how: str) -> Correction:
        return Correction(
            id=uuid4(),
            session_id=session_id,
            start_s=what.start_s,
            end_s=what.end_s,
            kind=what.kind,
            value=what.value,
            reason=Because.OTHER,
            text=f"{how}{_BY_KEY}",
            who=self.who,
            made_utc_us=self.clock.utc_us(),
        )


def said_by_key(made: Sequence[Correction]) -> tuple[Correction, ...]:
    """Return what was said of sets by key in a session and still holds, in order of time."""
    return tuple(one for one in standing_corrections(made) if one.text.endswith(_BY_KEY))


def _overlap(one: Correction, other: Correction) -> bool:
    return one.start_s < other.end_s and other.start_s < one.end_s
