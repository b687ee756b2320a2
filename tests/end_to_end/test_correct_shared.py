"""`rungwise correct --give` on the demonstration's session: two people shared the bar."""

from __future__ import annotations

from pathlib import Path

from correcting import COACH, correct, rungwise
from virtual_session import Gym

from analysis.training.records import Source
from tui.home import Home
from tui.session.plans import DEMO_TRAINEE


def test_a_set_is_given_to_who_shared_the_bar_and_taken_back(mine: Gym, tmp_path: Path) -> None:
    mine.logbook.add_trainee("Jonas Reiter")
    before = mine.records()
    told = correct(mine, "--set", "2", "--give", "jonas reiter", "--reason", "s", *COACH)
    assert told.exit_code == 0, told.output
    assert "set o1: Jonas Reiter, 5" in told.stdout
    assert "Jonas Reiter, next: " in told.stdout
    assert [[done.verdict.count for done in one.sets] for one in mine.records()] == [[5], [5, 5]]  # by name
    assert "Ada (coach): set o1, the set was Jonas Reiter's (somebody else)" in correct(mine).stdout
    his, hers = rungwise(mine, "log").stdout.splitlines()
    assert "sets: 5 5  " in hers
    assert "Jonas Reiter" in his
    assert "sets: 5  " in his
    assert "from another's session" in his
    assert "already" in correct(mine, "--set", "o1", "--give", "Jonas Reiter", "--reason", "s").stderr
    assert "not in the logbook" in correct(mine, "--set", "1", "--give", "Nobody", "--reason", "s").stderr
    as_coach = ("--by", "Jonas Reiter", "--role", "coach")
    assert "somebody else corrects" in correct(mine, "--set", "o1", "--drop-set", "--reason", "o", *as_coach).stderr
    assert rungwise(mine, "export", "--out", str(tmp_path / "all.json")).exit_code == 0
    other = Gym(Home(tmp_path / "other"), mine.logbook, mine.clock, mine.book)
    assert "1 session, 1 correction" in rungwise(other, "import", str(tmp_path / "all.json")).output
    assert "nothing new" in rungwise(other, "import", str(tmp_path / "all.json")).output
    assert rungwise(other, "log", "--json").stdout == rungwise(mine, "log", "--json").stdout
    tables = rungwise(mine, "export", "--format", "csv", "--out", str(tmp_path / "csv"))
    assert tables.stdout.strip().endswith("2 sessions, 3 sets, 15 reps, 1 correction")  # each once
    assert correct(mine, "--undo").exit_code == 0
    assert mine.records() == before


def test_a_given_set_joins_the_session_of_that_day(mine: Gym) -> None:
    day = mine.records()[0].day.isoformat()
    done = rungwise(mine, "done", "Jonas Reiter", "--sets", "15,15", "--rest", "90", "--date", day)
    assert done.exit_code == 0, done.output
    (own,) = (one for one in mine.records() if one.source is Source.TYPED)
    (session,) = (str(one.session_id)[:8] for one in mine.records() if one.source is Source.SENSOR)
    told = rungwise(mine, "correct", session, "--set", "2", "--give", "Jonas Reiter", "--reason", "s", *COACH)
    assert told.exit_code == 0, told.output
    (found,) = (one for one in mine.records() if one.session_id == own.session_id)
    assert [one.verdict.count for one in found.sets] in ([15, 15, 5], [5, 15, 15])
    listed = rungwise(mine, "correct", str(own.session_id)[:8]).stdout
    assert f"set 3 from another's session ({session}): correct it there" in listed
    refused = rungwise(mine, "correct", str(own.session_id)[:8], "--set", "1", "--give", DEMO_TRAINEE, "--reason", "s")
    assert "typed in is one person's" in refused.stderr
