"""Questions answered by keys, without a screen."""

from __future__ import annotations

from collections.abc import Generator
from typing import Any

import pytest

from tui.questions.interview import Interview, Kind, Part, Question

LEVEL = Question(text="Pain now", kind=Kind.LEVEL, short="pain", needed=True)


def two_levels() -> Generator[Question, Any, tuple[int, int]]:
    first = yield LEVEL
    second = yield Question(text="At worst", kind=Kind.LEVEL, short="worst", usual=first)
    return first, second


def one(question: Question) -> Generator[Question, Any, Any]:
    return (yield question)


class Asked:
    """An interview, and what its parts found."""

    def __init__(self, *scripts: Any) -> None:
        self.found: list[Any] = []
        self.interview = Interview([Part("about", script, self.found.append) for script in scripts])

    def press(self, *keys: str) -> list[bool]:
        return [self.interview.press(key, key if len(key) == 1 else "") for key in keys]

    @property
    def text(self) -> str:
        view = self.interview.view
        return view.question.text if view and view.question else ""


@pytest.mark.parametrize(("key", "level"), [("0", 0), ("7", 7), ("x", 10)])
def test_a_level_is_one_key(key: str, level: int) -> None:
    asked = Asked(lambda: one(LEVEL))
    assert asked.press(key) == [True]
    assert asked.found == [level]
    assert asked.interview.view is None


@pytest.mark.parametrize("key", ["q", "enter", "space", "y", "f1", "backspace"])
def test_a_key_that_answers_nothing_is_left_to_the_screen(key: str) -> None:
    asked = Asked(lambda: one(LEVEL))
    assert asked.press(key) == [False]
    assert asked.found == []


def test_enter_gives_the_usual_answer_where_nothing_must_be_said() -> None:
    asked = Asked(two_levels)
    asked.press("4", "enter")
    assert asked.found == [(4, 4)]


def test_backspace_leads_back_to_the_question_before_and_no_further() -> None:
    asked = Asked(two_levels)
    asked.press("4")
    assert asked.interview.view is not None
    assert asked.interview.view.told == ("pain: 4",)
    assert asked.press("backspace", "backspace") == [True, False]
    assert asked.text == "Pain now"
    asked.press("5", "6")
    assert asked.found == [(5, 6)]


def test_what_was_handed_over_is_not_asked_again() -> None:
    asked = Asked(two_levels, lambda: one(LEVEL))
    asked.press("1", "2")
    assert asked.found == [(1, 2)]
    assert asked.press("backspace") == [False]
    asked.press("3")
    assert asked.found == [(1, 2), 3]


@pytest.mark.parametrize(("answered", "found"), [((), []), (("6",), [(6, 6)])])
def test_who_leaves_in_the_middle_has_said_what_was_answered(answered: tuple[str, ...], found: list[object]) -> None:
    asked = Asked(two_levels, lambda: one(LEVEL))
    asked.press(*answered)
    asked.interview.leave()
    assert asked.found == found


def test_a_number_is_typed_and_one_out_of_bounds_is_asked_again() -> None:
    length = Question(text="Bar, cm", kind=Kind.NUMBER, least=1, most=400)
    asked = Asked(lambda: one(length))
    assert asked.press("q") == [False]
    asked.press("9", "0", "0", "enter")
    assert asked.interview.view is not None
    assert asked.interview.view.amiss == "1 to 400, please."
    asked.press("1", "0", "4", "backspace", "5", ",", "5", "enter")
    assert asked.found == [105.5]


def test_own_words_take_every_letter() -> None:
    asked = Asked(lambda: one(Question(text="Where", kind=Kind.TEXT, usual="")))
    asked.press("q", "?", " ", "x", "enter")
    assert asked.found == ["q? x"]


def test_a_choice_is_its_number() -> None:
    support = Question(text="Support", kind=Kind.CHOICE, choices=("rack", "rings"), usual="rack")
    asked = Asked(*(lambda: one(support),) * 2)
    assert asked.press("0", "3", "2", "enter") == [False, False, True, True]
    assert asked.found == ["rings", "rack"]


def test_parts_that_are_taken_out_are_not_asked_and_the_one_in_progress_keeps_its_answers() -> None:
    asked = Asked(two_levels, lambda: one(LEVEL))
    asked.press("3")
    asked.interview.replace(asked.interview.parts[:1])
    assert asked.text == "At worst"
    asked.press("3")
    assert asked.interview.view is None
