"""A shared bar worked by keys only, with the virtual sensor's packets."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

from at_the_keys import Clock, Sensor, without_end, write_plan
from shared_bar import assert_replays, script_of, sent_by
from textual.pilot import Pilot
from virtual_session import Gym, Notebook

from analysis.logbook.book import Logbook
from analysis.training.statements import Pain
from tests.tui.golden import screen_text
from tui.app import RungwiseApp
from tui.home import Home, day_of
from tui.mending.going_on import broken_off
from tui.occasion import Occasion
from tui.session.messages import Stage
from tui.training.shared import SharedTraining
from tui.wanted import Wanted

MARA, JONAS, LEA = "Mara Lindt", "Jonas Reiter", "Lea Brandt"
NAMES = (MARA, JONAS, LEA)


class Floor:
    """Everybody at the bar, and whoever is at the keys."""

    def __init__(self, home: Home, book: Logbook) -> None:
        self.clock = Clock()
        sent = without_end(sent_by(script_of(5, 5, 5, rest_s=25.0)))
        self.sensor = Sensor(self.clock, sent, lambda: self.bar.is_busy)
        self.training = SharedTraining(
            home,
            book,
            self.clock,
            Wanted(turns=dict.fromkeys(NAMES)),
            open_source=lambda _: self.sensor.open(),
            asks=True,
        )
        self.bar = self.training.run.bar
        self.app = RungwiseApp(
            Occasion(
                self.training.drive,
                control=self.training.run,
                turns=self.training.turns,
                asked=self.training.asked,
            )
        )
        self.pilot: Pilot[None]

    @asynccontextmanager
    async def at_the_screen(self) -> AsyncIterator[None]:
        async with self.app.run_test(size=(80, 24)) as self.pilot:
            await self.pilot.pause()
            await self.sensor.until(lambda: self.bar.on is not None and self.stage(MARA) is Stage.READY)
            yield
        self.training.leave()

    async def press(self, *keys: str) -> str:
        """Press keys, and look what is on the screen then."""
        await self.pilot.press(*keys)
        await self.pilot.pause(0.05)
        self.app.frame()
        await self.pilot.pause()
        return " ".join(screen_text(self.app).split())

    def stage(self, name: str) -> Stage:
        return self.bar.people[name].session.board.stage

    async def set_by(self, name: str, then: str) -> None:
        """Let somebody do their set, until somebody else is next."""
        await self.sensor.until(lambda: self.bar.route.on == name and self.stage(name) is Stage.SET)
        await self.sensor.until(lambda: self.bar.route.on == then and self.stage(then) is not Stage.SET)


async def test_three_people_by_keys_one_with_pain_and_an_abort_in_the_middle(tmp_path: Path) -> None:
    home = Home(tmp_path)
    for name in NAMES:
        write_plan(home, name)
    with Logbook.open(home.logbook) as book:
        floor = Floor(home, book)
        async with floor.at_the_screen():
            assert f"{MARA}: Pain now" in await floor.press()  # she is next
            assert f"{MARA}: Bar over the floor" in await floor.press("0")
            await floor.press("h", "down", "down", "enter")
            await floor.set_by(MARA, JONAS)
            told = await floor.press()
            assert f"{JONAS}: Pain now" in told
            assert "Jonas Reiter sets 0 of 3 ready" in told
            assert "Mara Lindt sets 1 of 3 rest" in told
            await floor.set_by(JONAS, MARA)
            await floor.press("q", "q")
        known = {name: book.trainee(name) for name in NAMES}
        gym = Gym(home, book, floor.clock, Notebook())
        counts = {one.trainee: [done.verdict.count for done in one.sets] for one in gym.records()}
        today = day_of(floor.clock.utc_us())
        assert known[MARA]
        assert known[JONAS]
        assert counts == {known[MARA].id: [5], known[JONAS].id: [5]}
        assert all(broken_off(home, book, name, today) for name in (MARA, JONAS))  # `train NAME` offers to go on
        assert [one.now for one in book.statements(known[MARA].id) if isinstance(one, Pain)] == [0]
        assert any(line.startswith(f"{JONAS}: ") for line in floor.training.run.closing)
        assert_replays(gym)


async def test_who_hurts_is_told_why_and_the_others_go_on(tmp_path: Path) -> None:
    home = Home(tmp_path)
    for name in NAMES:
        write_plan(home, name)
    with Logbook.open(home.logbook) as book:
        floor = Floor(home, book)
        async with floor.at_the_screen():
            await floor.press("7", "1", "n")  # Mara
            await floor.sensor.until(lambda: floor.bar.people[MARA].session.board.ended)
            assert floor.bar.route.turns.order == (JONAS, LEA)
            told = await floor.press()
            assert "Mara Lindt sets 0 of 3 No session: pain 7 of 10" in told
            await floor.set_by(JONAS, LEA)
            await floor.press("q", "q")
        lead = book.trainee(MARA)
        assert lead is not None
        assert book.sessions(lead.id) == ()
        assert [one.now for one in book.statements(lead.id) if isinstance(one, Pain)] == [7]
