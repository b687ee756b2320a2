"""Whole sessions of `rungwise train` by keys only."""

from __future__ import annotations

from at_the_keys import Person

from analysis.training.setup import SetUp, Support
from analysis.training.statements import Pain
from tui.session.messages import Stage
from tui.session.session import LEFT_ALONE_S


async def test_a_good_session_from_the_first_question_to_the_next_date(jonas: Person) -> None:
    async with jonas.at_the_screen():
        assert "Pain now" in await jonas.press()
        assert "Bar over the floor" in await jonas.press("0")
        assert jonas.sessions == ()  # nothing is written before it is known what is asked
        assert "AskPanel" not in await jonas.press(*"105", "enter", *"40", "enter", "enter", "enter")
        await jonas.until(Stage.REST)
        assert "How hard was it" in await jonas.until(Stage.DONE)
        done = await jonas.press("6", "1", "1", "n")
        assert "Next:" in done
        assert "How hard" not in done
        await jonas.press("q")
    (session,) = jonas.sessions
    assert [one.verdict.count for one in session.sets] == [5, 5, 5]
    assert session.ended_utc_us is not None
    assert session.set_up == SetUp(bar_cm=105, heels_cm=40, support=Support.RACK)
    assert session.rpe == 6
    assert jonas.pains == [0, 1]


async def test_with_pain_of_six_nothing_begins_and_the_reason_stands_there(jonas: Person) -> None:
    async with jonas.at_the_screen():
        told = await jonas.press("6", "2", "n")
        assert "No session: pain 6 of 10" in told
        assert "see your coach" in " ".join(told.split())
        await jonas.press("q")
    assert jonas.sessions == ()
    assert jonas.pains == [6]


async def test_who_answers_nothing_is_counted_and_asked_in_the_rest_and_at_the_end(jonas: Person) -> None:
    async with jonas.at_the_screen():
        assert "Pain now" not in await jonas.until(Stage.SET)
        assert "Pain now" in await jonas.until(Stage.REST)
        assert "Bar over the floor" in await jonas.press("2", "enter", "n")
        await jonas.until(Stage.SET)
        assert "How hard was it" in await jonas.until(Stage.DONE)
        assert "Bar over the floor" in await jonas.press("x", "0")
        await jonas.press(*"110", "enter", "enter", "enter", "enter", "q")
    (session,) = jonas.sessions
    assert [one.verdict.count for one in session.sets] == [5, 5, 5]
    assert (session.rpe, session.set_up.bar_cm) == (10, 110)
    assert jonas.pains == [2, 0]


async def test_a_session_that_is_left_alone_closes_itself_and_still_takes_the_answers(jonas: Person) -> None:
    async with jonas.at_the_screen():
        await jonas.press("0", "enter", "enter", "enter", "enter")
        await jonas.until(Stage.DONE)
        jonas.clock.at_s += LEFT_ALONE_S - 1
        assert jonas.sessions[0].ended_utc_us is None
        await jonas.look()
        jonas.clock.at_s += 1
        for _ in range(100):
            await jonas.pilot.pause(0.01)
            if jonas.sessions[0].ended_utc_us:
                break
        assert jonas.sessions[0].ended_utc_us is not None
        assert "How hard was it" in await jonas.look()
        assert "Next:" in await jonas.press("5", "0")
        await jonas.press("q")
    assert jonas.sessions[0].rpe == 5
    assert jonas.pains == [0, 0]


async def test_pain_of_seven_said_in_the_rest_ends_the_session_there(jonas: Person) -> None:
    async with jonas.at_the_screen():
        await jonas.until(Stage.REST)
        told = await jonas.press("7", "1", "n")
        assert "No session: pain 7 of 10" in told
        assert "How hard was it" in told
        await jonas.press("9", "q")
    (session,) = jonas.sessions
    assert len(session.sets) == 1
    assert session.ended_utc_us is not None
    assert session.rpe == 9


async def test_forgotten_answers_are_none(jonas: Person) -> None:
    async with jonas.at_the_screen():
        await jonas.press("0", "enter", "enter", "enter", "enter")
        await jonas.until(Stage.REST)
        assert "How hard was it" in await jonas.press("q")
        await jonas.press("q")
    (session,) = jonas.sessions
    assert session.ended_utc_us is not None
    assert session.rpe is None
    assert jonas.pains == [0]


async def test_who_gets_the_bar_by_a_key_is_asked_as_well(jonas: Person) -> None:
    async with jonas.at_the_screen():
        await jonas.press("0", "enter", "enter", "enter", "enter")
        await jonas.until(Stage.REST)
        jonas.training.run.switch_trainee("Lea Amrein")
        assert jonas.training.run.trainee == "Lea Amrein"
        assert "Pain now" in await jonas.look()
        assert "Bar over the floor" in await jonas.press("3", "enter", "n")
        await jonas.until(Stage.SET)
        assert "Pain now" not in await jonas.until(Stage.REST)
        assert "How hard was it" in await jonas.press("q")
        await jonas.press("q")
    lea = jonas.book.trainee("Lea Amrein")
    assert lea is not None
    assert [one.now for one in jonas.book.statements(lea.id) if isinstance(one, Pain)] == [3]
    assert jonas.pains == [0]
    assert [len(one.sets) for one in jonas.book.sessions(lea.id)] == [1]
