"""The way to a broker: real brokers, killed, halted and cut off (OASIS MQTT 3.1.1)."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import sensor.broker
import sensor.broker_client
from sensor.broker import Access, Address, Broker, Letter
from sensor.source import SystemClock
from tests.brokers import mosquitto as mosquittos
from tests.brokers.certificates import Certificates, Pair
from tests.brokers.mosquitto import PASSWORDS
from tests.brokers.process import BrokerProcess, free_port
from tests.brokers.proxy import Proxy

UP, DOWN = "rungwise/1/station/rack-3/up/record", "rungwise/1/station/rack-3/down/word"
SECRET = "korund-7"


def way(url: str, name: str = "rack-3", access: Access | None = None, **more: Any) -> Broker:
    return Broker(Address.parse(url), access or Access(), name=name, clock=SystemClock(), **more)


async def up(*brokers: Broker) -> None:
    async with asyncio.timeout(10):
        for broker in brokers:
            await broker.link.up()


async def why(broker: Broker) -> str:
    """Return why a broker cannot be reached, once that is known."""
    async with asyncio.timeout(15):
        edition = 0
        while not broker.link.why:
            edition = await broker.link.news(edition)
    return broker.link.why


async def take(broker: Broker, count: int) -> list[Letter]:
    came: list[Letter] = []
    async with asyncio.timeout(10):
        async for letter, _ in broker.letters():
            came.append(letter)
            if len(came) == count:
                break
    return came


async def test_bytes_arrive_as_they_were_sent_and_in_order(broker: BrokerProcess) -> None:
    payloads = [bytes([i]) * i for i in range(100)]
    async with way(broker.url, topics=[DOWN]) as station, way(broker.url, "coach") as coach:
        await up(station, coach)
        assert all(await asyncio.gather(*(coach.send(Letter(DOWN, payload)) for payload in payloads)))
        came = await take(station, len(payloads))
    assert [letter.payload for letter in came] == payloads
    assert {(letter.topic, letter.retain, letter.qos) for letter in came} == {(DOWN, False, 1)}


async def test_arrival_is_stamped_at_receipt_not_when_it_is_read(broker: BrokerProcess) -> None:
    clock = SystemClock()
    station = Broker(Address.parse(broker.url), Access(), name="rack-3", clock=clock, topics=[DOWN])
    async with station, way(broker.url, "coach") as coach:
        await up(station, coach)
        await coach.send(Letter(DOWN, b"now"))
        await asyncio.sleep(0.5)
        read_s = clock.now_s()
        async for _, at_s in station.letters():
            assert at_s < read_s - 0.2
            break


async def test_will_is_told_when_cut_off_and_not_after_taking_leave(broker: BrokerProcess, proxy: Proxy) -> None:
    # OASIS MQTT 3.1.1, 3.1.2.5 and 3.14.4: DISCONNECT discards the will; any other end publishes it.
    will = Letter(UP, b"gone", retain=True)
    async with way(broker.url, "coach", topics=[UP]) as coach:
        await up(coach)
        async with way(broker.url, will=will, greeting=lambda: Letter(UP, b"here", retain=True)) as station:
            await up(station)
        async with way(proxy.url, will=will) as station:
            await up(station)
            proxy.refuse()
            came = await take(coach, 2)
            await why(station)
    assert [letter.payload for letter in came] == [b"here", b"gone"]


async def test_comes_back_by_itself_listens_again_and_greets(broker: BrokerProcess) -> None:
    async with way(broker.url, topics=[DOWN], greeting=lambda: Letter(UP, b"here")) as station:
        await up(station)
        broker.kill()
        assert "No broker listens" in await until(station, "No broker listens")
        assert not await station.send(Letter(UP, b"lost"))
        broker.start()
        async with way(broker.url, "coach", topics=[UP]) as coach:
            await up(coach, station)
            await coach.send(Letter(DOWN, b"word"))
            assert [letter.payload for letter in await take(station, 1)] == [b"word"]
    assert station.link.connections == 2


async def until(broker: Broker, words: str) -> str:
    edition = 0
    async with asyncio.timeout(15):
        while words not in broker.link.why:
            edition = await broker.link.news(edition)
    return broker.link.why


async def test_silent_broker_is_noticed(broker: BrokerProcess, monkeypatch: pytest.MonkeyPatch) -> None:
    # OASIS MQTT 3.1.1, 3.1.2.10: a client without an answer to PINGREQ in reasonable time closes the connection.
    monkeypatch.setattr(sensor.broker_client, "KEEPALIVE_S", 1)
    async with way(broker.url) as station:
        await up(station)
        broker.halt()
        sending = asyncio.create_task(station.send(Letter(UP, b"x")))
        assert "lost" in await why(station)
        assert not await sending
        broker.resume()
        await up(station)
        assert await station.send(Letter(UP, b"x"))


async def test_reader_that_is_slow_and_letters_that_are_long(
    broker: BrokerProcess, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sensor.broker, "MOST_WAITING", 5)
    monkeypatch.setattr(sensor.broker, "MOST_BYTES", 100)
    async with way(broker.url, topics=[DOWN]) as station, way(broker.url, "coach") as coach:
        await up(station, coach)
        await coach.send(Letter(DOWN, bytes(101)))
        for i in range(8):
            await coach.send(Letter(DOWN, bytes([i])))
        async with asyncio.timeout(5):
            edition = 0
            while station.link.dropped < 3:
                edition = await station.link.news(edition)
        assert [letter.payload for letter in await take(station, 5)] == [bytes([i]) for i in range(5)]
    assert (station.link.dropped, station.link.oversize) == (3, 1)


@pytest.mark.parametrize(
    ("which", "told"),
    [
        (lambda made: made.wrong_name, "is for another host"),
        (lambda made: made.expired, "does not hold today"),
        (lambda made: made.stranger, "signed by nobody"),
    ],
)
async def test_wrong_certificates_are_refused_and_told(
    certificates: Certificates, tmp_path: Path, which: Callable[[Certificates], Pair], told: str
) -> None:
    # RFC 6125, 6.4 and RFC 5280, 4.1.2.5 and 6.1 (from memory).
    if mosquittos.program() is None:
        pytest.skip(mosquittos.MISSING)
    access = Access(PASSWORDS["rack-3"], certificates.ca)
    with mosquittos.guarded(tmp_path, which(certificates)) as guarded:
        async with way(guarded.url, access=access) as station:
            assert told in await why(station)
            assert station.link.lasts


@pytest.mark.parametrize("password", [SECRET, None])
async def test_wrong_password_is_told_and_not_shown(
    certificates: Certificates, tmp_path: Path, password: str | None, caplog: pytest.LogCaptureFixture
) -> None:
    if mosquittos.program() is None:
        pytest.skip(mosquittos.MISSING)
    caplog.set_level("DEBUG")
    with mosquittos.guarded(tmp_path, certificates.right) as guarded:
        async with way(guarded.url, access=Access(password, certificates.ca)) as station:
            assert "RUNGWISE_MQTT_PASSWORD" in await why(station)
            assert station.link.lasts
        async with way(guarded.url, access=Access(PASSWORDS["rack-3"], certificates.ca)) as station:
            await up(station)
            assert await station.send(Letter(UP, b"x"))
    assert SECRET not in caplog.text + station.link.why
    assert PASSWORDS["rack-3"] not in caplog.text


async def test_what_listens_is_told_apart() -> None:
    async def web(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        await reader.read(1)
        writer.write(b"HTTP/1.1 400 Bad Request\r\n\r\n")
        await writer.drain()
        writer.close()

    server, port = await asyncio.start_server(web, "127.0.0.1", 0), free_port()
    other = server.sockets[0].getsockname()[1]
    async with server:
        for url, told in (
            (f"mqtt://127.0.0.1:{port}", f"No broker listens at 127.0.0.1:{port}"),
            ("mqtts://nobody.invalid", "No computer called nobody.invalid"),  # RFC 6761, 6.4: never resolves
            (f"mqtts://127.0.0.1:{other}", "does not speak TLS"),
            (f"mqtt://127.0.0.1:{other}", "No broker answers"),
        ):
            async with way(url) as station:
                assert told in await why(station)


async def test_broker_that_never_answers_is_told_and_left(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sensor.broker_client, "CONNECT_S", 0.3)
    left = asyncio.Event()

    async def mute(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        while await reader.read(100):
            pass
        left.set()
        writer.close()

    server = await asyncio.start_server(mute, "127.0.0.1", 0)
    async with server, way(f"mqtt://127.0.0.1:{server.sockets[0].getsockname()[1]}") as station:
        assert "No broker answers" in await why(station)
        async with asyncio.timeout(5):
            await left.wait()


async def test_broker_that_hangs_up_at_once_is_tried_again() -> None:
    calls = asyncio.Semaphore(0)

    async def brief(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        calls.release()
        await reader.read(100)
        writer.write(bytes.fromhex("20 02 00 00"))  # OASIS MQTT 3.1.1, 3.2: CONNACK, accepted
        await writer.drain()
        writer.close()

    server = await asyncio.start_server(brief, "127.0.0.1", 0)
    async with server, way(f"mqtt://127.0.0.1:{server.sockets[0].getsockname()[1]}") as station:
        async with asyncio.timeout(15):
            for _ in range(4):
                await calls.acquire()
        assert "lost" in await why(station)


async def test_two_of_one_name_are_told(broker: BrokerProcess) -> None:
    # OASIS MQTT 3.1.1, 3.1.4: a second client of the same name takes the first one's place [MQTT-3.1.4-2].
    async with way(broker.url) as first, way(broker.url):
        assert "another client may have the name rack-3" in await until(first, "another client")
