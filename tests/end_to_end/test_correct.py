"""`rungwise correct` on the demonstration's session: three sets of five, the last two reps lowered too quickly."""

from __future__ import annotations

import json
from datetime import date
from typing import Any

import pytest
from correcting import COACH, correct, rungwise
from virtual_session import Gym, arrivals

from analysis.logbook.entries import RunKind
from analysis.training.corrections import Act, Because
from analysis.training.superset import SetKind
from sensor.virtual.motion import TraineeFeed
from tui.mending.by_key import said_by_key
from tui.session.messages import Stage
from tui.session.plans import DEMO_TRAINEE, demo_plan, in_turn_with


def counts(gym: Gym) -> list[int]:
    return [one.verdict.count for one in gym.records()[0].sets]


def logged(gym: Gym) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(rungwise(gym, "log", "--json").stdout)
    return found


def test_without_an_option_it_lists_what_can_be_corrected(mine: Gym) -> None:
    lines = correct(mine).stdout.splitlines()
    assert sum(line.startswith("set ") for line in lines) == 3
    assert sum(line.startswith("  rep ") for line in lines) == 15
    assert correct(mine, "--list").stdout.splitlines() == lines


def test_a_rep_is_taken_out_shown_and_given_back(mine: Gym) -> None:
    result = correct(mine, "--set", "2", "--rep", "3", "--drop-rep", "--reason", "n", "--text", "on tiptoe", *COACH)
    assert result.exit_code == 0, result.output
    assert "set 2: 4 (measured 5), missed  4 of 5 reps." in result.stdout
    assert "next: " in result.stdout
    assert counts(mine) == [5, 4, 5]
    assert "corrected by Ada (coach)" in rungwise(mine, "log").stdout
    document = logged(mine)
    (made,) = document["corrections"]
    assert (made["who"], made["role"], made["reason"], made["text"]) == ("Ada", "coach", "not-a-rep", "on tiptoe")
    second = document["sets"][1]
    assert (second["count"], second["measured_count"], second["corrected"]) == (4, 5, True)
    undone = correct(mine, "--undo")
    assert undone.exit_code == 0, undone.output
    assert "Ada (coach): set 2, a rep taken out (not a rep, on tiptoe)" in undone.stdout
    assert counts(mine) == [5, 5, 5]
    assert "(undone)" in correct(mine, "--list").stdout
    assert "is undone already" in correct(mine, "--undo", document["corrections"][0]["id"][:8]).stderr
    assert len(mine.logbook.corrections(mine.records()[0].session_id)) == 2  # nothing is removed


@pytest.mark.parametrize(
    ("words", "found"),
    [
        (("--set", "1", "--add-rep"), [6, 5, 5]),
        (("--set", "1", "--rep", "0", "--add-rep"), [6, 5, 5]),
        (("--set", "1", "--rep", "2", "--add-rep"), [6, 5, 5]),
        (("--set", "3", "--reps", "4,5", "--merge"), [5, 5, 4]),
        (("--set", "2", "--rep", "1", "--split"), [5, 6, 5]),
        (("--set", "2", "--rep", "1", "--split", "1.2"), [5, 6, 5]),
        (("--set", "2", "--rep", "1", "--kind", "partial"), [5, 4, 5]),
        (("--set", "2", "--rep", "1", "--kind", "one-and-a-half"), [5, 5, 5]),
        (("--set", "2", "--count", "7"), [5, 7, 5]),
        (("--set", "2", "--drop-set"), [5, 5]),
        (("--set", "1", "--relabel", "warm-up"), [5, 5]),
        (("--set", "2", "--relabel", "other-exercise"), [5, 5]),
        (("--load", "5"), [5, 5, 5]),
    ],
)
def test_each_way_to_correct_and_back(mine: Gym, words: tuple[str, ...], found: list[int]) -> None:
    before = mine.records()[0]
    result = correct(mine, *words, "--reason", "other")
    assert result.exit_code == 0, result.output
    after = mine.records()[0]
    assert counts(mine) == found
    assert after != before
    assert correct(mine, "--undo").exit_code == 0
    assert mine.records()[0] == before


def test_the_same_place_takes_more_than_one_rep(mine: Gym) -> None:
    for _ in range(2):
        assert correct(mine, "--set", "1", "--rep", "2", "--add-rep", "--reason", "m").exit_code == 0
    assert counts(mine) == [7, 5, 5]


def test_warm_ups_and_sets_of_another_exercise_are_listed_and_may_be_pointed_at(mine: Gym) -> None:
    assert correct(mine, "--set", "1", "--relabel", "warm-up", "--reason", "o").exit_code == 0
    assert correct(mine, "--set", "1", "--relabel", "other-exercise", "--reason", "e").exit_code == 0
    listed = [line for line in correct(mine).stdout.splitlines() if line.startswith("set ")]
    assert [line.split(",")[0] for line in listed] == [
        "set w1: warm-up",
        "set p1: the other exercise",
        "set 1: 5",
    ]
    assert "decides nothing" in correct(mine, "--set", "w1", "--count", "4", "--reason", "t").stderr
    assert "of that kind already" in correct(mine, "--set", "w1", "--relabel", "warm-up", "--reason", "o").stderr
    assert "names no set" in correct(mine, "--set", "x1", "--relabel", "warm-up", "--reason", "o").stderr
    assert correct(mine, "--set", "p1", "--drop-set", "--reason", "e").exit_code == 0
    assert not mine.records()[0].partners
    assert correct(mine, "--set", "w1", "--relabel", "counts", "--reason", "u").exit_code == 0
    assert counts(mine) == [5, 5]


def test_what_the_trainee_says_the_coach_confirms(mine: Gym) -> None:
    quick = ("--set", "3", "--reps", "4,5", "--merge", "--reason", "1")
    assert correct(mine, *quick).exit_code == 0
    assert correct(mine, "--set", "3", "--count", "5", "--reason", "m").exit_code == 0
    assert {mark.made.role.value for mark in mine.records()[0].marks} == {"trainee"}
    assert correct(mine, "--confirm", *COACH).exit_code == 0
    record = mine.records()[0]
    assert [mark.made.role.value for mark in record.marks] == ["trainee"] * 2 + ["coach"] * 2
    assert [one.verdict.count for one in record.sets] == [5, 5, 5]


def test_a_new_analysis_stands_beside_the_old_one(mine: Gym) -> None:
    (session,) = mine.logbook.sessions_called("")
    old = mine.logbook.runs(session)[-1]
    result = correct(mine, "--analyse-again")
    assert result.exit_code == 0, result.output
    assert "analysed again by" in result.stdout
    new = mine.logbook.runs(session)[-1]
    assert (new.kind, new.version, new.parameters_sha) == (RunKind.REANALYSIS, old.version, old.parameters_sha)
    assert new.clock_ratio == pytest.approx(old.clock_ratio)
    was, now = (mine.logbook.session_found(session, run.id) for run in (old, new))
    assert was is not None
    assert now is not None
    # the same analysis finds the same: reps to the last digit, as `replay --recompute` says of the events
    assert [one.reps for one in now.sets] == [one.reps for one in was.sets]
    assert "nothing new" in correct(mine, "--analyse-again").stdout
    assert len(mine.logbook.runs(session)) == len({run.id for run in (*mine.logbook.runs(session), new)})


def test_who_gives_no_reason_is_asked_for_one_key(mine: Gym, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tui.commands.correct.somebody_is_there", lambda: True)
    (session,) = mine.logbook.sessions_called("")
    result = rungwise(mine, "correct", str(session)[:8], "--set", "1", "--count", "4", keys="zt")
    assert result.exit_code == 0, result.output
    assert "t  typed wrong" in result.stderr
    assert [one.reason for one in mine.logbook.corrections(session)] == [Because.TYPED_WRONG]


def test_a_typed_session_is_corrected_and_the_next_one_follows(gym: Gym) -> None:
    assert rungwise(gym, "done", "Ines Rau", "--sets", "15,15,12", "--rest", "90").exit_code == 0
    assert "set 3: 15 (told 12), met" in correct(gym, "--set", "3", "--count", "15", "--reason", "t").stdout
    assert "has no reps to point at" in correct(gym, "--set", "3", "--add-rep", "--reason", "t").stderr
    assert rungwise(gym, "correct", "ffffffff-", "--analyse-again").exit_code == 2
    assert "no recording" in correct(gym, "--analyse-again").stderr
    helped = correct(gym, "--load", "-10", "--reason", "t", "--text", "with a band")
    assert helped.exit_code == 0, helped.output
    # with help it is no step of the rung, so it opens none
    assert "1 of this week's" not in helped.stdout


def test_what_cannot_be_is_said_with_what_there_is(mine: Gym) -> None:
    for words, says in (
        (("--set", "9", "--drop-set"), "there is 1, 2, 3"),
        (("--set", "1", "--rep", "9", "--drop-rep"), "it has reps 1 to 5"),
        (("--set", "1", "--drop-rep"), "say which rep"),
        (("--set", "1", "--reps", "1,3", "--merge"), "do not follow each other"),
        (("--set", "1", "--rep", "1", "--split", "99"), "cut it between"),
        (("--drop-set",), "say which set"),
        (("--undo", "zz"), "there is none"),
        (("--confirm", *COACH), "nothing to confirm"),
        (("--count", "5", "--drop-set"), "one at a time"),
        (("--set", "1", "--count", "5", "--role", "coach"), "name the coach"),
        (("--set", "1", "--count", "5", "--role", "coach", "--by", DEMO_TRAINEE), "somebody else corrects"),
        (("--confirm",), "only the coach"),
        (("--text", "hm"), "say what to correct"),
        (("--set", "1", "--rep", "2", "--count", "5"), "--count is about no rep"),
        (("--set", "1", "--undo"), "about the whole session"),
        (("--set", "1", "--rep", "2", "--list"), "say what the rep was"),
    ):
        asked = {"--undo", "--confirm", "--text", "--list"}.isdisjoint(words)
        told = ("--reason", "o") if asked else ()
        result = correct(mine, *words, *told)
        assert result.exit_code == 2, words
        assert says in result.stderr.replace("of this session there is: none", "there is none"), result.stderr
    assert not mine.logbook.corrections(mine.records()[0].session_id)
    assert "rungwise log lists them" in rungwise(mine, "correct").stderr
    assert "no session begins with zz" in rungwise(mine, "correct", "zz").stderr
    missing = correct(mine, "--set", "1", "--count", "5")
    assert missing.exit_code == 2
    assert "t typed-wrong" in missing.stderr
    assert "t typed-wrong" in correct(mine, "--set", "1", "--count", "5", "--reason", "hm").stderr


def test_a_set_dropped_by_key_is_given_back(gym: Gym) -> None:
    session = gym.opening().open_session("", gym.book)
    dropped = False
    for arrival in arrivals(TraineeFeed()):
        gym.give(session, arrival)
        if not dropped and session.board.stage is Stage.REST:
            session.by_key.drop_last()
            dropped = True
    session.end()
    assert [one.bouts for one in gym.records()[0].sets] == [(1,), (2,)]
    assert "dropped by key" in correct(gym).stdout
    back = correct(gym, "--undo")
    assert back.exit_code == 0, back.output
    assert [(one.number, one.bouts) for one in gym.records()[0].sets] == [(1, (0,)), (2, (1,)), (3, (2,))]


def test_a_set_dropped_and_taken_back_by_key_counts_on_the_board_and_in_the_log(gym: Gym) -> None:
    session = gym.opening().open_session("", gym.book)
    rests, resting = 0, False
    for arrival in arrivals(TraineeFeed()):
        gym.give(session, arrival)
        began = not resting and session.board.stage is Stage.REST
        resting = session.board.stage is Stage.REST
        if began:
            rests += 1
            (session.by_key.drop_last if rests == 1 else session.by_key.take_back)()
    session.end()
    (record,) = gym.records()
    assert [(one.number, one.bouts) for one in record.sets] == [(1, (0,)), (2, (1,)), (3, (2,))]
    assert [one.verdict for one in record.sets] == [one.verdict for one in session.board.sets]
    made = gym.logbook.corrections(record.session_id)
    assert [one.kind for one in made] == [Act.DROP, Act.UNDO]
    assert not said_by_key(made)  # so nothing is left out again where the session is gone on with


def test_a_set_relabelled_by_key_is_given_back_at_once(gym: Gym) -> None:
    plan = in_turn_with("press-up", demo_plan(gym.logbook, date(2026, 3, 2)))
    session = gym.opening(lambda _: plan).open_session("", gym.book)
    relabelled = False
    for arrival in arrivals(TraineeFeed()):
        gym.give(session, arrival)
        if not relabelled and session.board.stage is Stage.REST:
            session.by_key.relabel_last()
            relabelled = True
    session.end()
    live = [(one.kind, one.number) for one in session.board.all_sets]
    (record,) = gym.records()
    assert [one.verdict for one in record.sets] == [one.verdict for one in session.board.sets]
    assert [one.start_s for one in record.partners] == [session.board.all_sets[0].start_s]
    assert live[0] == (SetKind.PARTNER, 1)
    assert "another exercise (relabelled by key)" in correct(gym).stdout
    back = correct(gym, "--undo")
    assert back.exit_code == 0, back.output
    assert gym.records()[0] == gym.logbook.session_found(record.session_id)
    assert [one.bouts for one in gym.records()[0].sets] == [(0,), (1,), (2,)]
