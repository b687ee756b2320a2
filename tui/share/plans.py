"""A plan from a coach: kept as the trainee's, or beside it where both were changed. Nothing of it is run."""

from __future__ import annotations

from collections.abc import Mapping
from hashlib import sha256
from pathlib import Path
from typing import Any

from analysis.logbook.book import Logbook
from analysis.logbook.people import name_key
from tui.book.plan_file import PlanError, parse, plan_text_of, write_plans
from tui.home import FROM_COACH, Home
from tui.share.words import Answer


def digest(text: str) -> str:
    """Return the SHA-256 of a plan's text, as hexadecimal digits."""
    return sha256(text.encode()).hexdigest()


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
    path, text = home.plan(name_key(trainee.name)), data["text"]
    beside = path.with_name(f"{path.stem}{FROM_COACH}")
    if _digest_here(path) not in (data["base"], digest(text)):
        write_plans(home, {beside: text})
        return Answer(word, "conflict", f"the plan was changed at the station, too: yours is beside it, {beside.name}")
    write_plans(home, {path: text})
    beside.unlink(missing_ok=True)  # what the coach sent before is no question any more
    return Answer(word, "kept")


def _digest_here(path: Path) -> str | None:
    """Return the digest of the plan here as it is told to a coach; empty where there is none, None where it is no text.

    It is that of the text, not of the file: an editor's line ends make no other plan of it.
    """
    try:
        return digest(plan_text_of(path)) if path.exists() else ""
    except PlanError:
        return None
