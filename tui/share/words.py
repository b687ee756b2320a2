"""A coach's notes and targets at a station: what waits, what is shown to whom, what is answered; pure.

came ─► waits ──(of a target: what is asked was changed)──► shown in the rest ──drawn──► answered, once
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from analysis.logbook.people import name_key
from analysis.training.prescription import Changed, Prescription
from tui.session.messages import CoachView, Snapshot, Stage
from tui.share.tempo import TempoError, tempo_of
from tui.words.changed import changed_words

MOST_WAITING = 50
"""More words than that are not taken; the coach sends them again."""
SHORT = 44
"""A note of so many letters is shown large."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What became of a word (schema `shown.1.json`)."""

    word: str
    state: str
    text: str = ""


@dataclass(frozen=True, slots=True)
class Word:
    """One word that waits.

    Attributes
    ----------
    trainee
        Whom it is for; empty: whoever trains.
    changed
        What changes of what is asked; None for a note.
    taken
        Whether it was changed.
    drawn
        Whether it was on the screen.
    is_answered
        Whether the coach has an answer already: nothing more is told when it is shown.
    data
        As it came (schema `word.1.json`); empty for what no coach sent.
    """

    id: str
    trainee: str
    text: str
    changed: Changed | None = None
    taken: bool = False
    drawn: bool = False
    is_answered: bool = False
    data: Mapping[str, Any] = field(default_factory=dict)

    def is_for(self, name: str) -> bool:
        """Whether somebody is meant."""
        return not self.trainee or name_key(self.trainee) == name_key(name)

    @property
    def large(self) -> str:
        """What of it is shown large; empty where it is too long."""
        if self.changed is None:
            return self.text.upper() if len(self.text) <= SHORT else ""
        tempo, rest_s = self.changed.tempo, self.changed.rest_s
        parts = (
            self.changed.reps and f"{self.changed.reps} REPS",
            tempo and f"TEMPO {tempo.digits}",
            None if rest_s is None else f"REST {rest_s:g}",
        )
        return " - ".join(part for part in parts if part)

    @property
    def line(self) -> str:
        """All of it in words."""
        if self.changed is None:
            return f"Coach: {self.text}"
        said = f" {self.text}" if self.text else ""
        return f"Coach: from the next set on {changed_words(self.changed)}.{said}"


class Words:
    """The notes and targets of a station."""

    def __init__(self) -> None:
        self._answered: dict[str, Answer] = {}
        self._waiting: dict[str, Word] = {}
        self._held: dict[str, Word] = {}
        """Targets that were shown, as long as the session that they are for."""

    def know(self, answered: Iterable[Answer], targets: Iterable[Mapping[str, Any]] = ()) -> None:
        """Take what was answered before this run: no word is shown twice, but for targets that hold still."""
        self._answered.update((one.word, one) for one in answered)
        for data in targets:
            self._waiting[data["word"]] = self._held[data["word"]] = _word(data)

    def take(self, data: Mapping[str, Any]) -> Answer | None:
        """Take a word of these kinds; return the answer where that is known at once."""
        known = self._answered.get(data["word"])
        if known or data["word"] in self._waiting or len(self._waiting) >= MOST_WAITING:
            return known
        try:
            self._waiting[data["word"]] = _word(data)
        except TempoError as error:
            return self.answer(data["word"], "refused", str(error))
        return None

    def known(self, word: str) -> Answer | None:
        """Return what was answered to a word; None where nothing was."""
        return self._answered.get(word)

    def answer(self, word: str, state: str, text: str = "") -> Answer:
        """Answer a word, for good."""
        self._waiting.pop(word, None)
        self._held.pop(word, None)
        self._answered[word] = Answer(word, state, text)
        return self._answered[word]

    def tell(self, word: str, trainee: str, text: str) -> None:
        """Show somebody what became of a word that was answered already; it takes the place of what was told before."""
        told = Word(word, readable(trainee), text, is_answered=True)
        for old in [one.id for one in self._waiting.values() if one.is_answered and one.is_for(told.trainee)]:
            del self._waiting[old]
        if len(self._waiting) < MOST_WAITING:
            self._waiting[word] = told

    def targets(self, name: str) -> Iterator[Changed]:
        """Yield what is to be changed of what is asked of somebody, the oldest first."""
        for one in (self._held | self._waiting).values():
            if one.changed and one.is_for(name):
                yield one.changed

    def took(self, word: str) -> None:
        """Take note that what is asked was changed as a word has it."""
        if word in self._waiting:
            self._waiting[word] = replace(self._waiting[word], taken=True)

    @property
    def held(self) -> tuple[Mapping[str, Any], ...]:
        """The targets that were shown and hold still, as they came."""
        return tuple(one.data for one in self._held.values())

    def over(self, name: str) -> None:
        """Take note that somebody's session is over, and with it what was asked of it."""
        for one in [one for one in self._held.values() if one.is_for(name)]:
            del self._held[one.id]
            self._waiting.pop(one.id, None)

    def view(self, shown: Snapshot) -> CoachView | None:
        """Return what to show beside a snapshot; None where that is nothing. A set takes away what was drawn."""
        if shown.stage is Stage.SET:
            for one in [one for one in self._waiting.values() if one.drawn and one.is_for(shown.trainee)]:
                del self._waiting[one.id]
            return None
        mine = [
            one for one in self._waiting.values() if one.is_for(shown.trainee) and (one.changed is None or one.taken)
        ]
        if not mine:
            return None
        large = next((one.large for one in reversed(mine) if one.large), "")
        return CoachView(large=large, lines=tuple(one.line for one in mine), words=tuple(one.id for one in mine))

    def drawn(self, words: Iterable[str]) -> tuple[Answer, ...]:
        """Take note that words are on the screen; return the answers to those that were not before."""
        new = [one for one in (self._waiting.get(word) for word in words) if one and not one.drawn]
        for one in new:
            self._waiting[one.id] = replace(one, drawn=True)
            self._answered.setdefault(one.id, Answer(one.id, "shown"))
            if one.changed:
                self._held[one.id] = one
        return tuple(self._answered[one.id] for one in new if not one.is_answered)


def refusal(asked: Prescription, changed: Changed) -> str:
    """Say why what is asked cannot be changed so; empty: it can."""
    if not asked.sets:
        return "nothing is asked for here that could be changed"
    if asked.is_test:
        return "this is a test: one set of as many clean reps as possible"
    if asked.hold_s is not None and (changed.reps is not None or changed.tempo is not None):
        return "here sets are held, not counted: only the rest can be changed"
    return ""


def readable(text: str) -> str:
    """Return a text from outside without what moves a terminal's cursor or cannot be seen."""
    return " ".join("".join(letter if letter.isprintable() else " " for letter in text).split())


def _word(data: Mapping[str, Any]) -> Word:
    changed = _changed(data) if data["what"] == "target" else None
    return Word(data["word"], readable(data["trainee"]), readable(data["text"]), changed, data=data)


def _changed(data: Mapping[str, Any]) -> Changed:
    tempo = None if data["tempo"] is None else tempo_of(data["tempo"])
    reps = None if data["reps"] is None else int(data["reps"])  # 8.0 is whole, too (JSON Schema 2020-12, 6.1.1)
    return Changed(word=data["word"], reps=reps, rest_s=data["rest_s"], tempo=tempo)
