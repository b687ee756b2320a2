"""A session with a station beside it: on the screen, and once the screen is left."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from uuid import uuid4

from analysis.logbook.book import Logbook
from analysis.logbook.entries import Trainee
from sensor.broker import Access, Address
from tests.brokers.coach import Coach, note
from tests.brokers.process import BrokerProcess
from tests.tui.golden import screen_text
from tests.tui.screen_feed import SHOWN
from tests.tui.screen_wishes import Wishes
from tui.app import RungwiseApp
from tui.home import Home
from tui.occasion import Occasion
from tui.running import new_runner
from tui.session.control import Feed
from tui.session.messages import Moment, Snapshot
from tui.share.sharing import Sharing, unsent_lines
from tui.wanted import Share


class NoRun:
    """A run without anybody."""

    is_stopping = True

    class bar:  # noqa: N801
        people: dict[str, object] = {}  # noqa: RUF012


class Nobody:
    """A feed that nobody looks at."""

    def post_snapshot(self, snapshot: Snapshot) -> None: ...

    def post_moment(self, moment: Moment) -> None: ...


def sharing(home: Path, broker: BrokerProcess) -> Sharing:
    share = Share(Address.parse(broker.url), Access(), "rack-3")
    return Sharing(share, Home(home), NoRun, watched=True)  # type: ignore[arg-type]


async def resting(feed: Feed) -> None:
    """Rest for as long as anybody looks."""
    while True:
        feed.post_snapshot(SHOWN["rest"])
        await asyncio.sleep(0.1)


async def test_the_screen_says_when_a_word_was_drawn(tmp_path: Path, hub: BrokerProcess) -> None:
    beside = sharing(tmp_path, hub)
    app = RungwiseApp(Occasion(beside.driver(resting), control=Wishes(), drawn=beside.drawn))
    async with Coach(tmp_path, hub.port).there() as coach, app.run_test(size=(80, 24)):
        await coach.until(lambda: bool(coach.presence and coach.nows))
        said = note("Breathe out on the way up")
        await coach.say("rack-3", said)
        await coach.until(lambda: bool(coach.shown))
        assert "Coach: Breathe out on the way up" in screen_text(app)
        assert "coach: not connected" not in screen_text(app)
        assert [(one["word"], one["state"]) for one in coach.shown] == [(said["word"], "shown")]
        app.exit()


@contextmanager
def coach_elsewhere(folder: Path, port: int) -> Iterator[threading.Event]:
    """Let a coach listen in a thread of its own; the event is set once it heard of a station."""
    begun, heard, over = threading.Event(), threading.Event(), threading.Event()

    async def listen() -> None:
        async with Coach(folder, port).there() as coach:
            begun.set()
            await coach.until(lambda: bool(coach.presence))
            heard.set()
            await asyncio.to_thread(over.wait)

    thread = threading.Thread(target=lambda: asyncio.run(listen()))
    thread.start()
    try:
        begun.wait(30)
        yield heard
    finally:
        over.set()
        thread.join(60)


def test_what_is_said_after_the_session_is_sent_as_the_screen_is_left(tmp_path: Path, hub: BrokerProcess) -> None:
    beside, home, told = sharing(tmp_path, hub), Home(tmp_path), Trainee(uuid4(), "Mara Lindt")
    with coach_elsewhere(tmp_path, hub.port) as heard, Logbook.open(home.logbook) as book:

        async def session(feed: Feed) -> None:
            await asyncio.to_thread(heard.wait, 60)
            await asyncio.sleep(0.3)

        with new_runner(network=True) as runner:
            runner.run(beside.driver(session)(Nobody()))
        book.keep_trainee(told)
        assert list(beside.left(book)) == []
    with Logbook.open(tmp_path / "coach.sqlite") as coachs:
        assert [one.id for one in coachs.trainees()] == [told.id]


def test_without_a_broker_it_is_told_what_to_do(tmp_path: Path, hub: BrokerProcess) -> None:
    hub.kill()
    beside, home = sharing(tmp_path, hub), Home(tmp_path)

    async def session(feed: Feed) -> None:
        await asyncio.sleep(1.0)

    with Logbook.open(home.logbook) as book:
        with new_runner(network=True) as runner:
            runner.run(beside.driver(session)(Nobody()))
        lines = list(beside.left(book))
    assert lines[0].startswith("coach: ")
    assert f"rungwise share {hub.url} --station rack-3" in lines[-1]


def test_the_command_that_sends_later_is_whole_and_holds_no_secret() -> None:
    access = Access(password="a-long-secret", ca=Path("gym.pem"))
    share = Share(Address.parse("mqtts://rack-3@gym.example"), access, "rack-3")
    (line,) = unsent_lines(2, True, share)
    assert (
        "rungwise share mqtts://rack-3@gym.example:8883 --station rack-3 --ca gym.pem, with the password as now" in line
    )
    assert "secret" not in line
