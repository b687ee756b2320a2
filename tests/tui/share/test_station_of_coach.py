"""A station beside a session: what it tells over a real broker, and that no broker holds up the session."""

from __future__ import annotations

import asyncio
import shutil
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import replace
from pathlib import Path
from uuid import uuid4

import pytest

from analysis.logbook.book import Logbook
from analysis.logbook.entries import Trainee
from analysis.training.plan import default_plan
from sensor.broker import Access, Address
from sensor.source import SystemClock
from tests.analysis.logbook.keeping import keep
from tests.analysis.logbook.test_logbook_outlines import session
from tests.brokers.coach import Coach, note, plan, target
from tests.brokers.process import BrokerProcess
from tests.tui.screen_feed import SHOWN
from tui.book.plan_file import write_plans
from tui.book.plan_text import plan_text
from tui.home import Home
from tui.session.messages import Moment, Snapshot
from tui.share.now import Felt
from tui.share.plans import digest
from tui.share.sharing import Tap
from tui.share.station import NOT_CONNECTED, PLAN_TOLD, Station

SET, REST = SHOWN["set"], SHOWN["rest"]


@asynccontextmanager
async def station(home: Path, broker: BrokerProcess, felt: Felt = Felt()) -> AsyncIterator[Station]:  # noqa: B008
    at = Address.parse(broker.url)
    async with Station(at, Access(), "rack-3", Home(home), SystemClock(), lambda _: felt) as one:
        yield one


class NoRun:
    """A run without anybody."""

    class bar:  # noqa: N801
        people: dict[str, object] = {}  # noqa: RUF012


class Screen:
    """A feed that remembers."""

    def __init__(self) -> None:
        self.shown: list[Snapshot] = []
        self.told: list[str] = []

    def post_snapshot(self, snapshot: Snapshot) -> None:
        self.shown.append(snapshot)

    def post_moment(self, moment: Moment) -> None:
        self.told.append(moment.text)


async def test_what_is_shown_is_told_with_what_was_felt(tmp_path: Path, broker: BrokerProcess) -> None:
    async with (
        Coach(tmp_path, broker.port).there() as coach,
        station(tmp_path, broker, Felt(4, "pain 4 of 10: no more today")) as one,
    ):
        one.saw(SET)
        await coach.until(lambda: bool(coach.nows))
        assert (coach.nows[0]["pain"], coach.nows[0]["stop"]) == (4, "pain 4 of 10: no more today")
        assert one.link == ""
    assert [told["state"] for told in coach.presence] == ["here", "gone"]
    assert not list(one.faults)


async def test_who_comes_later_hears_at_once_how_it_stands(tmp_path: Path, broker: BrokerProcess) -> None:
    async with station(tmp_path, broker) as one:
        one.saw(REST)
        await one.up()
        await asyncio.sleep(0.5)
        async with Coach(tmp_path, broker.port).there() as coach:  # OASIS MQTT 3.1.1, 3.3.1.3 RETAIN
            await coach.until(lambda: bool(coach.nows and coach.presence))
            assert (coach.presence[0]["state"], coach.nows[0]["stage"]) == ("here", "rest")


async def test_a_word_is_answered_once_shown_also_after_a_restart(tmp_path: Path, hub: BrokerProcess) -> None:
    said = note("Breathe out on the way up.")
    async with Coach(tmp_path, hub.port).there() as coach:
        for times_told in (1, 0):  # the second station is the same one, started again
            screen = Screen()
            async with station(tmp_path, hub) as one:
                tap = Tap(screen, one, NoRun, watched=False)  # type: ignore[arg-type]
                await one.up()
                before = len(coach.shown)
                await coach.until(lambda: bool(coach.presence))
                await coach.say("rack-3", said)
                await coach.say("rack-3", said)
                async with asyncio.timeout(30):
                    while len(coach.shown) == before:
                        tap.post_snapshot(REST)
                        await asyncio.sleep(0.05)
                assert screen.told == ["Coach: Breathe out on the way up."] * times_told
        assert {(one["word"], one["state"]) for one in coach.shown} == {(said["word"], "shown")}


async def test_a_target_that_was_answered_outlives_its_program(tmp_path: Path, hub: BrokerProcess) -> None:
    """No recording need have begun: a station that is killed then asks for the same when it is started again."""
    said = target("Mara Lindt", reps=7)
    async with Coach(tmp_path, hub.port).there() as coach:
        async with station(tmp_path, hub) as one:
            await one.up()
            await coach.until(lambda: bool(coach.presence))
            await coach.say("rack-3", said)
            async with asyncio.timeout(30):
                while not list(one.words.targets("Mara Lindt")):  # noqa: ASYNC110
                    await asyncio.sleep(0.05)
            one.words.took(said["word"])
            one.drawn([said["word"]])
            await coach.until(lambda: bool(coach.shown))
        for _ in range(2):
            async with station(tmp_path, hub) as again:
                await again.up()
                assert [changed.reps for changed in again.words.targets("mara lindt")] == [7]
        async with station(tmp_path, hub) as at_last:
            await at_last.up()
            at_last.words.over("Mara Lindt")
        async with station(tmp_path, hub) as later:
            await later.up()
            assert list(later.words.targets("Mara Lindt")) == []
    assert {(one["word"], one["state"]) for one in coach.shown} == {(said["word"], "shown")}


async def test_a_word_is_told_once_also_where_another_comes_later(tmp_path: Path, hub: BrokerProcess) -> None:
    async with Coach(tmp_path, hub.port).there() as coach, station(tmp_path, hub) as one:
        screen = Screen()
        tap = Tap(screen, one, NoRun, watched=False)  # type: ignore[arg-type]
        await one.up()
        await coach.until(lambda: bool(coach.presence))
        for number, text in enumerate(("Breathe out.", "Shoulders down."), start=1):
            await coach.say("rack-3", note(text))
            async with asyncio.timeout(30):
                while len(screen.told) < number:
                    tap.post_snapshot(REST)
                    await asyncio.sleep(0.05)
        assert screen.told == ["Coach: Breathe out.", "Coach: Shoulders down."]


async def test_what_is_not_drawn_is_not_shown(tmp_path: Path, hub: BrokerProcess) -> None:
    said = note("Breathe out on the way up.")
    async with Coach(tmp_path, hub.port).there() as coach, station(tmp_path, hub) as one:
        screen = Screen()
        tap = Tap(screen, one, NoRun, watched=True)  # type: ignore[arg-type]
        await one.up()
        await coach.until(lambda: bool(coach.presence))
        await coach.say("rack-3", said)
        async with asyncio.timeout(30):
            while not (screen.shown and screen.shown[-1].coach):
                tap.post_snapshot(REST)
                await asyncio.sleep(0.05)
        assert coach.shown == []
        one.drawn(screen.shown[-1].coach.words)
        one.drawn(screen.shown[-1].coach.words)
        await coach.until(lambda: bool(coach.shown))
        assert [(one["word"], one["state"]) for one in coach.shown] == [(said["word"], "shown")]


async def test_a_plan_for_a_stranger_is_refused_in_words(tmp_path: Path, hub: BrokerProcess) -> None:
    with Logbook.open(Home(tmp_path).logbook) as book:
        book.keep_trainee(Trainee(uuid4(), "Mara Lindt"))
    async with Coach(tmp_path, hub.port).there() as coach, station(tmp_path, hub) as one:
        await one.up()
        await coach.until(lambda: bool(coach.presence))
        await coach.say("rack-3", plan("../Mara", "x = 1", ""))
        await coach.until(lambda: bool(coach.shown))
        assert (coach.shown[0]["state"], coach.shown[0]["text"]) == (
            "refused",
            "nobody of that name is in the logbook here",
        )


async def test_a_coach_goes_on_from_the_plan_that_counts_now(tmp_path: Path, hub: BrokerProcess) -> None:
    """Where both changed it, what is here is told at once, so that the coach can say which one counts."""
    home, text = Home(tmp_path), plan_text(default_plan(), "Mara Lindt")
    theirs, coachs, later = (f"{text}# {whose}\n" for whose in ("theirs", "the coach's", "the coach's, later"))
    with Logbook.open(home.logbook) as book:
        book.keep_trainee(Trainee(uuid4(), "Mara Lindt"))
    path = home.plan("mara lindt")
    write_plans(home, {path: text})
    async with Coach(tmp_path, hub.port).there() as coach, station(tmp_path, hub) as one:
        await one.up()
        await coach.until(lambda: told_plans(coach) == [text])
        path.write_text(theirs, "utf-8")
        for sent, base, state in ((coachs, text, "conflict"), (coachs, theirs, "kept"), (later, coachs, "kept")):
            await coach.say("rack-3", plan("Mara Lindt", sent, digest(base)))
            answered = len(coach.shown) + 1
            await coach.until(lambda answered=answered: len(coach.shown) == answered)
            assert coach.shown[-1]["state"] == state
            view = one.words.view(REST)
            assert view is not None
            assert view.lines == (f"Coach: {PLAN_TOLD[state]}",)
        await coach.until(lambda: told_plans(coach) == [text, theirs, coachs, later])
    assert path.read_text("utf-8") == later


def told_plans(coach: Coach) -> list[str]:
    return [one.data["row"]["text"] for one in coach.records if one.data["change"] == "plan"]


async def test_who_counts_its_changes_anew_says_so_at_once(tmp_path: Path, hub: BrokerProcess) -> None:
    """A coach that has more than there is (`Renew`) would pass records of an epoch that nobody told of."""
    with Logbook.open(Home(tmp_path).logbook) as book:
        before = book.stream().epoch
    async with Coach(tmp_path, hub.port).there() as coach, station(tmp_path, hub) as one:
        await one.up()
        await coach.until(lambda: bool(coach.presence))
        await coach.mark("rack-3", before, 7)
        await coach.until(lambda: len({told["epoch"] for told in coach.presence}) == 2)
    assert [told["epoch"] == before for told in coach.presence[:-1]] == [True, False]


@pytest.mark.parametrize("fault", ["halt", "kill"])
async def test_a_broker_that_hangs_or_dies_holds_up_nothing(tmp_path: Path, hub: BrokerProcess, fault: str) -> None:
    screen, ticks = Screen(), 0
    async with station(tmp_path, hub) as one:
        tap = Tap(screen, one, NoRun, watched=True)  # type: ignore[arg-type]
        await one.up()
        tap.post_snapshot(SET)
        assert screen.shown[-1] == SET
        getattr(hub, fault)()
        loop_s = asyncio.get_running_loop().time
        until_s, longest_s = loop_s() + 3.0, 0.0
        while loop_s() < until_s:
            began_s = loop_s()
            tap.post_snapshot(replace(SET, phase_s=0.05 * ticks))
            longest_s, ticks = max(longest_s, loop_s() - began_s), ticks + 1
            await asyncio.sleep(0.05)
        assert ticks > 20  # sixty where nothing else runs
        assert longest_s < 0.1
        if fault == "kill":
            assert screen.shown[-1].link_to_coach == NOT_CONNECTED
            assert screen.shown[-1].coach is None
        hub.kill()
    assert not list(one.faults)


async def test_what_is_shown_comes_in_its_order(tmp_path: Path, hub: BrokerProcess) -> None:
    async with Coach(tmp_path, hub.port).there() as coach, station(tmp_path, hub) as one:
        await one.up()
        for count in range(30):
            one.saw(replace(SET, count=count))
            await asyncio.sleep(0.15)
        await coach.until(lambda: coach.nows[-1]["count"] == 29)
        counts = [told["count"] for told in coach.nows]
        assert counts == sorted(counts)


async def test_a_logbook_that_was_put_back_and_has_grown_past_the_coach_is_told_anew(
    tmp_path: Path, hub: BrokerProcess
) -> None:
    home, older = Home(tmp_path / "rack"), tmp_path / "older.sqlite"
    trained(home.logbook, 0)
    shutil.copyfile(home.logbook, older)
    trained(home.logbook, 1)
    async with Coach(tmp_path, hub.port).there() as coach:
        async with station(home.folder, hub) as one:
            before = (await one.up()).stream
            await coach.until(lambda: coach.book.mark(before.station).through == before.last)
        shutil.copyfile(older, home.logbook)
        trained(home.logbook, 2, 3, 4)
        async with station(home.folder, hub):
            await coach.until(lambda: coach.book.mark(before.station).epoch != before.epoch)
            with Logbook.open(home.logbook) as book:
                now = book.stream()
                assert now.last > before.last
                await coach.until(lambda: coach.book.mark(now.station).through == now.last)
                mara = book.trainees()[0].id
                known = {one.session_id for one in coach.book.sessions(mara)}
                assert known > {one.session_id for one in book.sessions(mara)}  # and what only the lost days held


def trained(path: Path, *numbers: int) -> None:
    with Logbook.open(path) as book:
        mara = book.trainee("Mara Lindt") or book.add_trainee("Mara Lindt")
        for number in numbers:
            keep(book, session(number), mara.id)
