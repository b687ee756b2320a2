"""The pictures of README show the screens as they are: `python -m tests.bench.screens` draws them anew."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

from tests.bench.screens import FOLDER, drawn

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
LARGEST_BYTES = 150_000


def words_of(picture: str) -> list[str]:
    """What is written in a picture, a screen's line each, blanks aside."""
    texts = ElementTree.fromstring(picture).iter("{http://www.w3.org/2000/svg}text")
    lines: dict[str, list[str]] = {}
    for one in texts:
        lines.setdefault(one.attrib["y"], []).append("".join(one.itertext()).replace("\xa0", " "))
    return [" ".join("".join(parts).split()) for parts in lines.values()]


@pytest.fixture(scope="module")
def now() -> dict[str, str]:
    return drawn()


def test_each_picture_holds_the_words_of_its_screen(now: dict[str, str]) -> None:
    for name, picture in now.items():
        kept = (FOLDER / f"screen-{name}.svg").read_text(encoding="utf-8")
        assert words_of(kept) == words_of(picture), f"{name} is another screen now: python -m tests.bench.screens"


def test_each_shows_what_it_is_there_for(now: dict[str, str]) -> None:
    said = {
        "set": "set 2 of 3",
        "rest": "seconds left of 20",
        "check": "To work on",
        "ladder": "Next session",
        "replay": "refined",
    }
    for name, words in said.items():
        assert any(words in line for line in words_of(now[name])), name


def test_a_picture_is_small_and_loads_nothing(now: dict[str, str]) -> None:
    for picture in now.values():
        assert len(picture.encode()) <= LARGEST_BYTES
        assert "font-face" not in picture
        assert set(re.findall(r"https?://[^\"\s)]+", picture)) == {"http://www.w3.org/2000/svg"}


def test_readme_shows_all_of_them_and_names_no_file_that_is_not_there(now: dict[str, str]) -> None:
    named = re.findall(r"\]\(([^)#\s]+)(?:#[^)]*)?\)", README)
    local = [name for name in named if "://" not in name]
    assert [name for name in local if not (ROOT / name).exists()] == []
    shown = {Path(name).name for name in re.findall(r"!\[[^\]]+\]\(([^)]+)\)", README)}
    assert shown == {f"screen-{name}.svg" for name in now}
