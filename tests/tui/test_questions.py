"""What is asked before the first set and after the last: which question follows from which answer."""

from __future__ import annotations

from typing import Any

from analysis.training.setup import SetUp, Support
from tui.questions.interview import Interview, Part, Script
from tui.questions.questions import Felt, pain_after, pain_before, set_up

LOW = frozenset({"low-bar"})


def answered(script: Script, *keys: str) -> tuple[list[str], Any]:
    """Answer by keys; return the questions, and what was found or None."""
    found: list[Any] = []
    interview, asked = Interview([Part("", lambda: script, found.append)]), []
    for key in keys:
        assert interview.view is not None
        assert interview.view.question is not None
        asked.append(interview.view.question.text)
        assert interview.press(key, key if len(key) == 1 else "")
    return asked, found[0] if found else None


def test_a_newcomer_without_pain_answers_with_one_key() -> None:
    assert answered(pain_before(trained=False), "0")[1] == Felt(0, None, "", False)


def test_pain_is_asked_where_and_whether_it_is_sharp() -> None:
    asked, felt = answered(pain_before(trained=True), "1", "x", "3", "y")
    assert felt == Felt(1, 10, "left shoulder", True)
    assert asked[1].startswith("Worst pain since the last session")
    assert answered(pain_after(), "2", "9", *"hip", "enter", "n")[1] == Felt(2, None, "hip", False)


def test_whether_it_is_sharp_must_be_said() -> None:
    _, felt = answered(pain_after(), "2", "enter")
    assert felt is None


def test_the_set_up_is_confirmed_by_one_key_or_changed_part_by_part() -> None:
    last = SetUp(bar_cm=105, heels_cm=40, support=Support.RACK)
    assert answered(set_up(last, LOW), "space")[1] == last
    _, changed = answered(set_up(last, LOW), "n", *"100", "enter", "enter", "3", "enter")
    assert changed == SetUp(bar_cm=100, heels_cm=40, support=Support.RINGS)


def test_what_was_never_measured_stays_unsaid() -> None:
    assert answered(set_up(SetUp(), LOW), "enter", "enter", "enter", "enter")[1] == SetUp(support=Support.RACK)


def test_a_scale_under_the_feet_gives_the_share_on_the_hands() -> None:
    """1 − 22/70 = .686 (statics)."""
    keys = ("enter", "enter", "enter", *"22", "enter", *"70", "enter")
    assert answered(set_up(SetUp(), LOW), *keys)[1].hand_share == 0.686


def test_a_scale_cannot_show_more_than_the_body_weighs() -> None:
    keys = ("enter", "enter", "enter", *"80", "enter", *"70", "enter", *"90", "enter")
    assert answered(set_up(SetUp(), LOW), *keys)[1].hand_share == 0.111


def test_where_the_feet_do_not_help_no_scale_is_asked_for() -> None:
    assert answered(set_up(SetUp(), frozenset({"high-bar"})), "enter")[1] == SetUp(support=Support.RACK)
