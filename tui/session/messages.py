"""What the session tells a screen (or the plain text of a headless run): immutable, complete, already computed.

A `Snapshot` holds everything a live screen shows; a screen never asks for more and never computes. A `Moment` is the
thing that just happened, for text output and sound.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from analysis.motion.events import Phase
from analysis.training.prescription import Prescription
from analysis.training.verdict import Outcome, SessionVerdict, SetVerdict
from sensor.source import LinkState
from tui.views.turn_view import TurnsView


class Stage(StrEnum):
    """Where the session stands."""

    SEARCHING = "searching"
    READY = "ready"
    SET = "set"
    REST = "rest"
    DONE = "done"


class Offer(StrEnum):
    """What a key can mend on the spot."""

    DROP = "the last set, or the one in progress, does not count"
    TELL_SET = "a set was done without the sensor"
    MOUNT = "the sensor sits elsewhere"
    NAME = "all of it is somebody else's"


@dataclass(frozen=True, slots=True, kw_only=True)
class Hill:
    """One rep as it is drawn: left flank up, flat top the hold, right flank down, valley the bottom pause.

    Attributes
    ----------
    up_s, top_s, down_s, bottom_s
        Seconds of each phase; None where not measured (drawn frayed).
    height
        0–1 of the set's own highest rep (1 on mounts that show no travel).
    two_summits
        A one-and-a-half rep.
    counted
        False for a partial rep: it stays below the line.
    provisional
        The top was reached, the end not yet.
    outcome
        The rep's verdict, None while it is not known.
    """

    up_s: float | None
    top_s: float | None
    down_s: float | None
    bottom_s: float | None
    height: float = 1.0
    two_summits: bool = False
    counted: bool = True
    provisional: bool = False
    outcome: Outcome | None = None


SHOWN_GAP_S = 0.5
"""Shorter holes are told by nobody: most are filled before anyone could read of them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """The sensor, in words.

    Attributes
    ----------
    loss
        Share of samples lost for good so far, 0–1.
    missing_s
        Seconds of samples that did not come and may still be sent again.
    lost_s, fetched_s
        Seconds of samples that were given up, and that came after all, so far.
    keeps_s
        Seconds that the sensor keeps and sends again when asked; 0 for one that keeps none.
    battery
        Percent; None where unknown.
    """

    state: LinkState
    sensor: str = ""
    battery: int | None = None
    rate_hz: float | None = None
    loss: float = 0.0
    missing_s: float = 0.0
    lost_s: float = 0.0
    fetched_s: float = 0.0
    keeps_s: float = 0.0

    @property
    def is_gone(self) -> bool:
        """Whether a sensor once met is out of reach and looked for."""
        return self.state is LinkState.LOST or (self.state is LinkState.SEARCHING and bool(self.sensor))

    @property
    def is_behind(self) -> bool:
        """Whether what the sensor sees now is not known: no link, or so much is missing that the phase is another's."""
        return self.state is not LinkState.CONNECTED or self.missing_s >= SHOWN_GAP_S


@dataclass(frozen=True, slots=True, kw_only=True)
class SensorCheck:
    """How the sensor does before a set.

    Attributes
    ----------
    trace_m_s2
        How far the force departed from its mean lately, oldest first, m/s²: a touch shows.
    words
        One sentence.
    good
        Whether nothing is to be done about it.
    """

    trace_m_s2: tuple[float, ...]
    words: str
    good: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CoachView:
    """What a coach at a distance says.

    Attributes
    ----------
    large
        To be read from the bar, in capitals; empty where it is too long for that.
    lines
        All of it, a sentence each.
    words
        Which word each of them is, by id.
    """

    large: str = ""
    lines: tuple[str, ...] = ()
    words: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Snapshot:
    """Everything a live screen shows, at one moment.

    Attributes
    ----------
    set_number
        1-based number of the set in progress, or of the next one in READY and REST.
    count
        Confirmed reps of the set in progress (in REST and DONE: of the last set).
    provisional
        A further rep has reached its top.
    phase_s, phase_target_s
        Seconds in the present phase, and prescribed for it (None: no target).
    held_s
        Length of the last hold that was asked for, from when it is over until it is told as a set; 0 otherwise.
    then
        What is asked for once the time of the present phase is over; AWAY where nothing is.
    rest_left_s
        Seconds until the next set, negative when overdue; None outside REST.
    cue
        At most one short word of what is off; empty when nothing is.
    ended
        The set in progress is over with fewer reps than were asked for: nothing more should come.
    hills
        Reps of the set in progress (in REST and DONE: of the last set).
    target
        The prescribed rep as a hill.
    closed
        Verdicts of the sets done.
    partner_due
        Name of the superset's other exercise, where it is its turn: the next set may be that one's.
    cautions
        Shown before the first set; what must hold before anybody hangs comes first.
    offers
        What a key can mend now.
    undo
        What a key would take back now of what was mended, in words; empty where there is nothing.
    warm_up
        Number of the warm-up set in progress or to come; 0 where it is a set that counts.
    gap_s
        Seconds of the planned gap, while a cluster set waits to go on; None otherwise. `rest_left_s` is the gap's then.
    check
        How the sensor does, while one is connected and nobody is in a set; None otherwise.
    turns
        Everybody on a shared bar; None where one trains alone.
    read_again
        How much of what was recorded is read again by now, 0 to 1, while it is; until then of what is done now nothing
        is known. None otherwise.
    coach
        What a coach at a distance says; None where that is nothing.
    link_to_coach
        What is amiss with the way to the coach, short; empty where nothing is, or there is none.
    next_text
        In DONE: the next session and its reasons, line by line.
    """

    trainee: str
    stage: Stage
    prescription: Prescription
    link: Link
    set_number: int
    count: int = 0
    provisional: bool = False
    phase: Phase = Phase.AWAY
    phase_s: float = 0.0
    phase_target_s: float | None = None
    held_s: float = 0.0
    then: Phase = Phase.AWAY
    rest_left_s: float | None = None
    cue: str = ""
    ended: bool = False
    hills: tuple[Hill, ...] = ()
    target: Hill
    closed: tuple[SetVerdict, ...] = ()
    session_verdict: SessionVerdict | None = None
    next_text: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    elapsed_s: float = 0.0
    partner_due: str = ""
    offers: frozenset[Offer] = frozenset()
    undo: str = ""
    warm_up: int = 0
    gap_s: float | None = None
    check: SensorCheck | None = None
    turns: TurnsView | None = None
    read_again: float | None = None
    coach: CoachView | None = None
    link_to_coach: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """Something that just happened, as one line of text.

    Attributes
    ----------
    at_s
        Session seconds.
    kind
        "link", "caution", "set", "rep", "rest", "verdict", "closing", "note".
    """

    at_s: float
    kind: str
    text: str
