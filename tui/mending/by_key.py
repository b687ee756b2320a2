"""What a person says of a set by one key while the session goes on: corrections beside what was measured."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from uuid import UUID, uuid4

from analysis.logbook.book import Logbook
from analysis.training.corrections import Act, Because, Correction, standing_corrections
from analysis.training.pointing import Draft
from sensor.source import HostClock
from tui.session.later import Later

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

    def said(self, session_id: UUID, what: Draft, how: str, why: Because) -> None:
        """Keep what was said of a set, in words what that did, and why."""
        made = replace(self._made(session_id, what, how), reason=why)
        self.later.write(lambda: self.logbook.add_correction(made))

    def taken_back(self, session_id: UUID, what: Draft) -> None:
        """Keep that what was said last of that set holds no more: undone, never removed."""
        undoing = self._made(session_id, replace(what, kind=Act.UNDO), "taken back")
        self.later.write(lambda: self._undo(undoing, what.kind))

    def _undo(self, undoing: Correction, act: Act) -> None:
        made = said_by_key(self.logbook.corrections(undoing.session_id))
        there = [one for one in made if one.kind is act and _overlap(one, undoing)]
        if there:
            self.logbook.add_correction(replace(undoing, value=str(there[-1].id)))

    def _made(self, session_id: UUID, what: Draft, how: str) -> Correction:
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
