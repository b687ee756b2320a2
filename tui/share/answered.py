"""What a station answered to a coach's words, in a file of the home: replaced as a whole or not at all.

A target that was shown stands beside its answer for as long as the session that it is for: the coach does not send it
again, and no recording may have begun, so it would be lost with the program.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from analysis.logbook.people import name_key
from tui.share.checked import RefusedError, check, schema_of
from tui.share.topics import Kind
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


def read_targets(path: Path, day: str) -> list[dict[str, Any]]:
    """Return the targets of a day (as `2026-11-29`) that hold still, the oldest first; of any other day none holds.

    Nothing is returned where there is no such file; what holds then is what a recording has of it.
    """
    try:
        found = json.loads(path.read_text("utf-8"))
        held = list(found["targets"]) if (found["format"], found["day"]) == (FORMAT, day) else []
        for one in held:
            check(one, schema_of(Kind.WORD))
    except (OSError, ValueError, KeyError, TypeError, RefusedError):
        return []
    return [one for one in held if one["what"] == "target"]


def keep_answers(
    path: Path, answers: Sequence[Answer], targets: Sequence[Mapping[str, Any]] = (), day: str = ""
) -> None:
    """Keep more answers, and the targets that hold on this day in the place of those before.

    Raises
    ------
    OSError
        When the file cannot be written; then it is as it was.
    """
    kept = {one.word: one for one in (*read_answers(path), *answers)}
    newest = [[one.word, one.state, one.text] for one in kept.values()][-MOST_KEPT:]
    document = {"format": FORMAT, "answers": newest, "day": day, "targets": [dict(one) for one in targets]}
    write_whole({path: json.dumps(document, ensure_ascii=False)})


def forget_targets(path: Path, name: str) -> None:
    """Remove the targets of somebody who is forgotten.

    Raises
    ------
    OSError
        When the file cannot be written; then it is as it was.
    """
    try:
        day = str(json.loads(path.read_text("utf-8"))["day"])
    except (OSError, ValueError, KeyError, TypeError):
        return  # there are none
    held = read_targets(path, day)
    left = [one for one in held if name_key(one["trainee"]) != name_key(name)]
    if left != held:
        keep_answers(path, (), left, day)
