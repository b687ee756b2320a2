"""A set done without the sensor, and one begun by mistake, are mended by one key while the session goes on."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

from at_the_keys import NAME, Person
from correcting import correct, rungwise
from virtual_session import Gym, Notebook, arrivals

from analysis.logbook.book import Logbook
from analysis.training.corrections import Act
from analysis.training.verdict import Outcome
from sensor.recording import Recording
from sensor.virtual.motion import TraineeFeed
from tui.home import Home
from tui.mending.going_on import broken_off, gone_on_with, plan_of
from tui.replay.replay import recomputed_events, stored_events
from tui.session.done import gist
from tui.session.messages import Stage
from tui.session.session import Session

NONE_MEASURED = "5 reps told, none measured: tempo not measurable."


def in_the_first_rest(gym: Gym, act: Callable[[Session], None], stage: Stage = Stage.REST) -> Session:
    """Do the demonstration's session; the first time that it is in a stage, do something."""
    session, done = gym.opening().open_session("", gym.book), False
    for arrival in arrivals(TraineeFeed()):
        gym.give(session, arrival)
        if not done and session.board.stage is stage:
            act(session)
            done = True
    session.end()
    return session


def test_a_told_set_is_the_same_on_the_board_and_in_the_log(gym: Gym) -> None:
    session = in_the_first_rest(gym, lambda session: session.tell_set(5))
    (record,) = gym.records()
    assert [(one.number, one.verdict.count, one.bouts) for one in record.sets] == [
        (1, 5, (0,)),
        (2, 5, ()),
        (3, 5, (1,)),
        (4, 5, (2,)),
    ]
    assert [gist(one) for one in record.sets] == [gist(one) for one in session.board.sets]
    told = record.sets[1]
    assert (told.verdict.tempo_outcome, told.verdict.remark) == (Outcome.NOT_MEASURABLE, NONE_MEASURED)
    assert told.verdict.tut_s is None
    assert [one.rest_before_s is None for one in record.sets] == [True, True, True, False]
    assert [one.bouts for one in session.board.measured] == [(0,), (1,), (2,)]
    assert not any(mark.disagrees for mark in record.marks)


def test_check_correct_and_replay_say_that_it_was_told(gym: Gym) -> None:
    in_the_first_rest(gym, lambda session: session.tell_set(5))
    assert NONE_MEASURED in rungwise(gym, "check", "Mara Lindt").stdout
    assert "set 2, a set of 5 reps, done without the sensor (told by key)" in correct(gym).stdout
    with Recording.open(gym.recordings()[0]) as recording:
        assert stored_events(recording) == recomputed_events(recording)
    back = correct(gym, "--undo")
    assert back.exit_code == 0, back.output
    assert [one.bouts for one in gym.records()[0].sets] == [(0,), (1,), (2,)]


def test_a_told_set_is_taken_out_and_dropped_and_comes_back(gym: Gym) -> None:
    def change_ones_mind(session: Session) -> None:
        session.tell_set(5)
        assert session.board.tally.undo == "take it out again"
        session.by_key.take_back()
        assert [one.bouts for one in session.board.sets] == [(0,)]
        session.tell_set(4)
        session.by_key.drop_last()
        assert [one.bouts for one in session.board.sets] == [(0,)]
        assert session.board.tally.undo == "count it again"
        session.by_key.take_back()

    session = in_the_first_rest(gym, change_ones_mind)
    (record,) = gym.records()
    assert [one.verdict.count for one in record.sets] == [5, 4, 5, 5]
    assert [gist(one) for one in record.sets] == [gist(one) for one in session.board.sets]
    made = [one.kind for one in gym.logbook.corrections(record.session_id)]
    assert made == [Act.ADD, Act.UNDO, Act.ADD, Act.DROP, Act.UNDO]


def test_nothing_is_told_without_a_sensor_or_in_a_set(gym: Gym) -> None:
    session = gym.opening().open_session("", gym.book)
    session.tell_set(5)
    assert session.board.sets == ()
    session = in_the_first_rest(gym, lambda session: session.tell_set(5), Stage.SET)
    assert [one.bouts for one in session.board.sets] == [(0,), (1,), (2,)]
    assert "A set is told before and between sets." in gym.book.text


def test_a_set_begun_by_mistake_is_left_out_once_it_is_over(gym: Gym) -> None:
    shown: list[str] = []

    def leave_out(session: Session) -> None:
        session.by_key.drop_last()
        shown.append(session.board.snapshot(gym.clock.at_s).cue)

    session = in_the_first_rest(gym, leave_out, Stage.SET)
    assert shown == ["not counted"]
    assert [one.bouts for one in session.board.sets] == [(1,), (2,)]
    (record,) = gym.records()
    assert [(one.number, one.bouts) for one in record.sets] == [(1, (1,)), (2, (2,))]
    assert "dropped by key" in correct(gym).stdout


def test_who_thinks_better_of_it_in_the_set_has_it_counted(gym: Gym) -> None:
    def think_twice(session: Session) -> None:
        session.by_key.drop_last()
        session.by_key.take_back()

    in_the_first_rest(gym, think_twice, Stage.SET)
    (record,) = gym.records()
    assert [one.bouts for one in record.sets] == [(0,), (1,), (2,)]
    assert gym.logbook.corrections(record.session_id) == ()


async def test_a_set_is_told_by_keys_and_counts_towards_those_asked(jonas: Person) -> None:
    async with jonas.at_the_screen():
        await jonas.press("0", "enter", "enter", "enter", "enter")
        assert "a add a set" in await jonas.until(Stage.REST)
        assert "how many reps? (enter: 5)" in await jonas.press("a")
        assert "A number from 1 to 99" in await jonas.press(*"0", "enter")
        await jonas.press("escape", "a")
        shown = await jonas.press("enter")
        assert "before set 3 of 3" in shown
        assert NONE_MEASURED in shown
        assert "seconds left of 20" in shown  # the rest begins now
        assert "take it out again" in shown
        assert "How hard was it" in await jonas.until(Stage.DONE)
        await jonas.press("6", "0")
        await jonas.press("q")
    (session,) = jonas.sessions
    assert [one.verdict.count for one in session.sets] == [5, 5, 5]
    assert session.outcome is not Outcome.MET  # nobody saw the tempo of the second one
    assert session.ended_utc_us is not None


async def test_a_told_set_is_there_where_a_session_is_gone_on_with(jonas: Person, tmp_path: Path) -> None:
    folder = tmp_path.parent / f"{tmp_path.name}-after"
    async with jonas.at_the_screen():
        await jonas.press("0", "enter", "enter", "enter", "enter")
        await jonas.until(Stage.REST)
        await jonas.press("a", "4", "enter")
        shutil.copytree(jonas.folder, folder)
        await jonas.press("q", "q")
    home = Home(folder)
    with Logbook.open(home.logbook) as book:
        broken = broken_off(home, book, NAME, jonas.sessions[0].day)
        assert broken is not None
        plan = plan_of(home, book, NAME, broken)
        session = gone_on_with(
            broken,
            plan,
            Notebook(),
            home=home,
            logbook=book,
            clock=jonas.clock,
            sensors=jonas.training._opening.sensors,  # type: ignore[arg-type]
        )
        while not session.relive(1000):
            pass
        assert [one.verdict.count for one in session.board.sets] == [5, 4]
        session.end()
        (record,) = book.sessions(plan.trainee.id)
        assert [one.verdict.count for one in record.sets] == [5, 4]


async def test_a_session_may_begin_with_a_told_set(jonas: Person) -> None:
    async with jonas.at_the_screen():
        await jonas.press("0", "enter", "enter", "enter", "enter")
        await jonas.sensor.until(lambda: jonas.clock.at_s > 2)
        assert jonas.is_in(Stage.READY)
        assert "before set 2 of 3" in await jonas.press("a", "5", "enter")
        await jonas.press("q", "q")
    (session,) = jonas.sessions
    assert [one.verdict.count for one in session.sets] == [5]
