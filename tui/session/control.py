"""What a screen may ask of the session behind it, and what the session may tell a screen; no screen in here.

Snapshots and moments go up through `Feed`, wishes come down through `LiveControl` or `ReplayControl`. The glue
implements the two controls; the screens call them and wait for the next snapshot to show what came of it.
"""

from __future__ import annotations

from collections.abc import Callable, Coroutine
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Any, Protocol

from analysis.motion.mounts import Mount
from tui.questions.interview import AskView
from tui.session.messages import Moment, Snapshot, Stage

if TYPE_CHECKING:
    from tui.mending.going_on import BrokenOff
    from tui.session.plans import Plan


class Feed(Protocol):
    """Where a running session reports. Both calls return at once and may come as often as the session likes."""

    def post_snapshot(self, snapshot: Snapshot) -> None:
        """Show this from the next frame on; of several within one frame only the newest is drawn."""
        ...

    def post_moment(self, moment: Moment) -> None:
        """Something just happened; its text is shown until the next moment."""
        ...


Driver = Callable[[Feed], Coroutine[Any, Any, None]]
"""A session: runs in the screen's own event loop, reports to the feed, returns when it is over."""


class LiveControl(Protocol):
    """Wishes of whoever stands at a live session. None of them may block."""

    def stop(self) -> None:
        """Leave as soon as the log is complete; the driver then returns."""
        ...

    def end_session(self) -> None:
        """No more sets today: close the session and work out the next one."""
        ...

    def switch_trainee(self, name: str) -> None:
        """Give the bar to `name`; only offered before and between sets."""
        ...

    def drop_last_set(self) -> None:
        """Do not count the last set, or the one in progress; what was recorded stays."""
        ...

    def take_back_set(self) -> None:
        """Count the set that was left out last again, or no longer the one that was told last."""
        ...

    def relabel_last_set(self) -> None:
        """Take the last set of a superset for the other exercise's."""
        ...

    def give_session(self, name: str) -> None:
        """Take all of the session so far for somebody else's."""
        ...

    def wear_on(self, mount: Mount) -> None:
        """Read the session again as if the sensor had sat there from the beginning."""
        ...

    def tell_set(self, count: int) -> None:
        """Count a set of so many reps, or a hold of so many seconds, without the sensor, over now."""
        ...


class TurnControl(Protocol):
    """Wishes about whose turn it is on a shared bar. None of them may block; in a set all but the last do nothing."""

    def one_later(self) -> None:
        """Let who is next and the one after them change places."""
        ...

    def skip(self) -> None:
        """Let who is next sit out once."""
        ...

    def call(self, name: str) -> None:
        """Let somebody be next."""
        ...

    def go_home(self, name: str) -> None:
        """Close the session of somebody who goes; the others go on."""
        ...

    def give_last_set(self, name: str) -> None:
        """Take the last set for another's: their session measures it, and it does not count where it was taken for."""
        ...

    def part_set(self) -> None:
        """Take the reps after the long break in a set for those of who came next."""
        ...

    def take_back(self) -> None:
        """Leave the set with whom it was first taken for, after all."""
        ...


class Asked(Protocol):
    """Questions to whoever stands at a live session. None of the calls may block."""

    @property
    def wants_answers(self) -> bool:
        """Whether the session should not be left before the person has looked here."""
        ...

    def look(self) -> AskView | None:
        """Return what to ask or to tell now; None where that is nothing. Read up to twenty times a second."""
        ...

    def press(self, key: str, character: str = "") -> bool:
        """Take one key; return whether it meant something here."""
        ...


class Attended(Protocol):
    """The session that goes on while questions are asked (`tui.training.live.LiveRun`)."""

    @property
    def trainee(self) -> str:
        """Whose it is now."""
        ...

    @property
    def stage(self) -> Stage | None:
        """Where it stands; None before it begins."""
        ...

    @property
    def has_sets(self) -> bool:
        """Whether a set was done that counts."""
        ...

    def renew(self) -> None:
        """Begin anew with what is asked now, unless something was done."""
        ...

    def renew_next(self) -> None:
        """Work out the next session again, where it is worked out already."""
        ...

    def join(self, broken: BrokenOff, plan: Plan) -> None:
        """Let what was done since join a session that was broken off, which is gone on with as planned."""
        ...

    def end_session(self) -> None:
        """No more sets today."""
        ...


class SpanKind(StrEnum):
    """What a stretch of a recording holds."""

    SET = "set"
    REST = "rest"
    GAP = "gap"


@dataclass(frozen=True, slots=True)
class Span:
    """One stretch on the time line of a recording.

    Attributes
    ----------
    start_s, end_s
        Seconds from the start of the recording.
    label
        Short, for example the number of the set; may be empty.
    """

    start_s: float
    end_s: float
    kind: SpanKind
    label: str = ""


@dataclass(frozen=True, slots=True)
class PlayState:
    """Where a replay stands.

    Attributes
    ----------
    position_s, duration_s
        Seconds of the recording.
    speed
        Seconds of the recording a second.
    """

    position_s: float
    duration_s: float
    speed: float = 1.0
    playing: bool = True


class ReplayControl(Protocol):
    """The knobs of a replay. None of the calls may block; the next snapshot shows what came of it."""

    @property
    def spans(self) -> tuple[Span, ...]:
        """Sets, rests and gaps of the recording, in order."""
        ...

    @property
    def state(self) -> PlayState:
        """Where the replay stands now; read up to twenty times a second."""
        ...

    def pause(self) -> None:
        """Hold the picture."""
        ...

    def resume(self) -> None:
        """Go on from here."""
        ...

    def seek(self, position_s: float) -> None:
        """Go to `position_s`, already kept within the recording."""
        ...

    def set_speed(self, speed: float) -> None:
        """Play `speed` seconds of the recording a second."""
        ...


class SoundControl(Protocol):
    """What a session lets be heard. None of the calls may block."""

    @property
    def muted(self) -> bool:
        """Whether nothing is heard."""
        ...

    def open(self, ring: Callable[[], None], tell: Callable[[str], None]) -> None:
        """Be ready to play: `ring` rings the terminal's bell, `tell` takes what there is to say of the sound."""
        ...

    def hear(self, snapshot: Snapshot) -> None:
        """Play what this snapshot calls for."""
        ...

    def mute(self) -> None:
        """Let nothing be heard, or let it be heard again."""
        ...

    def close(self) -> None:
        """Play nothing more."""
        ...
