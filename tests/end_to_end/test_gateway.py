"""A sensor behind a gateway and a real broker: the same recording, the same answer, and nothing lost on the way."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from bridged_sensor import CLIP, Board, SetClock, StepByStep, far_end, gateway, link
from virtual_session import Gym, Notebook, arrivals

from analysis.logbook.book import Logbook
from analysis.motion.events import BoutRefined
from analysis.motion.results import Bout
from sensor.bridging import Bridging
from sensor.broker import Access, BrokerError
from sensor.gateway import GatewaySettings, GatewaySource
from sensor.gateway_topics import Bridge
from sensor.protocol import Packet, Resend, decode
from sensor.recording import Recording
from sensor.source import Arrival, Channel, LinkState, SystemClock
from sensor.virtual.motion import TraineeFeed
from sensor.virtual.script import Beat, regular_script
from tests.brokers.certificates import Certificates
from tests.brokers.mosquitto import PASSWORDS
from tests.brokers.process import BrokerProcess
from tests.brokers.proxy import Proxy
from tui.home import Home
from tui.replay.replay import stored_events
from tui.session.stored import encode_event

FEED = TraineeFeed(regular_script(trainee="Jonas Reiter", sets=1, reps=5, beat=Beat(1, 1, 2, 0), rest_s=35), seed=3)
"""It rests for longer than a busy computer takes to start a broker: a sensor that sends no more tells of no hole."""
SPEED = 4.0


def sent() -> list[Arrival]:
    """What a radio would have given of the sensor, in its order."""
    came = [replace(one, sensor_id=CLIP) for one in arrivals(FEED) if one.channel is not Channel.LINK]
    return [link(0.0, LinkState.SEARCHING, ""), link(0.0, LinkState.CONNECTED), *came]


def kept(path: Path) -> tuple[list[Arrival], list[str]]:
    with Recording.open(path) as recording:
        return list(recording.arrivals()), [encode_event(event) for event in stored_events(recording)]


def directly(folder: Path, wanted: list[Arrival]) -> Gym:
    home, clock = Home(folder), SetClock()
    with Logbook.open(home.logbook) as logbook:
        gym = Gym(home, logbook, clock, Notebook())  # type: ignore[arg-type]
        session = gym.opening().open_session("", gym.book)
        session.begin()
        for arrival in wanted:
            gym.give(session, arrival)
        session.end()
    return gym


async def test_the_recording_and_the_events_are_those_of_a_radio(broker: BrokerProcess, tmp_path: Path) -> None:
    wanted, clock, said = sent(), SetClock(), list[str]()
    near = StepByStep(wanted, clock)
    home = Home(tmp_path / "far")
    with Logbook.open(home.logbook) as logbook:
        gym = Gym(home, logbook, clock, Notebook())  # type: ignore[arg-type]
        session, came = gym.opening().open_session("", gym.book), list[Arrival]()
        session.begin()
        async with far_end(broker.url, clock) as source, gateway(broker.url, near, clock, said):
            async for arrival in source:
                came.append(arrival)
                gym.give(session, arrival)
                if arrival.channel in (Channel.INFO, Channel.DATA):
                    near.came.set()
                if len(came) == len(wanted):
                    break
        session.end()
        sets = [one.sets for one in gym.records()]
    assert came == wanted
    plain = directly(tmp_path / "near", wanted)
    (near_path,), (far_path,) = plain.recordings(), gym.recordings()
    assert kept(far_path) == kept(near_path)
    assert kept(far_path)[0] == wanted
    with Logbook.open(plain.home.logbook) as logbook:
        whole = replace(plain, logbook=logbook).records()
    assert [[one.reps for one in each] for each in sets] == [[one.reps for one in each.sets] for each in whole]
    assert sum(map(len, sets)) == 1


def samples(packets: list[Packet]) -> dict[int, bytes]:
    return {p.first_index + i: p.counts[i].tobytes() for p in packets for i in range(len(p))}


def refined(path: Path) -> list[Bout]:
    with Recording.open(path) as recording:
        events = stored_events(recording)
    return [e.bout for e in events if isinstance(e, BoutRefined) and e.bout.reps]


def boundaries(bouts: list[Bout]) -> list[tuple[float | None, ...]]:
    return [(rep.start_s, rep.top_s, rep.down_s, rep.end_s) for bout in bouts for rep in bout.reps]


async def break_things(clock: SystemClock, planned: Sequence[tuple[float, Callable[[], None]]]) -> None:
    for at_s, fault in planned:
        await clock.sleep(at_s - clock.now_s())
        await asyncio.to_thread(fault)


async def test_nothing_is_lost_where_links_and_the_broker_are(
    broker: BrokerProcess, proxy: Proxy, tmp_path: Path
) -> None:
    """The board loses its sensor for 7 s, the host its broker twice; then the broker is killed under both."""
    whole = samples([decode(one.payload) for one in sent() if one.channel is Channel.DATA])
    clock, said, home = SystemClock(SPEED), list[str](), Home(tmp_path)
    board, got = Board(FEED, clock, away_s=(14.0, 21.0)), dict[int, bytes]()
    board.go.clear()
    planned = ((8.0, proxy.cut), (25.0, broker.kill), (31.0, broker.start), (38.0, proxy.cut))
    with Logbook.open(home.logbook) as logbook:
        gym = Gym(home, logbook, clock, Notebook())  # type: ignore[arg-type]
        session = gym.opening().open_session("", gym.book)
        session.begin()
        async with far_end(proxy.url, clock, stall_s=40.0) as source, gateway(broker.url, board, clock, said):
            breaking = asyncio.create_task(break_things(clock, planned))
            await source._heard.link.up()  # what was sent before anybody listened is not known to be missing
            board.go.set()
            async with asyncio.timeout(60):
                async for arrival in source:
                    session.handle(arrival)
                    session.tick()
                    if arrival.channel is Channel.DATA:
                        got |= samples([decode(arrival.payload)])
                    if len(got) == len(whole):
                        break
            await breaking
        session.end()
    assert got == whole
    assert [one for one in board.asked if isinstance(one, Resend)]
    (path,) = gym.recordings()
    assert [one.payload for one in kept(path)[0] if one.channel is Channel.LINK].count(b"lost") >= 3
    answers = [refined(one) for one in (path, directly(tmp_path / "near", sent()).recordings()[0])]
    assert [[bout.count for bout in bouts] for bouts in answers] == [[5], [5]]
    np.testing.assert_allclose(*map(boundaries, answers), rtol=0, atol=1e-9)


@pytest.mark.parametrize("name", ["rack-3", "rack-3/clip-08", "rack-4"])
async def test_what_is_not_heard_is_told_with_what_is(broker: BrokerProcess, name: str) -> None:
    clock, said = SystemClock(SPEED), list[str]()
    near = _Two(clock)
    async with gateway(broker.url, near, clock, said), far_end(broker.url, clock, name=name) as source:
        with pytest.raises(BrokerError) as caught:
            async for _ in source:
                pass
    told = {
        "rack-3": f"2 sensors are heard through rack-3: clip-07, clip-12. Say which one by --sensor {broker.url}/",
        "rack-3/clip-08": "clip-08 is not heard through rack-3, but known there: clip-07, clip-12.",
        "rack-4": "No sensor is heard through rack-4",
    }
    assert told[name] in str(caught.value)


async def test_a_station_hears_its_gateway_and_asks_back_by_their_accounts(
    mosquitto_guarded: BrokerProcess, certificates: Certificates
) -> None:
    """TLS, accounts and the package's rules between: board-3 tells, rack-3 may read it and write to it, rack-4 not."""
    clock, said = SystemClock(SPEED), list[str]()
    board, place = Board(FEED, clock, away_s=(3.0, 6.0)), mosquitto_guarded.url.removeprefix("mqtts://")

    def listener(account: str) -> GatewaySource:
        bridge = Bridge.parse(f"mqtts://{account}@{place}/board-3/{CLIP}")
        access = Access(PASSWORDS[account], certificates.ca)
        return GatewaySource(clock, GatewaySettings(bridge=bridge, access=access, find_s=20.0))

    own = Access(PASSWORDS["board-3"], certificates.ca)
    made = Bridging(Bridge.parse(f"mqtts://{place}/board-3"), own, clock, called=str, tell=said.append)
    running, got = asyncio.create_task(made.run([board])), set[int]()
    async with listener("rack-3") as source, asyncio.timeout(30):
        async for arrival in source:
            if arrival.channel is Channel.DATA:
                got |= samples([decode(arrival.payload)]).keys()
            if len(got) > 900:
                break
    assert got >= set(range(min(got), 800))
    assert any(isinstance(one, Resend) for one in board.asked)
    async with listener("rack-4") as source:
        with pytest.raises(BrokerError, match="No sensor is heard through board-3"):
            await _read(source)
    running.cancel()
    await asyncio.gather(running, return_exceptions=True)


async def test_gateway_that_no_broker_lets_in_ends_and_says_why(
    hub_guarded: BrokerProcess, certificates: Certificates
) -> None:
    clock, said = SystemClock(SPEED), list[str]()
    bridge = Bridge.parse(f"{hub_guarded.url}/board-3")
    made = Bridging(bridge, Access("not-its-word", certificates.ca), clock, called=str, tell=said.append)
    async with asyncio.timeout(20):
        with pytest.raises(ExceptionGroup) as raised:
            await made.run([Board(FEED, clock)])
    (why,) = raised.value.exceptions
    assert isinstance(why, BrokerError)
    assert "does not take this account or password" in str(why)


async def _read(source: GatewaySource) -> None:
    async for _ in source:
        pass


class _Two:
    """Two sensors on one board."""

    def __init__(self, clock: SystemClock) -> None:
        self._clock = clock

    async def __aiter__(self) -> AsyncIterator[Arrival]:
        info = next(one.payload for one in sent() if one.channel is Channel.INFO)
        while True:
            for name in (CLIP, "clip-12"):
                yield Arrival(name, self._clock.now_s(), Channel.INFO, info)
                yield link(self._clock.now_s(), LinkState.CONNECTED, name)
            await self._clock.sleep(1.0)

    async def send(self, command: object) -> None: ...
