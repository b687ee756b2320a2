"""What a station answered to a coach's words, in a file of the home: replaced as a whole or not at all."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

from tui.share.words import Answer
from tui.whole import write_whole

FORMAT = "rungwise.answered/1"
MOST_KEPT = 500
"""The oldest beyond that are forgotten; a coach does not ask for them any more."""


def read_answers(path: Path) -> list[Answer]:
    """Return what was answered, the oldest first; nothing where there is no file, or one that is none of ours.

    What is forgotten is shown once more, and that is all: no session is kept from beginning.
    """
    try:
        found = json.loads(path.read_text("utf-8"))
        return [Answer(*one) for one in found["answers"]] if found["format"] == FORMAT else []
    except (OSError, ValueError, KeyError, TypeError):
        return []


def keep_answers(path: Path, answers: Sequence[Answer]) -> None:
    """Keep more answers.

    Raises
    ------
    OSError
        When the file cannot be written; then it is as it was.
    """
    kept = {one.word: one for one in (*read_answers(path), *answers)}
    newest = [[one.word, one.state, one.text] for one in kept.values()][-MOST_KEPT:]
    write_whole({path: json.dumps({"format": FORMAT, "answers": newest}, ensure_ascii=False)})
