"""One station as the coach has it: what it showed last, whether it is there, and what could not be read of it; pure."""

from __future__ import annotations

from dataclasses import dataclass, field
from uuid import UUID

from tui.floor.limits import Allowance
from tui.floor.needs import Look, Need, look_at
from tui.floor.seen import Now, now_of, readable
from tui.session.messages import Stage
from tui.share.checked import RefusedError
from tui.share.envelope import Event, from_bytes
from tui.share.topics import Kind

SILENT_S = 12.0
"""A station tells how it is each 5 s; after two of these without a word it is called silent."""
OLD_S = 12 * 3600.0
"""What the broker kept of a station that went so long ago is of another day."""
OVERTAKEN_S = 1.0
"""A last will may come so long after what the same station tells over its next connection."""
LIVE_A_S, LIVE_BURST = 100.0, 500.0
"""Letters of a station that are read a second, and at once, records aside; it sends twelve."""
RECORDS_A_S, RECORDS_BURST = 1000.0, 2000.0
"""The same of its records, whose pace our own marks set: it never has more than 32 on their way."""
_MOST_SAID = 160


class StrangerError(RefusedError):
    """An event that names another station than its topic does."""


@dataclass(slots=True)
class Station:
    """One station.

    Attributes
    ----------
    name
        As its topic has it: letters, digits and hyphens.
    here
        Whether it says that it is there; False as well where the broker says it in its place.
    source
        UUID of its logbook; None while it is not known.
    now, now_s
        What it showed last, and when that came.
    heard_s
        When anything came from it last.
    is_deaf
        Whether the silence is ours: the broker is away.
    unreadable, refusal
        How many of its letters could not be used, and why the last one could not.
    """

    name: str
    here: bool = False
    source: UUID | None = None
    now: Now | None = None
    now_s: float = 0.0
    heard_s: float | None = None
    is_deaf: bool = False
    unreadable: int = 0
    refusal: str = ""
    _told_utc_us: int = 0
    _told_here_s: float = float("-inf")
    _newest: tuple[bytes, float] | None = None
    _live: Allowance = field(default_factory=lambda: Allowance(LIVE_A_S, LIVE_BURST))
    _records: Allowance = field(default_factory=lambda: Allowance(RECORDS_A_S, RECORDS_BURST))

    @property
    def dropped(self) -> int:
        """How many letters were not read because too many came."""
        return self._live.dropped + self._records.dropped

    def passes(self, kind: Kind, at_s: float) -> bool:
        """Whether one more of this kind is read."""
        allowance = self._records if kind is Kind.RECORD else self._live
        return allowance.passes(at_s)

    def told_here(self, is_here: bool, at_s: float) -> None:
        """Take note of what it says, or the broker in its place, of being there."""
        self.here = is_here
        self.heard_s = self._told_here_s = at_s

    def keep(self, payload: bytes, at_s: float, *, kept: bool) -> None:
        """Keep what it shows now until somebody looks: of several only the newest is read.

        What comes live after the broker said that it went says that it is there: the two may overtake each other.
        """
        self._newest = (payload, at_s)
        self.heard_s = at_s
        self.here |= not kept and at_s - self._told_here_s >= OVERTAKEN_S

    def look(self) -> None:
        """Read what it shows, where something new came."""
        if self._newest is None:
            return
        payload, at_s = self._newest
        self._newest = None
        try:
            event = self.event(payload, Kind.NOW)
        except RefusedError as error:
            self.refuse(error)
        else:
            self.now, self.now_s, self._told_utc_us = now_of(event.data), at_s, event.at_utc_us

    def event(self, payload: bytes, kind: Kind) -> Event:
        """Return an event of this station.

        Raises
        ------
        RefusedError
            When it is none, or says that it is another's.
        """
        event = from_bytes(payload, kind)
        named = event.source.split("/")
        if named[1] != "station" or named[2] != self.name:
            raise StrangerError("it names another station as its source")
        return event

    def refuse(self, error: RefusedError) -> None:
        """Count what could not be used."""
        self.unreadable += 1
        self.refusal = readable(str(error))[:_MOST_SAID]

    def silent_s(self, at_s: float) -> float | None:
        """Return since how many seconds nothing comes from it, where it should; None where something does."""
        if self.is_deaf or not self.here or self.heard_s is None or at_s - self.heard_s < SILENT_S:
            return None
        return at_s - self.heard_s

    def why(self, at_s: float, utc_us: int) -> Look:
        """Return why it needs a look now."""
        if not self.here and utc_us - self._told_utc_us > OLD_S * 1e6:
            return Look(Need.AWAY)
        return look_at(self.now, here=self.here, silent_s=self.silent_s(at_s))

    def rest_left_s(self, at_s: float) -> float | None:
        """Return what is left of the rest now: the clock runs on here."""
        if self.now is None or self.now.rest_left_s is None or self.now.stage is not Stage.REST:
            return None
        return self.now.rest_left_s - (at_s - self.now_s)

    def phase_s(self, at_s: float) -> float:
        """Return for how long the phase lasts now; where the station went silent, as long as when it did."""
        if self.now is None:
            return 0.0
        return self.now.phase_s + max(0.0, min(at_s - self.now_s, SILENT_S))


def source_of(event: Event) -> UUID:
    """Return the UUID of the logbook that an event of a station is from.

    Raises
    ------
    StrangerError
        When it names none.
    """
    try:
        return UUID(event.source.split("/")[3])
    except ValueError as error:
        raise StrangerError("its source is no logbook's UUID") from error
