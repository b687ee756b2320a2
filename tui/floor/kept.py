"""The coach's words in a file of the home, so that they outlive the program: replaced as a whole or not at all."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from tui.floor.words import Word, Words
from tui.home import HomeError
from tui.share.checked import RefusedError, check, schema_of
from tui.share.topics import Kind, TopicError, name
from tui.whole import write_whole

FORMAT = "rungwise.words/1"
_FIELDS = ("station", "data", "sent_utc_us", "state", "answer", "answered_utc_us")


def read_words(path: Path) -> Words:
    """Return the words that a file holds; none where there is no file.

    Raises
    ------
    HomeError
        When it cannot be read.
    """
    words = Words()
    try:
        for one in _documents(path):
            words.say(_word(one))
    except OSError as error:
        raise HomeError(f"{path} cannot be read ({error.strerror}); check its rights") from error
    except (ValueError, KeyError, TypeError) as error:
        raise HomeError(f"{path} does not hold a coach's words (rungwise.words/1); move it away to go on") from error
    return words


def write_words(path: Path, words: tuple[Word, ...]) -> None:
    """Write all words.

    Raises
    ------
    HomeError
        When that cannot be done; then the file is as it was.
    """
    said = [{key: getattr(one, key) for key in _FIELDS} for one in words]
    try:
        write_whole({path: json.dumps({"format": FORMAT, "words": said}, ensure_ascii=False, indent=1)})
    except OSError as error:
        raise HomeError(f"{path} cannot be written ({error.strerror}); check its rights and the disk") from error


def _documents(path: Path) -> list[dict[str, Any]]:
    if not path.exists():
        return []
    found = json.loads(path.read_text("utf-8"))
    if found["format"] != FORMAT:
        raise ValueError(found["format"])
    return list(found["words"])


def _word(document: dict[str, Any]) -> Word:
    try:
        check(document["data"], schema_of(Kind.WORD))
        name(document["station"])
    except (RefusedError, TopicError) as error:
        raise ValueError(str(error)) from error
    return Word(**{key: document[key] for key in _FIELDS})
