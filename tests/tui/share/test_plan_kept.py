"""A plan from a coach: taken, or kept beside the one that was changed here; its place never follows from what came."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from uuid import uuid4

import pytest

from analysis.logbook.book import Logbook
from analysis.logbook.entries import Trainee
from analysis.logbook.people import name_key
from analysis.training.plan import default_plan
from tests.brokers.coach import plan
from tui.book.plan_file import training_plan, written_plans
from tui.book.plan_text import plan_text
from tui.home import Home
from tui.share.plans import digest, keep_plan

NAME = "Mara Lindt"
OLD = plan_text(default_plan(), NAME)
NEW = OLD.replace("sessions_a_week = 2", "sessions_a_week = 1")


@pytest.fixture
def home(tmp_path: Path) -> Home:
    return Home(tmp_path)


@pytest.fixture
def book(home: Home) -> Iterator[Logbook]:
    with Logbook.open(home.logbook) as logbook:
        logbook.keep_trainee(Trainee(uuid4(), NAME))
        yield logbook


def own(home: Home) -> Path:
    return home.plan(name_key(NAME))


def write(home: Home, text: str) -> str:
    home.plans.mkdir(exist_ok=True)
    own(home).write_text(text, "utf-8")
    return digest(text)


def test_the_digest_is_that_of_fips_180_4() -> None:
    # NIST FIPS 180-4, example "abc"
    assert digest("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


@pytest.mark.parametrize("there", [True, False])
def test_it_takes_the_place_of_the_file_that_it_is_based_on(home: Home, book: Logbook, there: bool) -> None:
    base = write(home, OLD) if there else ""
    answer = keep_plan(home, book, plan("mara lindt", NEW, base))
    assert (answer.state, answer.text) == ("kept", "")
    assert own(home).read_text("utf-8") == NEW
    assert list(written_plans(home)) == [own(home)]
    assert training_plan(home, NAME).sessions_a_week == 1  # it is what is trained by


@pytest.mark.parametrize("ends", [b"\r\n", b"\n"])
def test_line_ends_of_an_editor_make_no_other_plan(home: Home, book: Logbook, ends: bytes) -> None:
    write(home, OLD)
    own(home).write_bytes(b"\xef\xbb\xbf" + OLD.encode().replace(b"\n", ends))
    assert keep_plan(home, book, plan(NAME, NEW, digest(OLD))).state == "kept"


def test_a_file_that_is_no_text_is_kept(home: Home, book: Logbook) -> None:
    write(home, OLD)
    own(home).write_bytes(b"\xff\xfe")
    assert keep_plan(home, book, plan(NAME, NEW, digest(OLD))).state == "conflict"
    assert own(home).read_bytes() == b"\xff\xfe"


def test_where_both_were_changed_both_are_kept(home: Home, book: Logbook) -> None:
    mine = OLD.replace("sessions_a_week = 2", "sessions_a_week = 3").replace("days_between = 2", "days_between = 1")
    write(home, mine)
    answer = keep_plan(home, book, plan(NAME, NEW, digest(OLD)))
    assert answer.state == "conflict"
    assert "mara_lindt.from-coach.toml" in answer.text
    assert own(home).read_text("utf-8") == mine
    assert (home.plans / "mara_lindt.from-coach.toml").read_text("utf-8") == NEW
    assert list(written_plans(home)) == [own(home)]  # what was not taken is nobody's plan
    assert training_plan(home, NAME).sessions_a_week == 3
    assert keep_plan(home, book, plan(NAME, NEW, digest(mine))).state == "kept"  # the coach saw it, and says so
    assert sorted(home.plans.iterdir()) == [own(home)]


def test_one_that_is_there_already_is_kept(home: Home, book: Logbook) -> None:
    write(home, NEW)
    assert keep_plan(home, book, plan(NAME, NEW, "0" * 64)).state == "kept"


@pytest.mark.parametrize(
    ("trainee", "text", "why"),
    [
        ("../../etc/passwd", NEW, "nobody of that name"),
        ("Jonas Reiter", NEW, "nobody of that name"),
        ("", NEW, "nobody of that name"),
        (NAME, "import os", "the plan, line 1"),
        (NAME, NEW.replace("Mara Lindt", "Jonas Reiter"), "the plan"),
        (NAME, NEW.replace("sessions_a_week = 1", "sessions_a_week = 99"), "sessions_a_week"),
    ],
)
def test_what_is_no_plan_of_somebody_here_is_refused(
    home: Home, book: Logbook, trainee: str, text: str, why: str
) -> None:
    before = sorted(home.folder.rglob("*"))
    answer = keep_plan(home, book, plan(trainee, text, ""))
    assert (answer.state, why in answer.text) == ("refused", True)
    assert sorted(home.folder.rglob("*")) == before
