"""Plans between coach and station: nothing that either wrote is lost."""

from __future__ import annotations

from pathlib import Path
from uuid import UUID

import pytest
from click.testing import CliRunner
from floor_desk import Shelf, made

from analysis.logbook.entries import Trainee
from analysis.logbook.people import name_key
from tui.cli import main
from tui.floor.plans import BEFORE, BESIDE, MOST_LINES, keep_plans, known_at, noted_plans, plan_to_send, take_plan
from tui.home import Home
from tui.share.plans import digest
from tui.trouble import Trouble

MARA = Trainee(UUID(int=1), "Mara Lindt")


@pytest.fixture
def home(tmp_path: Path) -> Home:
    return made(tmp_path).home


def written(home: Home, name: str = MARA.name) -> str:
    done = CliRunner().invoke(main, ["--home", str(home.folder), "plan", "new", "--trainee", name])
    assert done.exit_code == 0, done.output
    return home.plan(name_key(name)).read_text()


def test_a_plan_is_sent_with_what_it_was_made_from(home: Home) -> None:
    text = written(home)
    book = Shelf(people={MARA: None})
    assert plan_to_send(home, book, "Mara Lindt", "rack-3").base == ""
    book.people[MARA] = text.replace("#", "##", 1)
    plan = plan_to_send(home, book, "Mara Lindt", "rack-3")
    assert (plan.trainee, plan.text, plan.base) == (MARA.name, text, digest(book.people[MARA] or ""))
    assert len(plan.base) == 64


def test_two_of_one_name_are_told_apart_by_their_station(home: Home) -> None:
    other = Trainee(UUID(int=2), "Mara Lindt (rack-4)")
    book = Shelf(people={MARA: None, other: None})
    assert known_at(book, "Mara Lindt", "rack-3") == MARA
    assert known_at(book, "Mara Lindt", "rack-4") == other
    assert known_at(book, "", "rack-4") is None


def test_the_plan_of_two_of_one_name_stays_where_it_is_unmistakable(home: Home) -> None:
    text, other = written(home), Trainee(UUID(int=2), "Mara Lindt (rack-4)")
    book = Shelf(people={MARA: None, other: text})
    (said,) = keep_plans(home, book, {})
    assert said.startswith(
        "A plan of Mara Lindt (rack-4) came. It stays at the station alone, as Mara Lindt is the name"
    )
    assert [one.name for one in home.plans.iterdir()] == ["mara_lindt.toml"]
    (said,) = keep_plans(home, Shelf(people={other: text.replace('"Mara Lindt"', r'"\u001b[2J"')}), {})
    assert said.isprintable()
    with pytest.raises(Trouble, match="is changed at rack-4"):
        plan_to_send(home, book, MARA.name, "rack-4")
    assert plan_to_send(home, book, MARA.name, "rack-3").text == text


def test_who_has_no_plan_or_the_same_one_is_told(home: Home) -> None:
    book = Shelf(people={MARA: None})
    for name, why in (
        ("", "Nobody is not"),
        ("Tim", "the records have to come first"),
        (MARA.name, "rungwise plan new"),
    ):
        with pytest.raises(Trouble, match=why):
            plan_to_send(home, book, name, "rack-3")
    book.people[MARA] = written(home)
    with pytest.raises(Trouble, match="has this plan"):
        plan_to_send(home, book, MARA.name, "rack-3")


def test_a_plan_that_came_is_kept_where_nobody_changed_it_here(home: Home) -> None:
    text = written(home)
    path = home.plan(name_key(MARA.name))
    path.unlink()
    book = Shelf(people={MARA: text})
    assert keep_plans(home, book, {}) == ["The plan of Mara Lindt came from the station."]
    assert path.read_text() == text
    before = noted_plans(book)
    assert keep_plans(home, book, before) == []
    book.people[MARA] = text + "# more\n"
    assert keep_plans(home, book, before) == ["The plan of Mara Lindt came from the station."]
    assert path.read_text() == text + "# more\n"


def test_where_both_changed_it_both_are_kept(home: Home) -> None:
    text = written(home)
    path = home.plan(name_key(MARA.name))
    path.write_text(text + "# the coach's\n")
    book = Shelf(people={MARA: text + "# the station's\n"})
    (said,) = keep_plans(home, book, {MARA.id: text})
    assert "both are kept" in said
    assert path.read_text() == text + "# the coach's\n"
    assert path.with_name(path.name + ".from-station").read_text() == text + "# the station's\n"
    listed = CliRunner().invoke(main, ["--home", str(home.folder), "plan", "check"])
    assert "from-station" not in listed.output


def test_the_coach_says_which_one_counts_and_none_is_lost(home: Home) -> None:
    text = written(home)
    path = home.plan(name_key(MARA.name))
    coachs, theirs = text + "# the coach's\n", text + "# the station's\n"
    path.write_text(coachs)
    book = Shelf(people={MARA: theirs})
    keep_plans(home, book, {MARA.id: text})
    plan = plan_to_send(home, book, MARA.name, "rack-3")
    beside = path.with_name(path.name + BESIDE)
    assert (plan.text, plan.base, plan.beside) == (coachs, digest(theirs), str(beside))
    assert plan.differs == ("yours: # the coach's", "rack-3: # the station's")
    book.people[MARA] = theirs + "# \u202emore\n" * 20
    keep_plans(home, book, {MARA.id: theirs})
    many = plan_to_send(home, book, MARA.name, "rack-3").differs
    assert (len(many), many[-1]) == (MOST_LINES + 1, "… and 14 more")
    assert all(one.isprintable() for one in many)
    book.people[MARA] = theirs
    keep_plans(home, book, {MARA.id: text})
    said = take_plan(home, book, MARA.name, "rack-3")
    kept = path.with_name(path.name + BEFORE)
    assert kept.name in said
    assert (path.read_text(), kept.read_text(), beside.exists()) == (theirs, coachs, False)
    with pytest.raises(Trouble, match="has this plan"):
        plan_to_send(home, book, MARA.name, "rack-3")
    with pytest.raises(Trouble, match="No plan of Tim came from rack-3"):
        take_plan(home, book, "Tim", "rack-3")


def test_once_the_station_has_the_coachs_plan_nothing_is_asked(home: Home) -> None:
    text = written(home)
    path = home.plan(name_key(MARA.name))
    coachs, theirs = text + "# the coach's\n", text + "# the station's\n"
    path.write_text(coachs)
    book = Shelf(people={MARA: theirs})
    keep_plans(home, book, {MARA.id: text})
    book.people[MARA] = coachs
    assert keep_plans(home, book, {MARA.id: theirs}) == ["The station keeps the plan of Mara Lindt."]
    path.write_text(coachs + "# later\n")
    assert plan_to_send(home, book, MARA.name, "rack-3").beside == ""


def test_what_is_no_plan_is_not_written_and_no_name_is_a_path(home: Home) -> None:
    evil = Trainee(UUID(int=2), "../../evil")
    book = Shelf(people={MARA: "\x1b[2J", evil: written(home)})
    said = keep_plans(home, book, {})
    assert "none this Rungwise can read" in said[0]
    assert said[0].isprintable()
    assert {one.parent for one in home.folder.rglob("*.toml*")} == {home.plans}
    assert not home.plan(name_key(MARA.name) + "x").exists()
