"""Questions that are answered by keys, one after another; knows no screen, no clock, no log.

What is asked is a generator: it yields a `Question`, is sent the answer, and returns what it found. A part of the
interview is one such generator; within it, backspace leads back by asking it again with all answers but the last.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Generator, Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

TEN = "x"
"""The key for 10: each answer is one key."""

YES, NO = "y", "n"
_TAKE_USUAL, _ENTER, _BACK = ("enter", "space"), "enter", "backspace"


class Kind(StrEnum):
    """How a question is answered."""

    LEVEL = "level"
    """0 to 10, by one key."""
    YES_NO = "yes or no"
    CHOICE = "choice"
    """One of a few, by its number."""
    NUMBER = "number"
    TEXT = "text"


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One question.

    Attributes
    ----------
    text
        What is asked.
    short
        The same in a word or two, to tell the answer by; empty: the answer is not told.
    note
        What to know before the answer.
    choices
        Of a CHOICE, in order; the first has the number 1.
    usual
        What Enter answers, and what holds where the interview is left in the middle.
    needed
        Enter answers nothing: this must be said.
    least, most
        Bounds of a NUMBER.
    """

    text: str
    kind: Kind
    short: str = ""
    note: str = ""
    choices: tuple[str, ...] = ()
    usual: Any = None
    needed: bool = False
    least: float = 0.0
    most: float = 400.0


Script = Generator[Question, Any, Any]


@dataclass(frozen=True, slots=True)
class Part:
    """A few questions that belong together.

    Attributes
    ----------
    title
        What they are about, in a word or two.
    ask
        Begins to ask.
    done
        Takes what the script returned.
    """

    title: str
    ask: Callable[[], Script]
    done: Callable[[Any], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class AskView:
    """What a screen shows of an interview.

    Attributes
    ----------
    question
        The one that is open; None: nothing is asked, there is only something to tell.
    typed
        What was typed of the answer.
    told
        The answers of this part so far, in words.
    amiss
        Why the last answer was not taken; empty where nothing is.
    follows
        What follows from the answers so far, line by line.
    stopped
        Nothing is trained today; `follows` says why.
    """

    title: str = ""
    question: Question | None = None
    typed: str = ""
    told: tuple[str, ...] = ()
    amiss: str = ""
    follows: tuple[str, ...] = ()
    stopped: bool = False


class Interview:
    """Asks its parts in order, and hands over what each found as soon as it is whole."""

    def __init__(self, parts: Iterable[Part] = ()) -> None:
        self._parts = deque(parts)
        self._answers: list[Any] = []
        self._typed = self._amiss = ""
        self._script: Script | None = None
        self._question: Question | None = None
        self._told: tuple[str, ...] = ()
        self._ask()

    @property
    def view(self) -> AskView | None:
        """What is asked now; None where nothing is."""
        if self._question is None:
            return None
        return AskView(
            title=self._parts[0].title,
            question=self._question,
            typed=self._typed,
            told=self._told,
            amiss=self._amiss,
        )

    @property
    def parts(self) -> tuple[Part, ...]:
        """What is still to ask, the part in progress first."""
        return tuple(self._parts)

    def replace(self, parts: Iterable[Part]) -> None:
        """Ask these instead of what is still to ask; a part in progress that stays keeps its answers."""
        before, self._parts = self.parts, deque(parts)
        if self.parts[:1] != before[:1]:
            self._answers.clear()
            self._ask()

    def press(self, key: str, character: str = "") -> bool:
        """Take one key; return whether it meant something here.

        Parameters
        ----------
        key
            Its name: "5", "x", "enter", "space", "backspace".
        character
            What it prints; empty where it prints nothing.
        """
        question = self._question
        if question is None:
            return False
        if key == _BACK:
            return self._go_back()
        if question.kind in (Kind.NUMBER, Kind.TEXT):
            return self._type(question, key, character)
        if key in _TAKE_USUAL:
            return not question.needed and self._take(question.usual)
        answer = _answer(question, key)
        return answer is not None and self._take(answer)

    def leave(self) -> None:
        """Hand over what was answered of the part in progress; for the rest of it the usual holds."""
        part = self._parts[0] if self._parts else None
        while part and self._answers and self._parts and self._parts[0] is part and self._question:
            self._take(self._question.usual)

    def _ask(self) -> None:
        """Ask the part in progress from its beginning, with the answers it has."""
        self._typed = self._amiss = ""
        self._question, self._told = None, ()
        answers, self._answers = self._answers, []
        if self._parts:
            self._script = self._parts[0].ask()
            self._step(lambda script: next(script))
        for answer in answers:
            self._take(answer)

    def _take(self, answer: Any) -> bool:
        assert self._question is not None
        self._typed = self._amiss = ""
        self._answers.append(answer)
        self._told = (*self._told, *_told(self._question, answer))
        self._step(lambda script: script.send(answer))
        return True

    def _step(self, go_on: Callable[[Script], Question]) -> None:
        assert self._script is not None
        try:
            self._question = go_on(self._script)
        except StopIteration as over:
            part = self._parts.popleft()
            self._answers, self._question = [], None
            part.done(over.value)
            if self._question is None:  # unless `done` replaced what is still to ask
                self._ask()

    def _go_back(self) -> bool:
        if self._typed:
            self._typed = self._typed[:-1]
        elif self._answers:
            del self._answers[-1]
            self._ask()
        else:
            return False
        return True

    def _type(self, question: Question, key: str, character: str) -> bool:
        if key == _ENTER:
            return self._take_typed(question)
        allowed = character.isprintable() if question.kind is Kind.TEXT else character in "0123456789.,"
        if not character or not allowed:
            return False
        self._typed, self._amiss = self._typed + character, ""
        return True

    def _take_typed(self, question: Question) -> bool:
        if not self._typed:
            return not question.needed and self._take(question.usual)
        if question.kind is Kind.TEXT:
            return self._take(self._typed.strip())
        number = _number(self._typed)
        if number is None or not question.least <= number <= question.most:
            self._amiss, self._typed = f"{question.least:g} to {question.most:g}, please.", ""
            return True
        return self._take(number)


def _answer(question: Question, key: str) -> Any:
    """Return what a key answers; None where it answers nothing."""
    match question.kind:
        case Kind.LEVEL:
            return 10 if key == TEN else int(key) if _is_digit(key) else None
        case Kind.YES_NO:
            return {YES: True, NO: False}.get(key)
        case _:
            at = int(key) if _is_digit(key) else 0
            return question.choices[at - 1] if 0 < at <= len(question.choices) else None


def _is_digit(key: str) -> bool:
    return len(key) == 1 and key in "0123456789"


def _number(text: str) -> float | None:
    try:
        return float(text.replace(",", "."))
    except ValueError:
        return None


def _told(question: Question, answer: Any) -> tuple[str, ...]:
    if not question.short:
        return ()
    words = {True: "yes", False: "no"}.get(answer, "") if isinstance(answer, bool) else answer
    words = f"{words:g}" if isinstance(words, float) else words
    return (f"{question.short}: {'not said' if words in (None, '') else words}",)
