"""`rungwise floor` against real brokers with TLS, accounts and rules: what a station did is at the coach's, once.

The floor is killed (SIGKILL) in the middle of it, and so is the broker (OASIS MQTT 3.1.1, 4.3.2: QoS 1 may lose what
a clean session held, and deliver twice). Whatever happens, the coach's logbook ends equal to the station's.
"""

from __future__ import annotations

import asyncio
import os
import subprocess
import sys
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import asynccontextmanager, contextmanager, suppress
from pathlib import Path
from uuid import UUID

import pytest
from far_rack import Rack

from analysis.logbook.book import Logbook
from tests.analysis.logbook.keeping import keep
from tests.analysis.logbook.telling import same
from tests.analysis.logbook.test_logbook_outlines import dropped, session
from tests.brokers.certificates import Certificates
from tests.brokers.mosquitto import PASSWORDS
from tests.brokers.process import BrokerProcess
from tui.floor.kept import read_words, write_words
from tui.floor.words import Word
from tui.home import Home

NOTE = {"word": str(UUID(int=9)), "what": "note", "trainee": "Mara Lindt", "text": "Chin over the bar."}
PATIENCE_S, LOOK_S = 60.0, 0.02


@pytest.fixture
def station(tmp_path: Path) -> Iterator[Logbook]:
    with Logbook.open(tmp_path / "station.sqlite") as book:
        train(book, range(12))
        yield book


def train(book: Logbook, numbers: range) -> None:
    mara = book.trainee("Mara Lindt") or book.add_trainee("Mara Lindt")
    for number in numbers:
        record = session(number)
        keep(book, record, mara.id)
        book.add_correction(dropped(record))


class Coach:
    """The coach's computer: the floor as lines, in a process that can be killed."""

    def __init__(self, folder: Path, url: str, ca: Path) -> None:
        self.home, self._url, self._ca, self.log = Home(folder / "coach"), url, ca, folder / "floor.log"

    @contextmanager
    def on_the_floor(self) -> Iterator[subprocess.Popen[bytes]]:
        command = ["--home", str(self.home.folder), "floor", self._url, "--headless", "--ca", str(self._ca)]
        environ = {**os.environ, "RUNGWISE_MQTT_PASSWORD": PASSWORDS["coach"]}
        with self.log.open("ab") as output:
            start = [sys.executable, "-c", "from tui.cli import main; main()", *command]
            process = subprocess.Popen(start, stdout=output, stderr=output, env=environ)
        try:
            yield process
        finally:
            process.kill()
            process.wait()

    def through(self, source: UUID) -> int:
        with Logbook.open(self.home.logbook) as book:
            return book.mark(source).through

    def said(self) -> str:
        return self.log.read_text()


async def until(is_so: Callable[[], bool], coach: Coach) -> None:
    for _ in range(round(PATIENCE_S / LOOK_S)):
        if await asyncio.to_thread(is_so):
            return
        await asyncio.sleep(LOOK_S)
    pytest.fail(f"it never came to that; the floor said: {coach.said()[-2000:]}")


@asynccontextmanager
async def at_work(rack: Rack) -> AsyncIterator[Rack]:
    being_there = asyncio.create_task(rack.run())
    try:
        yield rack
    finally:
        being_there.cancel()
        with suppress(asyncio.CancelledError):
            await being_there


async def through_faults(rack: Rack, coach: Coach, broker: BrokerProcess) -> None:
    """Kill the floor in the middle, then the broker, then the floor again before a word is answered."""
    source, last = rack.book.stream().station, rack.book.stream().last
    with coach.on_the_floor():
        await until(lambda: coach.through(source) > 0, coach)
    assert coach.through(source) < last
    with coach.on_the_floor():
        await until(lambda: coach.through(source) > last // 2, coach)
        broker.kill()
        broker.start()
        await until(lambda: coach.through(source) == last, coach)
        await until(lambda: len(rack.words) > 0, coach)
    rack.answers = True
    train(rack.book, range(12, 14))
    with coach.on_the_floor():
        await until(lambda: coach.through(source) == rack.book.stream().last, coach)
        await until(lambda: read_words(coach.home.words).said[NOTE["word"]].state == "shown", coach)


async def test_the_coachs_logbook_ends_equal_whatever_is_killed(
    broker_guarded: BrokerProcess, certificates: Certificates, station: Logbook, tmp_path: Path
) -> None:
    coach = Coach(tmp_path, broker_guarded.url, certificates.ca)
    write_words(coach.home.words, (Word(station="rack-3", data=NOTE, sent_utc_us=1),))
    here = Rack("rack-3", station, broker_guarded.url, PASSWORDS["rack-3"], certificates.ca)
    async with at_work(here) as rack:
        await through_faults(rack, coach, broker_guarded)
    with Logbook.open(coach.home.logbook) as book:
        assert same(station, book)
        assert book.mark(station.stream().station).refused == 0
        assert book.stream().last == 0  # what came is not told on as ours
    assert rack.told > station.stream().last  # it was sent more than once, and is there once
    assert {word["text"] for word in rack.words} == {"Chin over the bar."}
    assert PASSWORDS["coach"] not in coach.said()


async def test_a_wrong_password_is_told_and_shown_nowhere(
    broker_guarded: BrokerProcess, certificates: Certificates, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(PASSWORDS, "coach", "not-the-one")
    coach = Coach(tmp_path, broker_guarded.url, certificates.ca)
    with coach.on_the_floor():
        await until(lambda: "No broker since" in coach.said(), coach)
    assert "password" in coach.said()
    assert "not-the-one" not in coach.said()
