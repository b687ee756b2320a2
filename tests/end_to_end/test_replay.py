"""A replay shows what was shown, and can be moved about in."""

from __future__ import annotations

import asyncio
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from click.testing import CliRunner
from virtual_session import Gym, HandClock, Notebook, arrivals

from sensor.recording import Recording
from sensor.virtual.motion import TraineeFeed
from tui.cli import main
from tui.replay.replay import ReplayRun
from tui.session.control import SpanKind
from tui.session.messages import Stage
from tui.training.live import TICK_S


@pytest.fixture
def recording(done: Gym) -> Recording:
    (path,) = done.recordings()
    return Recording.open(path)


def played(recording: Recording) -> Notebook:
    book = Notebook()
    with recording:
        asyncio.run(ReplayRun(recording, speed=1e6, stay=False).run(book))
    return book


def told(book: Notebook, *kinds: str) -> list[str]:
    return [moment.text for moment in book.moments if moment.kind in kinds]


def test_the_same_is_told_as_then(done: Gym, recording: Recording) -> None:
    assert told(played(recording), "rep", "set", "verdict") == told(done.book, "rep", "set", "verdict")


def test_each_is_told_at_its_time_of_the_recording_however_quick_the_replay(done: Gym, recording: Recording) -> None:
    """As the session told it, within a packet of 0.1 s: events are kept by their own time, a packet causes them."""
    again = played(recording)
    kinds, times = ("rep", "set", "verdict", "link"), {}
    for kind in (*kinds, "rest"):
        times[kind] = [[m.at_s for m in book.moments if m.kind == kind] for book in (done.book, again)]
    assert {kind: len(now) for kind, (_, now) in times.items()} == {
        kind: len(then) for kind, (then, _) in times.items()
    }
    for kind in kinds:
        assert times[kind][1] == pytest.approx(times[kind][0], abs=0.1 + 1e-6)
    assert times["rest"][1] == pytest.approx(times["rest"][0], abs=2 * TICK_S)


def test_it_ends_where_the_session_ended(done: Gym, recording: Recording) -> None:
    last, then = played(recording).snapshots[-1], done.book.snapshots[-1]
    assert last.stage is Stage.DONE
    assert (last.count, last.hills, last.closed) == (then.count, then.hills, then.closed)


def test_a_seek_shows_the_state_of_that_moment(done: Gym, recording: Recording) -> None:
    at_s = next(one.elapsed_s for one in done.book.snapshots if one.stage is Stage.REST) + 1.0
    then = next(one for one in done.book.snapshots if one.elapsed_s >= at_s)

    async def seek_and_look() -> Notebook:
        book = Notebook()
        replay = ReplayRun(recording, speed=1.0, stay=True)
        replay.pause()
        replay.seek(at_s)
        task = asyncio.create_task(replay.run(book))
        await book.first_snapshot()
        task.cancel()
        return book

    with recording:
        first = asyncio.run(seek_and_look()).snapshots[0]
    assert first.stage is then.stage
    assert (first.set_number, first.count, first.hills) == (then.set_number, then.count, then.hills)
    assert first.rest_left_s == pytest.approx(then.rest_left_s, abs=0.2)


def test_the_time_line_has_the_sets_and_the_rests_between(recording: Recording) -> None:
    with recording:
        spans = ReplayRun(recording, speed=1.0, stay=False).spans
    assert [span.kind for span in spans] == [SpanKind.SET, SpanKind.REST] * 2 + [SpanKind.SET]
    assert all(span.start_s < span.end_s for span in spans)


def test_recompute_says_that_nothing_differs(done: Gym) -> None:
    (path,) = done.recordings()
    result = CliRunner().invoke(main, ["replay", str(path), "--recompute"])
    assert result.exit_code == 0, result.output
    assert "the same to the last digit" in result.output


def test_a_session_is_found_by_the_first_letters_of_its_id(done: Gym) -> None:
    (record,) = done.records()
    home = str(done.home.folder)
    result = CliRunner().invoke(
        main, ["--home", home, "replay", str(record.session_id)[:6], "--headless", "--speed", "1e6"]
    )
    assert result.exit_code == 0, result.output
    assert "set 3: 5 of 5 reps" in result.output


@pytest.mark.parametrize("named", ["zz", "missing.rungwise"])
def test_what_is_not_there_is_said_in_one_line(named: str, tmp_path: Path) -> None:
    result = CliRunner().invoke(main, ["--home", str(tmp_path), "replay", named])
    assert result.exit_code == 2
    assert result.stderr.startswith("rungwise: ")
    assert result.stderr.count("\n") == 1


def test_a_recording_without_a_packet_says_so(tmp_path: Path) -> None:
    from uuid import uuid4

    path = tmp_path / "empty.rungwise"
    Recording.create(path, session_id=uuid4(), clock=HandClock(), meta={}).close()
    result = CliRunner().invoke(main, ["replay", str(path), "--headless"])
    assert result.exit_code == 2
    assert "holds no packets" in result.stderr


def test_recompute_of_a_session_that_broke_off_says_so(gym: Gym) -> None:
    session = gym.opening().open_session("", gym.book)
    for arrival in arrivals(TraineeFeed()):
        gym.give(session, arrival)
        if arrival.at_s > 45.0:
            break
    (path,) = gym.recordings()  # nobody closes it
    result = CliRunner().invoke(main, ["replay", str(path), "--recompute"])
    assert result.exit_code == 0, result.output
    assert "the same to the last digit" in result.output
    assert "breaks off" in result.output


@pytest.mark.parametrize("way", ["--headless", "--recompute"])
def test_a_changed_recording_is_told_in_one_line(done: Gym, tmp_path: Path, way: str) -> None:
    (path,) = done.recordings()
    changed = tmp_path / "changed.rungwise"
    changed.write_bytes(path.read_bytes())
    with closing(sqlite3.connect(changed)) as database, database:
        database.execute("DELETE FROM meta")
    result = CliRunner().invoke(main, ["replay", str(changed), way, "--speed", "1e6"])
    assert result.exit_code == 2
    assert result.stderr.startswith("rungwise: ")
    assert result.stderr.count("\n") == 1
