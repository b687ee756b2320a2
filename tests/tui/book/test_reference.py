"""A rep that went all the way: told of one in the log, shown, and what others are measured against."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from uuid import UUID

import pytest
from click.testing import CliRunner, Result

from analysis.logbook.book import Logbook
from analysis.logbook.entries import RunKind, Trainee
from analysis.logbook.people import newcomer
from analysis.motion.mounts import Mount
from analysis.motion.results import RepKind
from analysis.training.judge import judge_session
from analysis.training.prescription import Grip
from analysis.training.records import SetRecord
from analysis.training.reference import NoReferenceError, reference_travel_m
from analysis.training.rungs import default_ladder
from tests.analysis.training.builders import make_session, make_set
from tui.cli import main
from tui.home import Home
from tui.session.plans import todays_plan, with_reference

JONAS = "Jonas Reiter"
SESSION = UUID("6f1f3b1e-6b9b-4c58-9d4e-1f6a0c3f8a11")
RUNG = default_ladder().rungs[1]
ASKED = RUNG.prescription(0, Grip.PRONATED)


def a_set() -> SetRecord:
    """Reps of 44 cm, told by a clock that runs 1 % slow; the third's travel is not known, the fifth is partial."""
    made = make_set(ASKED)
    reps = [replace(rep, travel_m=0.44) for rep in made.reps]
    reps[2] = replace(reps[2], travel_m=None)
    reps[4] = replace(reps[4], kind=RepKind.PARTIAL, reached=0.6)
    return replace(made, reps=tuple(reps), clock_ratio=1.01)


@pytest.fixture
def home(tmp_path: Path) -> Path:
    began_us = round(datetime(2026, 3, 2, 18, tzinfo=UTC).timestamp() * 1e6)
    with Logbook.open(Home(tmp_path).logbook) as logbook:
        jonas: Trainee = newcomer(JONAS)
        logbook.keep_trainee(jonas)
        logbook.start_session(
            session_id=SESSION,
            trainee=jonas.id,
            station=logbook.station(),
            started_utc_us=began_us,
            prescription=ASKED,
            mount=Mount.BODY,
            sensor="clip",
            recording="",
            rung=RUNG.key,
            day=date(2026, 3, 2),
        )
        run = logbook.start_run(
            SESSION, kind=RunKind.REFINED, version="1", parameters_sha="x", clock_ratio=1.01, clock_sd_ppm=1.0
        )
        logbook.record_set(SESSION, run, a_set())
        logbook.finish_session(SESSION, began_us + 1, judge_session([a_set().verdict], ASKED))
    return tmp_path


def tell(home: Path, *words: str) -> Result:
    return CliRunner().invoke(main, ["--home", str(home), "tell", JONAS, *words])


def test_a_rep_of_the_log_becomes_what_others_are_measured_against(home: Path) -> None:
    said = tell(home, "--reference", "6f1f3b1e/1/4", "--by", "Ada Brunn")
    assert said.exit_code == 0, said.output
    assert "reference rep of feet-on-floor: 45 cm, approved by Ada Brunn" in said.stdout
    listed = json.loads(tell(home, "--list", "--json").stdout)
    # .44 m by a clock that is 1 % slow is 1.01² as much: travel is force integrated twice over time
    assert listed["travel_m"] == pytest.approx(0.44 * 1.01**2)
    assert (listed["kind"], listed["rung"], listed["self_seen"]) == ("reference", "feet-on-floor", False)
    with Logbook.open(Home(home).logbook) as logbook:
        plan = todays_plan(Home(home), logbook, JONAS, date(2026, 3, 6))
        found = with_reference(logbook, plan).view.reference_m
        assert found == pytest.approx(0.44 * 1.01**2)
        assert with_reference(logbook, replace(plan, rung="pull-up")).view.reference_m is None


@pytest.mark.parametrize(
    ("words", "status", "told"),
    [
        (("6f1f3b1e/1/3",), 2, "was not measured"),
        (("6f1f3b1e/1/5",), 2, "is a partial one"),
        (("6f1f3b1e/1/16",), 2, "it has 15"),
        (("6f1f3b1e/2/1",), 2, "there is no set 2"),
        (("abc/1/1",), 2, "no one session of Jonas Reiter is called abc"),
        (("6f1f3b1e/1",), 2, "names no rep"),
        (("6f1f3b1e/1/x",), 2, "names no rep"),
    ],
)
def test_what_is_no_reference_is_refused(home: Path, words: tuple[str, ...], status: int, told: str) -> None:
    refused = tell(home, "--reference", *words, "--by", "Ada Brunn")
    assert refused.exit_code == status
    assert told in refused.output
    assert tell(home, "--list").stdout == ""


def test_somebody_must_answer_for_it(home: Path) -> None:
    assert "needs the name of the one who gives it" in tell(home, "--reference", "6f1f3b1e/1/4").output
    own = tell(home, "--reference", "6f1f3b1e/1/4", "--self-seen")
    assert "seen on video by Jonas Reiter" in own.stdout


def test_outside_the_ladder_or_not_relied_on_there_is_no_reference() -> None:
    session = make_session(date(2026, 3, 2), default_ladder(), default_ladder().places()[1])
    doubted = replace(session, sets=(replace(a_set(), measured=False),))
    for record, why in ((replace(session, rung=None), "no rung"), (doubted, "not to be relied on")):
        with pytest.raises(NoReferenceError, match=why):
            reference_travel_m(record, 1, 4)
