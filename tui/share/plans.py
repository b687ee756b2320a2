"""A plan from a coach: kept as the trainee's, or beside it where both were changed. Nothing of it is run."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from analysis.logbook.book import Logbook
from tui.book.plan_file import PlanError, parse, write_plans
from tui.home import FROM_COACH, Home
from tui.share.words import Answer


def sha256_of(path: Path) -> str:
    """Return the SHA-256 of a file, in hexadecimal digits; empty where there is none."""
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except FileNotFoundError:
        return ""


def keep_plan(home: Home, logbook: Logbook, data: Mapping[str, Any]) -> Answer:
    """Keep a plan that a coach sent (schema `word.1.json`), and return what became of it.

    It takes the place of the file that the coach based it on. Where the file here is another one by now, both are kept.
    Its place follows from the name of somebody who is known here, never from what was sent.

    Raises
    ------
    OSError
        When it cannot be written; then all is as it was.
    """
    word, trainee = data["word"], logbook.trainee(data["trainee"])
    if trainee is None:
        return Answer(word, "refused", "nobody of that name is in the logbook here")
    try:
        parse(data["text"], "the plan", trainee.name)
    except PlanError as error:
        return Answer(word, "refused", str(error).split("\n")[0][:400])
    path, text = home.plan(trainee.name), data["text"]
    here = sha256_of(path)
    if here not in (data["base"], hashlib.sha256(text.encode()).hexdigest()):
        beside = path.with_name(f"{path.stem}{FROM_COACH}")
        write_plans(home, {beside: text})
        return Answer(word, "conflict", f"the plan was changed here, too: yours is kept beside it as {beside.name}")
    write_plans(home, {path: text})
    return Answer(word, "kept")
