"""What the coach said to stations, kept until each says what became of it; pure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from analysis.logbook.people import name_key
from tui.floor.seen import readable

AGAIN_S = 10.0
"""A word without an answer is sent again so often while its station is there."""
MOST_KEPT = 500
"""Answered ones beyond that are forgotten, the oldest first."""
TARGET_HOLDS_S = 12 * 3600.0
"""A target is for the session of its day: one that nobody answered for so long is not sent any more."""
LATE = "late"
_BECAME = {
    "shown": "shown",
    "kept": "kept",
    "conflict": "not taken, both kept",
    "refused": "refused",
    LATE: "not shown, given up",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Word:
    """One word.

    Attributes
    ----------
    station
        Whom it is for.
    data
        As its schema has it (`share/schemas/word.1.json`).
    sent_utc_us, answered_utc_us
        By the coach's clock, µs since 1970-01-01 UTC; None where there is no answer yet.
    state, answer
        What became of it (as the station says, or `LATE`), and what it says about that; empty until then.
    """

    station: str
    data: Mapping[str, Any]
    sent_utc_us: int
    state: str = ""
    answer: str = ""
    answered_utc_us: int | None = None

    @property
    def id(self) -> str:
        """Its UUID."""
        return str(self.data["word"])

    @property
    def what(self) -> str:
        """Return note, target or plan."""
        return str(self.data["what"])

    @property
    def became(self) -> str:
        """Return what became of it in a word or a few."""
        return _BECAME.get(self.state, "sent")


@dataclass(slots=True)
class Words:
    """All words, oldest first.

    Attributes
    ----------
    said
        By id.
    """

    said: dict[str, Word] = field(default_factory=dict)
    _sent_s: dict[str, float] = field(default_factory=dict)

    def say(self, word: Word) -> None:
        """Take one more."""
        self.said[word.id] = word
        answered = [one.id for one in self.said.values() if one.state]
        for old in answered[: max(0, len(self.said) - MOST_KEPT)]:
            del self.said[old]

    def answer(self, station: str, data: Mapping[str, Any], at_utc_us: int) -> bool:
        """Take a station's answer; return whether it says something new about a word that was for it."""
        word = self.said.get(data["word"])
        if word is None or word.station != station or word.state not in ("", LATE):
            return False
        self.said[word.id] = replace(
            word, state=data["state"], answer=readable(data["text"]), answered_utc_us=at_utc_us
        )
        return True

    def give_up(self, utc_us: int) -> bool:
        """Give up the targets whose session is over; return whether there are any."""
        late = [
            one
            for one in self.said.values()
            if one.what == "target" and not one.state and utc_us - one.sent_utc_us >= TARGET_HOLDS_S * 1e6
        ]
        self.said.update((one.id, replace(one, state=LATE, answered_utc_us=utc_us)) for one in late)
        return bool(late)

    def due(self, here: Mapping[str, bool], at_s: float) -> Iterator[Word]:
        """Yield what is to be sent now: never sent since the station came, or not answered for a while."""
        for word in self.said.values():
            sent_s = self._sent_s.get(word.id)
            if not word.state and here.get(word.station) and (sent_s is None or at_s - sent_s >= AGAIN_S):
                yield word

    def sent(self, word: str, at_s: float) -> None:
        """Take note that the broker has it."""
        self._sent_s[word] = at_s

    def forget(self, trainee: str, station: str) -> bool:
        """Forget what was said to somebody, as our logbook calls them, at a station; return whether anything was."""
        names = {name_key(trainee), name_key(trainee.removesuffix(f" ({station})"))}
        theirs = [
            one.id
            for one in self.said.values()
            if one.station == station and name_key(str(one.data["trainee"])) in names
        ]
        for gone in theirs:
            del self.said[gone]
        return bool(theirs)

    def is_sent(self, word: Word) -> bool:
        """Whether a word is on its way, or was answered."""
        return bool(word.state) or word.id in self._sent_s

    def came(self, station: str) -> None:
        """Take note that a station came, or came back: what it did not answer is sent at once."""
        for word in self.said.values():
            if word.station == station:
                self._sent_s.pop(word.id, None)

    def newest(self, station: str) -> Word | None:
        """Return what was said last to a station."""
        return next((one for one in reversed(self.said.values()) if one.station == station), None)
