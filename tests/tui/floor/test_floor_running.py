"""What runs behind the floor: records into the logbook, marks back, words out, all of it after a setback as before."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import asynccontextmanager, suppress
from pathlib import Path
from uuid import UUID

import pytest
from floor_desk import Desk, Reached, made
from floor_feed import EPOCH, NOON_US, book_of, here, now, record, rest, shown

from analysis.logbook.entries import Trainee
from analysis.logbook.errors import LogbookError
from analysis.logbook.forgetting import Forgotten
from analysis.logbook.people import name_key
from sensor.broker import Letter
from tui.floor.headless import keep_telling, told
from tui.floor.kept import read_words, write_words
from tui.floor.view import FloorView
from tui.floor.words import Word
from tui.home import HomeError
from tui.share.envelope import from_bytes
from tui.share.topics import Kind, parse

RACK = book_of("rack-3")


@asynccontextmanager
async def running(desk: Desk) -> AsyncIterator[None]:
    desk.post.link.came()
    task = asyncio.create_task(desk.floor.run())
    try:
        yield
    finally:
        task.cancel()
        with suppress(asyncio.CancelledError):
            await task


def sends(desk: Desk, *letters: tuple[str, bytes]) -> None:
    for topic, payload in letters:
        desk.post.coming.put_nowait((Letter(topic, payload), desk.clock.at_s))


async def until(is_so: Callable[[], bool]) -> None:
    for _ in range(2000):
        if is_so():
            return
        await asyncio.sleep(0.005)
    raise TimeoutError


def heard(desk: Desk) -> Iterator[tuple[str, int]]:
    """Yield the marks that were told."""
    for one in desk.post.sent:
        where = parse(one.topic)
        if where and where.kind is Kind.HEARD:
            data = from_bytes(one.payload, Kind.HEARD).data
            yield data["epoch"], data["through"]


def words_sent(desk: Desk) -> list[str]:
    where = [(parse(one.topic), one) for one in desk.post.sent]
    return [from_bytes(one.payload, Kind.WORD).id for topic, one in where if topic and topic.kind is Kind.WORD]


async def test_records_are_applied_once_in_order_and_the_mark_is_told(tmp_path: Path) -> None:
    desk = made(tmp_path)
    async with running(desk):
        sends(desk, here("rack-3", last=5))
        await until(lambda: ("", 0) in heard(desk))
        sends(desk, *(record("rack-3", number) for number in (2, 1, 3, 3, 5, 1, 4)))
        await until(lambda: (EPOCH, 5) in heard(desk))
    assert desk.book.applied == [(RACK, EPOCH, number) for number in range(1, 6)]


async def test_what_is_in_the_logbook_already_is_not_applied_again(tmp_path: Path) -> None:
    desk = made(tmp_path)
    desk.book.marks[RACK] = Reached(EPOCH, 7)
    async with running(desk):
        sends(desk, here("rack-3", last=9), record("rack-3", 6), record("rack-3", 8))
        await until(lambda: (EPOCH, 8) in heard(desk))
    assert desk.book.applied == [(RACK, EPOCH, 8)]


async def test_a_logbook_that_is_held_is_told_and_tried_again(tmp_path: Path) -> None:
    desk = made(tmp_path)
    desk.book.fails = [LogbookError("The logbook is in use.")] * 2
    async with running(desk):
        sends(desk, here("rack-3"), record("rack-3", 1))
        await until(lambda: desk.floor.trouble == "The logbook is in use.")
        await until(lambda: not desk.floor.trouble)
        await until(lambda: (EPOCH, 1) in heard(desk))
    assert desk.book.applied == [(RACK, EPOCH, 1)]


def word(desk: Desk) -> str:
    return next(reversed(desk.gym.words.said))


async def test_a_word_outlives_the_program_and_is_sent_until_it_is_answered(tmp_path: Path) -> None:
    first = made(tmp_path)
    sent = asyncio.Event()
    async with running(first):
        first.desk.note("rack-3", "Chin over the bar.")
        name = word(first)
        await until(lambda: name in read_words(first.home.words).said)  # before anything is sent: it was not there yet
        assert not words_sent(first)
        sends(first, here("rack-3"), now("rack-3"))
        await until(lambda: words_sent(first) == [name])
        sent.set()
    assert sent.is_set()
    second = made(tmp_path)  # killed, and started again
    second.gym.words = read_words(second.home.words)
    async with running(second):
        sends(second, here("rack-3"))
        await until(lambda: words_sent(second) == [name])
        sends(second, shown("rack-3", name))
        await until(lambda: read_words(second.home.words).said[name].state == "shown")
    assert not second.gym.due_words(1e6)


async def test_of_somebody_forgotten_neither_plan_nor_words_stay(tmp_path: Path) -> None:
    desk = made(tmp_path)
    mara = Trainee(UUID(int=1), "Mara Lindt")
    desk.book.forgets = (Forgotten(mara, (), (), ()),)
    plans = [desk.home.plan(name_key(name)) for name in ("Mara Lindt", "Mara Lindtner")]
    plans.append(plans[0].with_name(f"{plans[0].name}.from-station"))
    desk.home.plans.mkdir(parents=True)
    for plan in plans:
        plan.write_text("x")
    async with running(desk):
        sends(desk, here("rack-3"), here("rack-4"), now("rack-3"), now("rack-4", trainee="Jonas Reiter"))
        await until(lambda: len(desk.desk.look().tiles) == 2)
        desk.desk.note("rack-3", "For her alone.")
        desk.desk.note("rack-4", "Well.")
        await until(lambda: len(read_words(desk.home.words).said) == 2)
        sends(desk, record("rack-3", 1))
        await until(lambda: len(read_words(desk.home.words).said) == 1)
    assert b"For her alone" not in desk.home.words.read_bytes()
    assert [plan.exists() for plan in plans] == [False, True, False]


async def test_nothing_is_told_while_the_broker_is_away_and_all_of_it_once_it_is_back(tmp_path: Path) -> None:
    desk = made(tmp_path)
    async with running(desk):
        desk.post.link.went("The broker does not answer.")
        sends(desk, here("rack-3"), record("rack-3", 1))
        await until(lambda: bool(desk.book.applied))
        await asyncio.sleep(0.05)
        assert not desk.post.sent
        desk.post.link.came()
        await until(lambda: (EPOCH, 1) in heard(desk))


def test_a_file_that_is_none_is_left_alone_and_told(tmp_path: Path) -> None:
    path = tmp_path / "words.json"
    for text in (
        "{",
        "[]",
        '{"format": "rungwise.words/9", "words": []}',
        '{"format": "rungwise.words/1", "words": [{}]}',
    ):
        path.write_text(text)
        with pytest.raises(HomeError, match="move it away"):
            read_words(path)
        assert path.read_text() == text


def test_a_folder_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    data = {"word": str(UUID(int=1)), "what": "note", "trainee": "", "text": "x"}
    with pytest.raises(HomeError, match="cannot be written"):
        write_words(tmp_path / "none" / "words.json", (Word(station="rack-3", data=data, sent_utc_us=NOON_US),))


def test_lines_say_who_does_what_once_it_changes(tmp_path: Path) -> None:
    desk = made(tmp_path)
    seen = [FloorView()]

    def lines(*letters: tuple[str, bytes]) -> list[str]:
        desk.give(*letters)
        seen.append(desk.desk.look())
        return list(told(*seen[-2:]))

    assert lines() == ["Connecting to mqtt://localhost …"]
    desk.post.link.came()
    assert lines(here("rack-3")) == ["The broker is connected.", "rack-3: no session yet · connected"]
    rung = "low-bar pull-up, feet on the floor"
    assert lines(now("rack-3")) == [f"rack-3: Mara Lindt · set 2 of 3 · 4 of 8 · {rung} · sensor good"]
    assert lines(now("rack-3", phase_s=0.9)) == []
    assert lines(rest("rack-3")) == [f"rack-3: Mara Lindt · before set 2 of 3 · 8 of 8 · {rung} · sensor good"]
    desk.desk.note("rack-3", "Well.")
    assert lines() == ["rack-3: note waits"]
    assert lines(shown("rack-3", word(desk))) == ["rack-3: note shown 12:00"]
    desk.clock.at_s += 1
    assert lines() == []
    desk.clock.at_s += 20
    (silent,) = lines()
    assert silent.endswith("on the floor · ◆ no word")
    desk.clock.at_s += 20
    assert lines() == []
    said, heard_again = lines((now("rack-3")[0], b"{"))
    assert "rack-3 sends what this Rungwise cannot read (it is no JSON" in said
    assert heard_again.endswith("sensor good")


async def test_lines_are_printed_with_the_time(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    desk = made(tmp_path)
    desk.post.link.came()
    desk.give(here("rack-3"), now("rack-3", trainee="Mara\x1b[31m"))
    task = asyncio.create_task(keep_telling(desk.desk))
    await asyncio.sleep(0.05)
    task.cancel()
    (line,) = capsys.readouterr().out.splitlines()
    assert line.startswith("12:00  rack-3: Mara�[31m · set 2 of 3 · 4 of 8")
