"""Whole virtual sessions, shared with a coach over a real broker that dies; the coach's logbook ends equal.

OASIS MQTT 3.1.1, 3.1.2.5 (Will), 3.3.1.3 (RETAIN), 4.3.2 (QoS 1); that nothing is lost is the station's own doing.
"""

from __future__ import annotations

import asyncio
import json
import signal
import sys
from collections.abc import Callable
from pathlib import Path

from analysis.logbook.book import Logbook
from tests.brokers.coach import Coach, note, target
from tests.brokers.process import BrokerProcess
from tui.home import Home

COMMAND = [sys.executable, "-c", "import sys; sys.argv[0] = 'rungwise'; from tui.cli import main; main()"]
SPEED = "6"


async def station(home: Path, *words: str) -> asyncio.subprocess.Process:
    pipe = asyncio.subprocess.PIPE
    folder = Path(__file__).parents[2]
    return await asyncio.create_subprocess_exec(
        *COMMAND, "--home", str(home), *words, stdout=pipe, stderr=pipe, cwd=folder, limit=2**22
    )


async def demo(home: Path, broker: BrokerProcess) -> asyncio.subprocess.Process:
    return await station(home, "demo", "--headless", "--speed", SPEED, "--share", broker.url, "--station", "rack-3")


def stage_is(coach: Coach, stage: str, number: int) -> Callable[[], bool]:
    def is_so() -> bool:
        return bool(coach.nows) and (coach.nows[-1]["stage"], coach.nows[-1]["set_number"]) == (stage, number)

    return is_so


def dumped(book: Logbook) -> str:
    return json.dumps(book.dump([one.id for one in book.trainees()]), sort_keys=True, default=str)


def logged(home: Path) -> str:
    with Logbook.open(Home(home).logbook) as book:
        return dumped(book)


async def test_a_session_is_followed_and_answers(tmp_path: Path, hub: BrokerProcess) -> None:
    async with Coach(tmp_path, hub.port).there() as coach:
        running = await demo(tmp_path / "home", hub)
        await coach.until(stage_is(coach, "rest", 2))
        said = note("Shoulders down first", "Mara Lindt")
        changed = target("Mara Lindt", reps=4, rest_s=12.0)
        for word in (said, changed, said):
            await coach.say("rack-3", word)
        out, err = await running.communicate()
        assert running.returncode == 0, err.decode()
        assert dumped(coach.book) == logged(tmp_path / "home")
        assert {one["word"]: one["state"] for one in coach.shown} == {said["word"]: "shown", changed["word"]: "shown"}
        assert out.decode().count("Coach: Shoulders down first") == 1
        assert out.decode().count("Coach: from the next set on 4 reps, rest 12 s.") == 1
        assert b"did not reach" not in out
        assert [one["state"] for one in coach.presence] == ["here", "gone"]
        with Logbook.open(Home(tmp_path / "home").logbook) as book:
            session = book.sessions(book.trainees()[0].id)[0]
        (kept,) = session.prescription.changes
        assert kept.word == changed["word"]
        later = [kept.holds_at(one.start_s) for one in session.sets]  # a busy machine may read the rest in the next set
        assert (later[0], later[2]) == (False, True)
        assert [one.verdict.target_reps for one in session.sets] == [4 if it_is else 5 for it_is in later]
        assert [one.verdict.target_rest_s for one in session.sets] == [12.0 if it_is else 20.0 for it_is in later]


async def test_a_broker_that_dies_within_a_set_costs_nothing(tmp_path: Path, hub: BrokerProcess) -> None:
    async with Coach(tmp_path, hub.port).there() as coach:
        running = await demo(tmp_path / "home", hub)
        await coach.until(stage_is(coach, "set", 2))
        hub.kill()
        await asyncio.sleep(1.0)
        hub.start()
        out, err = await running.communicate()
        assert running.returncode == 0, err.decode()
        assert b"set 3" in out
        assert (await (await station(tmp_path / "home", "share", hub.url, "--station", "rack-3")).wait()) == 0
        assert dumped(coach.book) == logged(tmp_path / "home")


async def test_a_station_that_is_killed_goes_on_later(tmp_path: Path, hub: BrokerProcess) -> None:
    async with Coach(tmp_path, hub.port).there() as coach:
        running = await demo(tmp_path / "home", hub)
        await coach.until(stage_is(coach, "rest", 2))
        await coach.until(lambda: bool(coach.records))
        running.send_signal(signal.SIGKILL)
        await running.communicate()
        await coach.until(lambda: coach.presence[-1]["state"] == "gone")
        again = await station(tmp_path / "home", "share", hub.url, "--station", "rack-3")
        out, err = await again.communicate()
        assert again.returncode == 0, err.decode()
        assert b"the coach has all of the log" in out
        assert dumped(coach.book) == logged(tmp_path / "home")


async def test_without_a_coach_or_a_broker_it_says_so_and_keeps_all(tmp_path: Path, hub: BrokerProcess) -> None:
    hub.kill()
    running = await demo(tmp_path / "home", hub)
    out, err = await running.communicate()
    assert running.returncode == 0, err.decode()
    assert b"What is in the log is kept: rungwise share mqtt://127.0.0.1:" in out
    hub.start()
    async with Coach(tmp_path, hub.port).there() as coach:
        again = await station(tmp_path / "home", "share", hub.url, "--station", "rack-3")
        assert await again.wait() == 0
        assert dumped(coach.book) == logged(tmp_path / "home")
