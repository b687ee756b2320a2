"""A shared bar worked by keys only, with the virtual sensor's packets: from the first question to an abort in the middle."""

from __future__ import annotations

from pathlib import Path

from at_the_keys import Clock, Sensor, without_end, write_plan
from shared_bar import assert_replays, script_of, sent_by
from virtual_session import Gym, Notebook

from analysis.logbook.book import Logbook
from analysis.training.statements import Pain
from tests.tui.golden import screen_text
from tui.app import RungwiseApp
from tui.going_on import broken_off
from tui.home import Home, day_of
from tui.messages import Stage
from tui.occasion import Occasion
from tui.shared import SharedTraining
from tui.wanted import Wanted

MARA, JONAS, LEA = "Mara Lindt", "Jonas Reiter", "Lea Brandt"


async def test_three_people_by_keys_one_with_pain_and_an_abort_in_the_middle(tmp_path: Path) -> None:
    home, clock = Home(tmp_path), Clock()
    for name in (MARA, JONAS, LEA):
        write_plan(home, name)
    sensor = Sensor(clock, without_end(sent_by(script_of(5, 5, 5, rest_s=25.0))))
    with Logbook.open(home.logbook) as book:
        wanted = Wanted(turns=dict.fromkeys((MARA, JONAS, LEA)))
        training = SharedTraining(home, book, clock, wanted, open_source=lambda _: sensor.open(), asks=True)
        bar = training.run.bar
        app = RungwiseApp(Occasion(training.drive, control=training.run, turns=training.turns, asked=training.asked))

        def is_next(name: str) -> bool:
            return bar.route.on == name and bar.people[name].session.board.stage is not Stage.SET

        async with app.run_test(size=(80, 24)) as pilot:

            async def press(*keys: str) -> str:
                await pilot.press(*keys)
                await pilot.pause(0.05)
                app.frame()
                await pilot.pause()
                return " ".join(screen_text(app).split())

            await pilot.pause()
            await sensor.until(lambda: bar.on is not None and bar.on.session.board.stage is Stage.READY)
            assert "Pain now" in await press()
            assert "Bar over the floor" in await press("0")  # Mara's; she leaves the rest for later
            await press(*"105", "enter", "enter", "enter", "enter", "enter")
            assert "Pain now" in await press()  # Jonas, who waits
            await press("1", "2", "enter", "enter", "enter", "enter", "enter")
            told = await press("7", "1", "n")  # Lea
            assert bar.people[LEA].session.board.ended
            await sensor.until(lambda: bar.people[MARA].session.board.stage is Stage.SET)
            assert "set 1 of 3" in await press()
            await sensor.until(lambda: is_next(JONAS))
            told = await press()
            assert "Jonas Reiter sets 0 of 3 ready" in told
            assert "Mara Lindt sets 1 of 3 rest" in told
            await sensor.until(lambda: bar.people[JONAS].session.board.stage is Stage.SET)
            await sensor.until(lambda: is_next(MARA))
            await press("q", "q")
        training.leave()
        gym = Gym(home, book, clock, Notebook())
        records = {one.trainee: one for one in gym.records()}
        who = {name: book.trainee(name) for name in (MARA, JONAS, LEA)}
        for name in (MARA, JONAS):
            known = who[name]
            assert known is not None
            assert [one.verdict.count for one in records[known.id].sets] == [5]
            assert broken_off(home, book, name, day_of(clock.utc_us())) is not None  # `train NAME` offers to go on
        lea = who[LEA]
        assert lea is not None
        assert lea.id not in records  # nobody hung for her, and her pain is kept
        assert [one.now for one in book.statements(lea.id) if isinstance(one, Pain)] == [7]
        assert any(line.startswith(f"{JONAS}: ") for line in training.run.closing)
        assert_replays(gym)
