"""What a coach changes holds from the next set on, live, in the log, in a replay and after a correction."""

from __future__ import annotations

from dataclasses import replace
from math import inf
from uuid import UUID

import pytest
from board_told import ASKED, Told, bout, rep
from live_gym import Clock

from analysis.training.correcting import corrected
from analysis.training.judge import judge_session
from analysis.training.prescription import Changed, Prescription, Tempo
from analysis.training.records import SessionRecord
from analysis.training.standing import standing
from analysis.training.verdict import Outcome
from sensor.source import HostClock
from tests.analysis.training.corrections_made import drop_rep, session
from tui.session.messages import Stage
from tui.training.person import Person
from tui.words.format import prescription_line

WORD = str(UUID(int=7))
SLOWER = Tempo(down_s=3, bottom_s=0, up_s=1, top_s=1)


def changed(from_s: float | None = None, **values: object) -> Changed:
    return replace(Changed(word=WORD, from_s=from_s), **values)  # type: ignore[arg-type]


def session_of(told: Told, asked: Prescription) -> SessionRecord:
    sets = told.board.measured
    verdict = judge_session([one.verdict for one in sets], asked)
    return replace(session(), prescription=asked, sets=sets, verdict=verdict)


@pytest.mark.parametrize(("start_s", "reps"), [(-inf, 3), (19.9, 3), (20.0, 5), (29.9, 5), (30.0, 2), (inf, 2)])
def test_what_was_changed_last_holds_from_its_moment_on(start_s: float, reps: int) -> None:
    asked = replace(ASKED, changes=(changed(20.0, reps=5), changed(30.0, reps=2, rest_s=90.0)))
    at = asked.at(start_s)
    assert (at.reps, at.rest_s, at.changes) == (reps, 90.0 if reps == 2 else 60.0, ())


def test_without_a_moment_it_holds_from_the_first_set_on() -> None:
    assert replace(ASKED, changes=(changed(tempo=SLOWER),)).at(-inf).tempo == SLOWER


def test_a_set_is_judged_by_what_was_asked_as_it_began() -> None:
    told = Told()
    told.connect()
    told.do(bout(1, 10.0))
    told.board.ask_anew(replace(ASKED, changes=(changed(40.0, reps=2, rest_s=30.0, tempo=SLOWER),)))
    resting = told.board.snapshot(45.0)
    assert (resting.prescription.reps, resting.prescription.rest_s, resting.target.down_s) == (2, 30.0, 3)
    assert resting.rest_left_s == pytest.approx(30.0 - (45.0 - 24.0))
    told.do(bout(2, 60.0, count=2, down_s=3.0))
    one, two = told.board.sets
    assert (one.verdict.target_reps, one.verdict.outcome) == (3, Outcome.MET)
    assert (two.verdict.target_reps, two.verdict.target_rest_s, two.verdict.outcome) == (2, 30.0, Outcome.MET)
    assert two.verdict.rest_outcome is Outcome.MISSED  # 36 s, of 30 + 5


def test_who_hangs_goes_on_as_it_was_asked() -> None:
    told = Told()
    told.connect()
    told.open(10.0)
    told.board.ask_anew(replace(ASKED, changes=(changed(12.0, reps=1),)))
    told.confirm(1, rep(10.0))
    shown = told.board.snapshot(16.0)
    assert (shown.stage, shown.prescription.reps, shown.ended) == (Stage.SET, 3, False)
    told.close(bout(1, 10.0))
    assert told.board.sets[0].verdict.target_reps == 3
    assert told.board.snapshot(30.0).prescription.reps == 1


def test_the_line_after_a_set_tells_the_rest_that_was_changed_meanwhile() -> None:
    told = Told()
    told.connect()
    told.open(10.0)
    told.board.ask_anew(replace(ASKED, changes=(changed(12.0, rest_s=120.0),)))
    assert "rest 120 s, then set 2" in told.close(bout(1, 10.0))


def test_a_correction_judges_by_the_same() -> None:
    asked = replace(ASKED, changes=(changed(40.0, reps=2),))
    told = Told(asked)
    told.connect()
    told.do(bout(1, 10.0))
    told.do(bout(2, 60.0, count=3))
    record = session_of(told, asked)
    after = corrected(record, [drop_rep(record.sets[1], 3)])
    assert [(one.verdict.count, one.verdict.target_reps) for one in after.sets] == [(3, 3), (2, 2)]
    assert after.verdict.outcome is Outcome.MET


@pytest.mark.parametrize(
    ("values", "counts"),
    [
        ({"reps": 2}, Outcome.NOT_MEASURABLE),
        ({"rest_s": 90.0}, Outcome.NOT_MEASURABLE),
        ({"rest_s": 30.0}, Outcome.MET),
    ],
)
def test_a_session_that_was_eased_tells_nothing_of_its_step(values: dict[str, object], counts: Outcome) -> None:
    asked = replace(ASKED, changes=(changed(40.0, **values),))
    told = Told(asked)
    told.connect()
    told.do(bout(1, 10.0))
    told.do(bout(2, 24.0 + 30.0))
    record = session_of(told, asked)
    assert record.outcome is Outcome.MET
    assert standing(record).outcome is counts


def test_the_line_of_what_is_asked_tells_it() -> None:
    asked = replace(ASKED, changes=(changed(40.0, reps=2, rest_s=90.0),))
    assert prescription_line(asked).endswith(" · then, by the coach: 2 reps, rest 90 s")


def _person(told: Told, clock: HostClock) -> Person:
    class Session:
        board, keeper, has_past = told.board, None, False

    return Person("Mara Lindt", Session(), clock)  # type: ignore[arg-type]


@pytest.mark.parametrize(("done", "from_s"), [(False, None), (True, 40.0)])
def test_it_holds_from_now_on_or_from_the_first_set_on(done: bool, from_s: float | None) -> None:
    told, clock = Told(), Clock()
    told.connect()
    if done:
        told.do(bout(1, 10.0))
    clock.at_s = 40.0
    _person(told, clock).ask_anew(changed(reps=2))
    assert [one.from_s for one in told.board.prescription.changes] == [from_s]
