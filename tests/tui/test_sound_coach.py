"""A coach's words are heard once, as they come."""

from __future__ import annotations

from dataclasses import replace

from screen_feed import SHOWN

from tui.session.messages import CoachView
from tui.sound.score import Score, Sound

FIRST = CoachView(lines=("Coach: shoulders down.",), words=("w-1",))
BOTH = CoachView(lines=("Coach: shoulders down.", "Coach: breathe."), words=("w-1", "w-2"))


def test_each_word_is_heard_once() -> None:
    score, heard = Score(), []
    for step, view in enumerate((None, FIRST, FIRST, None, FIRST, BOTH, BOTH, None)):
        shown = replace(SHOWN["rest"], coach=view, elapsed_s=100.0 + 0.1 * step)
        heard += [step for note in score.of(shown) if note.sound is Sound.COACH]
    assert heard == [1, 5]
