"""Who needs a look, and in which order the tiles stand; pure.

What a tile is sorted by changes with a set, not with a rep: what was seen in it holds until the next one begins.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import IntEnum

from analysis.training.pain import ACCEPTABLE
from analysis.training.verdict import Outcome
from tui.floor.seen import GOOD_LINKS, Now
from tui.session.messages import Stage
from tui.words.format import clock

CALM_S = 5.0
"""A tile moves back only after it needed less of a look for so long: a link that comes and goes moves nothing."""
_FIGURES = re.compile("([0-9]+)")
HANDS_OFF_S = 1.0
"""Nothing moves so soon after a key."""


class Need(IntEnum):
    """Why somebody needs a look; the first is the most urgent."""

    STOP = 0
    """Pain, or a reason to stop."""
    FAILED = 1
    """An attempt that was not a rep, or a set that was over before its number."""
    LINK = 2
    """Nothing is seen of them: the station or its sensor is out of reach."""
    FORM = 3
    """A rep or a set was not as asked."""
    NONE = 4
    AWAY = 5
    """The station is closed, and nobody is missed."""


@dataclass(frozen=True, slots=True)
class Look:
    """Why a station needs a look, in a class and in words (empty where it does not)."""

    need: Need
    words: str = ""


NOTHING = Look(Need.NONE)
"""Nothing is to be looked at."""


def look_at(now: Now | None, *, here: bool, silent_s: float | None) -> Look:
    """Return why a station needs a look.

    Parameters
    ----------
    here
        Whether it says that it is there.
    silent_s
        Seconds since when nothing comes from it; None while it does.
    """
    if now is None:
        return Look(Need.NONE if here else Need.AWAY)
    if now.stop:
        return Look(Need.STOP, f"stop: {now.stop}")
    if now.pain is not None and now.pain > ACCEPTABLE:
        return Look(Need.STOP, f"pain {now.pain}")
    if not here and now.stage is Stage.DONE:
        return Look(Need.AWAY)
    failed = _failed(now)
    if failed:
        return Look(Need.FAILED, failed)
    lost = _lost(now, here=here, silent_s=silent_s)
    if lost:
        return Look(Need.LINK, lost)
    off = _off(now)
    return Look(Need.FORM, off) if off else NOTHING


def _failed(now: Now) -> str:
    if now.ended:
        return "ended early"
    last = now.closed[-1] if now.closed else None
    if now.stage is not Stage.SET and last and last.asked is not None and last.count < last.asked:
        return f"{last.count} of {last.asked} reps"
    return "failed attempt" if any(not hill.counted for hill in now.hills) else ""


def _lost(now: Now, *, here: bool, silent_s: float | None) -> str:
    if not here:
        return "station gone"
    if silent_s is not None:
        return f"no word for {clock(silent_s)}"
    if now.stage is Stage.DONE or now.link.state in GOOD_LINKS:
        return ""
    is_new = now.stage is Stage.SEARCHING and not now.link.name
    return "" if is_new else f"sensor {now.link.state}"


def _off(now: Now) -> str:
    missed = sum(hill.outcome is Outcome.MISSED for hill in now.hills)
    if missed:
        return now.cue or f"{missed} of {len(now.hills)} reps off"
    last = now.closed[-1] if now.closed else None
    return "set missed" if now.stage is not Stage.SET and last and last.outcome is Outcome.MISSED else ""


def in_figures(name: str) -> tuple[tuple[int, str], ...]:
    """Return what names are sorted by: rack-2 stands before rack-10."""
    return tuple((int(part), "") if part.isdigit() else (-1, part) for part in _FIGURES.split(name) if part)


@dataclass(slots=True)
class Order:
    """In which order the tiles stand: by need, then by name, and nothing moves that need not.

    Attributes
    ----------
    names
        As they stand.
    """

    names: tuple[str, ...] = ()
    _held: dict[str, Need] = field(default_factory=dict)
    _calmer_since_s: dict[str, float] = field(default_factory=dict)

    def settle(self, needs: Mapping[str, Need], at_s: float, key_s: float | None = None) -> Sequence[str]:
        """Return the order now.

        Parameters
        ----------
        needs
            Of every station, by name.
        at_s
            Now, seconds.
        key_s
            When a key was pressed last.
        """
        if key_s is not None and at_s - key_s < HANDS_OFF_S and set(needs) == set(self.names):
            return self.names
        for name, need in needs.items():
            self._held[name] = self._counts(name, need, at_s)
        self.names = tuple(sorted(needs, key=lambda name: (self._held[name], in_figures(name))))
        return self.names

    def _counts(self, name: str, need: Need, at_s: float) -> Need:
        """Return by what a tile is sorted: what is more urgent at once, what is less after a while."""
        held = self._held.get(name, need)
        if need <= held:
            self._calmer_since_s.pop(name, None)
            return need
        since_s = self._calmer_since_s.setdefault(name, at_s)
        if at_s - since_s < CALM_S:
            return held
        del self._calmer_since_s[name]
        return need
