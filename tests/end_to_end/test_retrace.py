"""A recorded session, and a table of the same motion, looked at again: what is shown is what log and file hold."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import date
from pathlib import Path
from uuid import uuid4

import numpy as np
import pytest
from click.testing import CliRunner
from virtual_session import Gym

from analysis.motion.mounts import Mount
from analysis.training.superset import SetKind
from sensor.recording import Recording
from tui.answer import analyse_file
from tui.app import RungwiseApp
from tui.book.motion_out import motion_table
from tui.cli import main
from tui.home import Home
from tui.occasion import Occasion
from tui.retrace.built import set_of_record
from tui.retrace.live import LiveState
from tui.retrace.marks import Marking
from tui.retrace.recorded import recorded
from tui.retrace.room import last_enter, replay_enter
from tui.retrace.signals import with_motion
from tui.retrace.tabled import tabled
from tui.retrace.view import Note
from tui.rooms import Library, rooms_of
from tui.screens.log import LogScreen
from tui.screens.retrace import RetraceScreen
from tui.trouble import Trouble


def library(gym: Gym) -> Library:
    return Library(home=gym.home, logbook=gym.logbook, who=lambda: "", today=lambda: date(2026, 3, 2))


@pytest.fixture
def path(done: Gym) -> Path:
    (path,) = done.recordings()
    return path


def test_the_sets_are_those_of_the_log(done: Gym, path: Path) -> None:
    (record,) = done.records()
    view = recorded(path, done.logbook).view
    assert [len(one.reps) for one in view.sets] == [len(one.reps) for one in record.sets]
    assert [rep.start_s for rep in view.reps] == [rep.start_s for one in record.sets for rep in one.reps]
    assert [rep.outcome for rep in view.reps] == [rep.outcome for one in record.sets for rep in one.verdict.reps]


def test_a_recording_without_its_logbook_tells_the_same_reps(done: Gym, path: Path) -> None:
    known, alone = recorded(path, done.logbook).view, recorded(path).view
    assert [rep.edges for rep in alone.reps] == [rep.edges for rep in known.reps]
    assert alone.notes == ()


def test_every_rep_was_counted_live_and_lies_in_the_motion(done: Gym, path: Path) -> None:
    opened = recorded(path, done.logbook)
    signals = opened.load()
    view = with_motion(opened.view, signals)
    assert signals.span_s[0] == view.start_s
    for rep in view.reps:
        beside = view.live_beside(rep)
        assert beside is not None
        assert beside.state is LiveState.COUNTED
        sight = signals.sight(rep.start_s, rep.end_s, 40)
        assert sight.position is not None
        assert any(way.up and rep.start_s - 0.2 < way.start_s < rep.start_s + 1.0 for way in sight.ways)


def test_a_table_of_the_same_motion_shows_what_analyse_prints(path: Path, tmp_path: Path) -> None:
    with Recording.open(path) as recording:
        header, numbers = motion_table(recording)
    table = tmp_path / "belt.csv"
    np.savetxt(table, numbers, fmt="%.6f", delimiter=",", header=",".join(header), comments="")
    opened = tabled(table, Mount.BODY)
    found = analyse_file(table, Mount.BODY)
    assert [rep.start_s for rep in opened.view.reps] == [rep.start_s for one in found.sets for rep in one.reps]
    assert opened.live is not None
    counted = [one for one in opened.live().reps if one.state is LiveState.COUNTED]
    assert len(counted) == sum(one.count for one in found.sets)


def test_notes_are_kept_beside_what_was_measured(gym: Gym) -> None:
    session = gym.opening().open_session("", gym.book)
    session.begin()
    gym.run(session)
    session.end()
    (record,) = gym.records()
    screen = replay_enter(library(gym), str(record.session_id), record.sets[1].start_s)()()
    assert isinstance(screen, RetraceScreen)
    assert screen.place.head_s == record.sets[1].start_s
    assert screen.desk is not None
    (mark,) = screen.desk.keep(Marking(21.5))
    assert (mark.at_s, mark.text, mark.who) == (21.5, "", "")
    (note,) = screen.desk.keep(Marking(21.5, "elbows wide", "Katrin Vogt"))
    assert (note.at_s, note.text, note.who) == (21.5, "elbows wide", "Katrin Vogt")
    assert screen.desk.keep(Marking(9.0)) == (Note(9.0, "", "", note.day), note)
    assert screen.desk.keep(Marking(9.0, gone=True)) == (note,)
    (path,) = gym.recordings()
    assert recorded(path, gym.logbook).view.notes == (note,)
    assert gym.records() == [record]  # nothing that was measured is another


async def test_from_the_log_by_keys_into_the_replay_and_back(done: Gym) -> None:
    app = RungwiseApp(Occasion(rooms=rooms_of(library(done)), first="l"))
    async with app.run_test() as pilot:
        for keys, screen in ((), LogScreen), (("r",), RetraceScreen), (("q",), LogScreen), (("g", "r"), RetraceScreen):
            await pilot.press(*keys)
            for _ in range(100):
                if isinstance(app.screen, screen):
                    break
                await pilot.pause(0.1)
            assert isinstance(app.screen, screen), (keys, app.screen)


def test_whoever_shared_the_bar_is_named(done: Gym) -> None:
    (record,) = done.records()
    asked = record.prescription
    mine, his = set_of_record(record.sets[1], asked), set_of_record(record.sets[1], asked, "Jonas Reiter")
    warm_up = set_of_record(replace(record.sets[1], kind=SetKind.WARM_UP), asked)
    assert [one.label for one in (mine, his, warm_up)] == ["2", "Jonas Reiter 2", "warm-up 2"]
    assert mine.exercise == asked.exercise.name
    assert len({one.exercise for one in (mine, his, warm_up)}) == 3


def test_the_room_opens_the_last_session_that_was_recorded(done: Gym) -> None:
    assert isinstance(last_enter(library(done))()(), RetraceScreen)


def test_a_session_without_a_recording_says_so(done: Gym) -> None:
    with pytest.raises(Trouble, match="no recording of this session"):
        replay_enter(library(done), str(uuid4()))()


def test_a_changed_file_is_told_in_one_line(done: Gym, path: Path, tmp_path: Path) -> None:
    home = Home(tmp_path)
    (record,) = done.records()
    copy = home.recording(record.session_id)
    copy.write_bytes(path.read_bytes())
    with closing(sqlite3.connect(copy)) as changed, changed:
        changed.execute("DELETE FROM meta WHERE key = 'prescription'")
    with pytest.raises(Trouble, match="holds something that no session wrote"):
        replay_enter(replace(library(done), home=home), str(record.session_id))()


def test_nobody_recorded_yet_says_what_to_do(done: Gym) -> None:
    with pytest.raises(Trouble, match=r"No session of Jonas Reiter was recorded yet.*rungwise demo"):
        last_enter(replace(library(done), who=lambda: "Jonas Reiter"))()


def test_letters_that_no_recording_has_are_told_so(tmp_path: Path) -> None:
    wrong = CliRunner().invoke(main, ["--home", str(tmp_path), "replay", "zzz"])
    assert wrong.exit_code == 2
    assert "zzz is neither a file nor the first letters of a recorded session's id" in " ".join(wrong.stderr.split())


def test_a_table_needs_its_mount_and_a_screen() -> None:
    runner = CliRunner()
    without = runner.invoke(main, ["replay", "belt.csv"])
    assert without.exit_code == 2
    assert "needs --mount" in without.output
    headless = runner.invoke(main, ["replay", "belt.csv", "--mount", "body", "--headless"])
    assert headless.exit_code != 0
    assert "rungwise analyse" in headless.output
