"""The check on the demonstration's session: three sets of five, the last two reps lowered too quickly."""

from __future__ import annotations

import json
from contextlib import ExitStack
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner
from correcting import COACH, correct, rungwise
from virtual_session import Gym

from analysis.logbook.book import Logbook
from analysis.training.corrections import Because, By
from analysis.training.verdict import Outcome
from tui.book.check import Desk, desk_of
from tui.book.correcting import Teller, Wish
from tui.book.giving import Somebody
from tui.book.roster import group_of
from tui.cli import main
from tui.home import Home
from tui.occasion import Prepare
from tui.rooms import Library, Room, rooms_of
from tui.screens.check import CheckScreen
from tui.screens.group import GroupScreen
from tui.session.plans import DEMO_TRAINEE
from tui.trouble import Trouble
from tui.views.check_view import Filter

ADA = Teller("Ada", By.COACH, Because.NOT_A_REP)


def library(gym: Gym) -> Library:
    return Library(home=gym.home, logbook=gym.logbook, who=lambda: DEMO_TRAINEE, today=lambda: date(2026, 3, 2))


def desk(gym: Gym) -> Desk:
    return desk_of(library(gym), None)


def test_the_figures_are_those_of_the_log(mine: Gym) -> None:
    view = desk(mine).read()
    (record,) = mine.records()
    assert (view.outcome, view.summary) == (record.outcome, record.verdict.summary)
    assert [one.name for one in view.sets] == ["1", "2", "3"]
    assert view.targets == {"up": 1.0, "top": 1.0, "down": 2.0}
    for shown, done in zip(view.sets, record.sets, strict=True):
        for one, rep, verdict in zip(shown.reps, done.reps, done.verdict.reps, strict=True):
            assert one.phases[:3] == verdict.phases
            assert one.at_s == rep.start_s
            bottom = one.phases[3].actual_s
            assert (bottom is None) == (rep.bottom_pause_s is None)
            if bottom is not None and rep.bottom_pause_s is not None:
                assert bottom == pytest.approx(rep.bottom_pause_s * done.clock_ratio)
    hurried = [(one.name, [rep.number for rep in one.shown(Filter.MISSED)]) for one in view.sets]
    assert hurried == [("1", []), ("2", []), ("3", [4, 5])]


def test_a_correction_from_the_check_is_the_command_s_and_is_undone_by_it(mine: Gym) -> None:
    place = desk(mine)
    lines = place.correct(Wish("drop_rep", 0.0, "2", (3,)), ADA)
    assert "set 2: 4 (measured 5), missed  4 of 5 reps." in lines
    assert any(line.startswith("next: ") for line in lines)
    view = place.read()
    assert view.sets[1].title.startswith("set 2: 4 (measured 5)")
    (said,) = view.sets[1].corrected
    assert "Ada (coach): set 2, a rep taken out (not a rep); measured: up " in said
    (mark,) = view.marks
    assert mark.holds
    assert mark.text == said
    assert f"{mark.letters}" in correct(mine, "--list").stdout
    assert correct(mine, "--undo", mark.letters).exit_code == 0
    again = place.read()
    assert again.sets[1].title == "set 2: 5, met"
    assert [one.holds for one in again.marks] == [False, False]


@pytest.mark.parametrize(
    ("wish", "measured"),
    [
        (Wish("add_rep", 0.0, "1", (2,)), "measured: no rep"),
        (Wish("merge", 0.0, "1", (2, 3)), "measured: up 0.9 top 1.0 down 2.1, up 1.1 top 1.0 down 2.2"),
        (Wish("count", 7, "1"), "measured: 5 reps"),
        (Wish("drop_set", True, "1"), "measured: 5"),
        (Wish("load", 5.0, "1"), "measured: no load, as asked"),
    ],
)
def test_beside_each_correction_stands_what_was_measured(mine: Gym, wish: Wish, measured: str) -> None:
    place = desk(mine)
    place.correct(wish, ADA)
    view = place.read()
    (mark,) = view.marks
    assert mark.text.endswith(f"; {measured}")
    of_reps = [text for one in view.sets for rep in one.reps for text in rep.corrected]
    of_sets = [text for one in view.sets for text in one.corrected]
    if wish.act != "drop_set":
        assert mark.text in (*of_reps, *of_sets)


def test_a_correction_that_points_at_nothing_is_refused_in_words(mine: Gym) -> None:
    with pytest.raises(Trouble, match="it has reps 1 to 5"):
        desk(mine).correct(Wish("drop_rep", 0.0, "1", (9,)), ADA)
    assert not desk(mine).read().marks


def test_the_command_prints_a_row_a_rep(mine: Gym) -> None:
    (session,) = mine.logbook.sessions_called("")
    text = rungwise(mine, "check").stdout
    assert text.count("lowering too quick by") == 2
    assert sum(line.startswith("  rep ") for line in text.splitlines()) == 3
    for named in (DEMO_TRAINEE, str(session)[:6]):
        assert rungwise(mine, "check", named).stdout == text
    shown = json.loads(rungwise(mine, "check", "--json").stdout)
    assert (shown["format"], shown["session"]) == ("rungwise.session/1", str(session))


def test_a_name_that_is_not_there_and_an_empty_log_say_what_to_do(mine: Gym, tmp_path: Path) -> None:
    wrong = rungwise(mine, "check", "Nobody")
    assert wrong.exit_code == 2
    said = " ".join(wrong.stderr.split())
    assert f"Nobody is neither a name in the logbook (it holds: {DEMO_TRAINEE}) nor the first letters of a" in said
    empty = CliRunner().invoke(main, ["--home", str(tmp_path / "new"), "check"])
    assert empty.exit_code == 2
    assert "rungwise demo" in empty.stderr


def test_what_the_trainee_says_is_to_be_confirmed(mine: Gym) -> None:
    place = desk(mine)
    place.correct(Wish("count", 5, "3"), Teller(None, By.TRAINEE, Because.MISSED))
    assert place.read().unconfirmed
    assert correct(mine, "--confirm", *COACH).exit_code == 0
    assert {one.holds for one in place.read().marks} == {True}


def test_a_typed_session_has_counts_and_no_replay(tmp_path: Path) -> None:
    typed = CliRunner().invoke(main, ["--home", str(tmp_path), "done", "Jonas Reiter", "--sets", "15,15,12"])
    assert typed.exit_code == 0, typed.output
    home = Home(tmp_path)
    with Logbook.open(home.logbook) as logbook:
        of = Library(home=home, logbook=logbook, who=lambda: "", today=lambda: date(2026, 3, 2))
        with pytest.raises(Trouble, match="neither a name in the logbook"):
            desk_of(of, "Lea Amrein")
        view = desk_of(of, "Jonas Reiter").read()
        assert not view.recorded
        assert [len(one.reps) for one in view.sets] == [0, 0, 0]
        assert view.sets[2].title.startswith("set 3: 12")
        assert view.outcome is Outcome.MISSED


def test_choosing_somebody_changes_whose_rooms_are_opened(tmp_path: Path) -> None:
    for name in ("Jonas Reiter", "Lea Amrein"):
        assert CliRunner().invoke(main, ["--home", str(tmp_path), "done", name, "--sets", "15,15,15"]).exit_code == 0
    home = Home(tmp_path)
    with Logbook.open(home.logbook) as logbook:
        of = Library(home=home, logbook=logbook, who=lambda: "Jonas Reiter", today=lambda: date(2026, 3, 2))
        rooms = {room.key: room for room in rooms_of(of)}
        assert rooms["c"].enter()()._view.trainee == "Jonas Reiter"  # type: ignore[attr-defined]
        assert {room.whose() for key, room in rooms.items() if key != "p"} == {"Jonas Reiter"}
        of.looking.name = "Lea Amrein"
        assert rooms["c"].enter()()._view.trainee == "Lea Amrein"  # type: ignore[attr-defined]
        assert (rooms["l"].whose(), rooms["p"].whose()) == ("Lea Amrein", "")
        assert {row.name for row in group_of(home, logbook, None, date(2026, 3, 2)).rows} == {
            "Jonas Reiter",
            "Lea Amrein",
        }


@pytest.mark.parametrize(
    ("words", "first"),
    [(("check",), CheckScreen), (("check", DEMO_TRAINEE), CheckScreen), (("roster",), GroupScreen)],
)
def test_in_a_terminal_it_is_a_screen(
    mine: Gym, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], first: type
) -> None:
    opened: list[object] = []

    def dashboard(prepare: Prepare, *, home: Home) -> None:
        with ExitStack() as held:
            occasion = prepare(held)
            assert {room.key for room in occasion.rooms} >= {"l", "c", "p"}
            assert isinstance(occasion.first, Room)
            opened.append(occasion.first.enter()())

    monkeypatch.setattr("tui.running.wants_text", lambda headless: headless)
    monkeypatch.setattr("tui.running.run_in_dashboard", dashboard)
    shown = rungwise(mine, *words)
    assert shown.exit_code == 0, shown.output
    assert [type(one) for one in opened] == [first]
    assert rungwise(mine, *words, "--headless").exit_code == 0
    assert len(opened) == 1


def test_a_set_is_given_to_somebody_whose_name_is_typed(mine: Gym) -> None:
    place = desk(mine)
    with pytest.raises(Trouble, match="not in the logbook"):
        place.correct(Wish("give", "Ines Falk", "2"), ADA)
    place.correct(Wish("give", Somebody("Ines Falk"), "2"), ADA)
    ines = mine.logbook.trainee("Ines Falk")
    assert ines is not None
    assert [[one.verdict.count for one in session.sets] for session in mine.logbook.sessions(ines.id)] == [[5]]
