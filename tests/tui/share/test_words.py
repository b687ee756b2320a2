"""A coach's words at a station: to whom, when, answered once, and never more than text (schema `word.1.json`)."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from uuid import uuid4

import pytest

from analysis.training.prescription import Tempo
from tests.brokers.coach import note, target
from tests.tui.screen_feed import PRESCRIPTION, SHOWN
from tui.session.messages import Snapshot, Stage
from tui.share.answered import MOST_KEPT, forget_targets, keep_answers, read_answers, read_targets
from tui.share.words import MOST_WAITING, Answer, Words, readable, refusal

REST = SHOWN["rest"]


def view_words(words: Words, shown: Snapshot = REST) -> frozenset[str]:
    view = words.view(shown)
    return frozenset(view.words if view else ())


def test_a_note_is_shown_from_its_coming_on_until_the_next_set_and_answered_once() -> None:
    words, said = Words(), note("Shoulders down first.")
    assert words.take(said) is None
    assert view_words(words, SHOWN["set"]) == frozenset()
    assert view_words(words) == {said["word"]}
    assert words.drawn(frozenset({said["word"]})) == (Answer(said["word"], "shown"),)
    assert words.drawn(frozenset({said["word"]})) == ()
    assert view_words(words) == {said["word"]}
    words.view(SHOWN["set"])
    assert view_words(words) == frozenset()
    assert words.take(said) == Answer(said["word"], "shown")  # the coach did not hear the answer
    assert view_words(words) == frozenset()


def test_what_was_not_drawn_before_a_set_waits_for_the_next_rest() -> None:
    words, said = Words(), note("Shoulders down first.")
    words.take(said)
    words.view(SHOWN["set"])
    assert view_words(words) == {said["word"]}


def test_a_note_for_somebody_waits_for_them() -> None:
    words, said = Words(), note("Breathe.", "jonas  REITER")
    words.take(said)
    assert view_words(words) == frozenset()
    jonas = replace(REST, trainee="Jonas Reiter")
    assert view_words(words, jonas) == {said["word"]}
    words.drawn(frozenset({said["word"]}))
    words.view(SHOWN["set"])  # somebody else's set
    assert view_words(words, jonas) == {said["word"]}


def test_a_target_is_shown_once_what_is_asked_was_changed() -> None:
    words, said = Words(), target("Mara Lindt", "Same tempo.", reps=8, rest_s=120, tempo="3-0-X-1")
    words.take(said)
    assert view_words(words) == frozenset()
    (changed,) = words.targets("Mara Lindt")
    assert (changed.reps, changed.rest_s, changed.tempo) == (8, 120, Tempo(3, 0, None, 1))
    assert list(words.targets("Jonas Reiter")) == []
    words.took(said["word"])
    view = words.view(REST)
    assert view is not None
    assert view.large == "8 REPS - TEMPO 30X1 - REST 120"
    assert view.lines == (
        "Coach: from the next set on 8 reps, up fast · top 1 · down 3 · bottom 0 (tempo 30X1), rest 120 s. Same tempo.",
    )


def test_a_tempo_that_is_none_is_refused_with_what_is_one() -> None:
    answer = Words().take(target(tempo="quick"))
    assert answer is not None
    assert (answer.state, "2011" in answer.text) == ("refused", True)


@pytest.mark.parametrize(
    ("asked", "values", "why"),
    [
        (PRESCRIPTION, {"reps": 3}, ""),
        (replace(PRESCRIPTION, sets=0), {"reps": 3}, "nothing is asked"),
        (PRESCRIPTION.as_test(), {"reps": 3}, "a test"),
        (replace(PRESCRIPTION, hold_s=20.0), {"reps": 3}, "held, not counted"),
        (replace(PRESCRIPTION, hold_s=20.0), {"rest_s": 30}, ""),
    ],
)
def test_what_cannot_be_changed_is_refused(asked: object, values: dict[str, object], why: str) -> None:
    words = Words()
    words.take(target(**values))
    (changed,) = words.targets("Mara Lindt")
    assert why in (found := refusal(asked, changed))  # type: ignore[arg-type]
    assert bool(found) == bool(why)


def test_what_became_of_a_plan_is_shown_to_its_trainee_and_answered_no_second_time() -> None:
    words = Words()
    for number, told in enumerate(("one came.", "another came.")):
        words.answer(f"plan-{number}", "kept")
        words.tell(f"plan-{number}", "mara lindt", told)
    assert words.view(replace(REST, trainee="Jonas Reiter")) is None
    view = words.view(REST)
    assert view is not None
    assert view.lines == ("Coach: another came.",)
    assert words.drawn(view.words) == ()
    assert words.known("plan-1") == Answer("plan-1", "kept")
    words.view(SHOWN["set"])
    assert view_words(words) == frozenset()


def test_a_flood_of_words_fills_no_memory_and_a_late_one_is_taken_later() -> None:
    words = Words()
    for _ in range(MOST_WAITING + 5):
        words.take(note("Breathe."))
    words.tell("plan-0", "Mara Lindt", "one came.")
    assert len(view_words(words)) == MOST_WAITING
    words.drawn(view_words(words))
    words.view(SHOWN["set"])
    late = note("Breathe.")
    words.take(late)
    assert view_words(words) == {late["word"]}


@pytest.mark.parametrize(
    "text", ["\x1b[2J\x1b]0;gone\x07 Breathe.", "Brea\u202ethe.", "a\r\nb\tc\x00", "[red]Breathe.[/red]"]
)
def test_nothing_from_outside_moves_the_cursor(text: str) -> None:
    words = Words()
    words.take(note(text, "Mara\x1bLindt"))
    words.take(note(text))
    view = words.view(REST)
    assert view is not None
    assert all(one.isprintable() for line in (*view.lines, view.large) for one in line)
    assert readable("a\r\nb\tc\x00") == "a b c"


def test_what_is_long_is_not_large() -> None:
    words = Words()
    words.take(note("x" * 280))
    view = words.view(replace(REST, stage=Stage.DONE))
    assert view is not None
    assert (view.large, len(view.lines[0])) == ("", 287)


def test_answers_outlive_the_program_and_are_bounded(tmp_path: Path) -> None:
    path = tmp_path / "answered.json"
    assert read_answers(path) == []
    first = [Answer(str(uuid4()), "shown") for _ in range(3)]
    keep_answers(path, first)
    words = Words()
    words.know(read_answers(path))
    assert words.take({**note("Breathe."), "word": first[0].word}) == first[0]
    keep_answers(path, [Answer(str(number), "kept", "x") for number in range(MOST_KEPT)])
    assert len(read_answers(path)) == MOST_KEPT
    path.write_text("{", "utf-8")
    assert read_answers(path) == []


def test_a_target_that_was_shown_holds_until_the_session_is_over() -> None:
    words, said = Words(), target("Mara Lindt", reps=8.0)
    words.take(said)
    assert words.held == ()
    words.took(said["word"])
    words.drawn(view_words(words))
    words.view(SHOWN["set"])
    assert words.held == (said,)
    (changed,) = words.targets("Mara Lindt")  # for a session that takes the place of the one it was shown in
    assert str(changed.reps) == "8"  # 8.0 is an integer (JSON Schema 2020-12, 6.1.1), and no count of reps
    words.took(said["word"])
    assert view_words(words) == frozenset()
    words.over("Jonas Reiter")
    assert words.held == (said,)
    words.over("Mara Lindt")
    assert words.held == ()
    assert list(words.targets("Mara Lindt")) == []


def test_a_target_is_shown_again_by_the_next_program_and_the_answer_stays() -> None:
    words, said = Words(), target("Mara Lindt", reps=8)
    words.know([Answer(said["word"], "shown")], [said])
    assert words.take(said) == Answer(said["word"], "shown")
    words.took(said["word"])
    assert view_words(words) == {said["word"]}
    assert words.drawn({said["word"]}) == (Answer(said["word"], "shown"),)


def test_targets_are_kept_for_their_day_and_forgotten_with_their_trainee(tmp_path: Path) -> None:
    path, mine, others = tmp_path / "answered.json", target("Mara Lindt", reps=8), target("Jonas Reiter", reps=9)
    forget_targets(path, "Mara Lindt")
    assert not path.exists()
    keep_answers(path, [Answer(mine["word"], "shown")], [mine, others], "2026-03-02")
    assert read_targets(path, "2026-03-03") == []
    assert read_targets(path, "2026-03-02") == [mine, others]
    forget_targets(path, "mara  lindt")
    assert read_targets(path, "2026-03-02") == [others]
    assert "Mara" not in path.read_text("utf-8")
    assert read_answers(path) == [Answer(mine["word"], "shown")]
    path.write_text(path.read_text("utf-8").replace('"reps": 9', '"reps": 900'), "utf-8")
    assert read_targets(path, "2026-03-02") == []
