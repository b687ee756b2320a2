"""The hub in this process: what it allows one client, so that the others go on (OASIS MQTT 3.1.1)."""

from __future__ import annotations

import asyncio
import ssl
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress
from dataclasses import replace
from pathlib import Path

import aiomqtt
import pytest

from tests.brokers.asking import until
from tests.brokers.certificates import Certificates
from tests.brokers.embedded import keep_accounts
from tests.brokers.mosquitto import PASSWORDS
from tests.brokers.process import HOST, free_port
from tui.home import Home
from tui.hub.certificate import context
from tui.hub.command import accounts_file
from tui.hub.limits import Limits
from tui.hub.serving import Hub

NOW = "rungwise/1/station/rack-3/up/now"
PRESENCE = "rungwise/1/station/rack-3/up/presence"
FEW = Limits(of_one=2, retained=2, subscriptions=2, connect_within_s=0.3, unknown=2, connections=4)


class Run:
    """A hub that runs, and what it said."""

    def __init__(self, port: int) -> None:
        self.port = port
        self.said: list[str] = []

    def client(self, account: str | None = None, **more: object) -> aiomqtt.Client:
        password = PASSWORDS[account] if account else None
        return aiomqtt.Client(HOST, self.port, username=account, password=password, timeout=3.0, **more)  # type: ignore[arg-type]

    async def until_said(self, part: str) -> None:
        await until(lambda: any(part in line for line in self.said))


@asynccontextmanager
async def running(
    home: Path, limits: Limits = FEW, *, accounts: bool = True, tls: ssl.SSLContext | None = None
) -> AsyncIterator[Run]:
    if accounts:
        keep_accounts(home, PASSWORDS)
    run = Run(free_port())
    hub = Hub(accounts_file(Home(home)), limits=limits, say=run.said.append)
    await hub.start(HOST, run.port, tls)
    try:
        yield run
    finally:
        await hub.stop()


async def open_raw(run: Run, data: bytes) -> tuple[asyncio.StreamReader, asyncio.StreamWriter]:
    reader, writer = await asyncio.open_connection(HOST, run.port)
    writer.write(data)
    return reader, writer


async def ended(reader: asyncio.StreamReader, writer: asyncio.StreamWriter, within_s: float = 5.0) -> bytes:
    """Return what came until the hub ended the connection."""
    try:
        return await asyncio.wait_for(reader.read(), within_s)
    except ConnectionError:
        return b""
    finally:
        writer.close()


def connect_bytes(name: str, account: str, keep_alive_s: int = 60, clean: bool = True, will: str = "") -> bytes:
    parts = [name, *([will, "gone"] if will else []), account, PASSWORDS[account]]
    texts = b"".join(len(one.encode()).to_bytes(2, "big") + one.encode() for one in parts)
    flags = 0xC0 | (2 if clean else 0) | (4 if will else 0)
    body = b"\0\4MQTT\4" + bytes([flags]) + keep_alive_s.to_bytes(2, "big") + texts
    return b"\x10" + bytes([len(body)]) + body


async def test_more_connections_of_one_account_are_refused(tmp_path: Path) -> None:
    async with running(tmp_path) as run, run.client("rack-3"), run.client("rack-3"):
        with pytest.raises(aiomqtt.MqttError):
            async with run.client("rack-3"):
                pass
        await run.until_said("rack-3 has too many connections")
        async with run.client("rack-4"):
            pass


async def test_a_connection_that_says_nothing_is_let_go(tmp_path: Path) -> None:
    async with running(tmp_path) as run:
        silent = await open_raw(run, b"")
        half = await open_raw(run, connect_bytes("x", "rack-3")[:20])
        assert await ended(*(await open_raw(run, b""))) == b"", "one too many that say nothing"
        await run.until_said("too many connections")
        assert await ended(*silent) == b""
        assert await ended(*half) == b""
        async with run.client("rack-3"):
            pass


async def test_handshakes_that_do_not_end_are_few(tmp_path: Path, certificates: Certificates) -> None:
    """Whoever begins TLS and says no more (RFC 8446) holds two places here, and not for long."""
    limits = replace(FEW, connect_within_s=2.0, unfinished_of_one=2)
    tls = context(certificates.right.cert, certificates.right.key)
    async with running(tmp_path, limits, tls=tls) as run:
        silent = [await open_raw(run, b"\x16\x03\x01") for _ in range(2)]
        assert await ended(*(await open_raw(run, b"")), within_s=1.0) == b"", "one too many"
        assert not any(reader.at_eof() for reader, _ in silent)
        await run.until_said("too many connections")
        for one in silent:
            assert await ended(*one) == b""
        async with run.client("rack-3", tls_params=aiomqtt.TLSParameters(ca_certs=str(certificates.ca))) as rack:
            await rack.publish(NOW, b"here", qos=1)


async def test_a_wrong_password_waits_and_is_told_without_it(tmp_path: Path) -> None:
    async with running(tmp_path) as run:
        begin = asyncio.get_running_loop().time()
        wrong = aiomqtt.Client(HOST, run.port, username="rack-3", password="blue-kettel", timeout=5.0)
        with pytest.raises(aiomqtt.MqttError):
            async with wrong:
                pass
        assert asyncio.get_running_loop().time() - begin >= 1.0
        await run.until_said("Account or password is wrong: rack-3")
        with pytest.raises(aiomqtt.MqttError):
            async with run.client():
                pass
        await run.until_said("has no account here")
        assert not any("kettel" in line for line in run.said)


async def test_the_connection_of_another_account_is_not_taken(tmp_path: Path) -> None:
    async with running(tmp_path) as run, run.client("rack-3", identifier="mine") as mine:
        with pytest.raises(aiomqtt.MqttError):
            async with run.client("rack-4", identifier="mine"):
                pass
        await run.until_said("rack-4 may not take the connection of rack-3")
        await mine.publish(NOW, b"still here", qos=1)


async def test_ones_own_connection_is_taken_over(tmp_path: Path) -> None:
    """3.1.4: the earlier one is ended, as after a network that was cut."""
    async with running(tmp_path) as run:
        earlier = await open_raw(run, connect_bytes("mine", "rack-3"))
        assert await earlier[0].readexactly(4) == b"\x20\x02\x00\x00"
        async with run.client("rack-3", identifier="mine") as later:
            assert await ended(*earlier) == b""
            await later.publish(NOW, b"here", qos=1)


async def test_of_several_of_one_name_that_come_at_once_the_last_stays(tmp_path: Path) -> None:
    """MQTT-3.1.4-2: none is refused, and each ends the one before it."""
    async with running(tmp_path, Limits()) as run:
        earlier = await open_raw(run, connect_bytes("mine", "rack-3"))
        assert await earlier[0].readexactly(4) == b"\x20\x02\x00\x00"
        later = [await open_raw(run, b"") for _ in range(3)]
        for _, writer in later:
            writer.write(connect_bytes("mine", "rack-3"))
        assert await ended(*earlier) == b""
        answers = await asyncio.gather(*(said(reader) for reader, _ in later))
        assert {one.removeprefix(b"\x20\x02\x00\x00") for one in answers} == {b""}, "one was refused"
        assert [reader.at_eof() or reader.exception() is not None for reader, _ in later].count(False) == 1
        for _, writer in later:
            writer.close()


async def test_who_is_gone_before_being_let_in_keeps_no_place(tmp_path: Path) -> None:
    """Its name and its share of the connections are free, and its will is told (3.1.2.5)."""
    async with running(tmp_path) as run, run.client("coach") as coach:
        await coach.subscribe("rungwise/1/station/+/up/presence", qos=1)
        for _ in range(FEW.of_one + 1):
            reader, writer = await open_raw(run, connect_bytes("mine", "rack-3", will=PRESENCE))
            writer.write_eof()
            await ended(reader, writer)
            async with asyncio.timeout(3.0):
                assert (await anext(aiter(coach.messages))).payload == b"gone"
        async with run.client("rack-3", identifier="mine") as rack:
            await rack.publish(NOW, b"here", qos=1)


async def said(reader: asyncio.StreamReader) -> bytes:
    """Return what came until nothing more did for a while."""
    came = b""
    with suppress(TimeoutError, ConnectionError):
        while part := await asyncio.wait_for(reader.read(100), 1.0):
            came += part
    return came


async def test_nothing_is_left_of_an_earlier_connection(tmp_path: Path) -> None:
    """A name that was another account's a moment ago brings nothing of theirs, even if it is asked for (3.1.2.4)."""
    async with running(tmp_path) as run:
        async with run.client("rack-3", identifier="mine", clean_session=False) as theirs:
            await theirs.subscribe("rungwise/1/station/rack-3/down/#", qos=1)
        reader, writer = await open_raw(run, connect_bytes("mine", "rack-4", clean=False))
        assert await reader.readexactly(4) == b"\x20\x02\x00\x00", "no session present"
        async with run.client("coach") as coach:
            await coach.publish("rungwise/1/station/rack-3/down/word", b"secret", qos=1)
        with pytest.raises(TimeoutError):
            await asyncio.wait_for(reader.read(1), 0.3)
        writer.close()


async def test_a_client_that_falls_silent_is_gone_and_its_will_told(tmp_path: Path) -> None:
    """3.1.2.10: after one and a half times its keep-alive."""
    async with running(tmp_path) as run, run.client("coach") as coach:
        await coach.subscribe("rungwise/1/station/+/up/presence", qos=1)
        will = aiomqtt.Will("rungwise/1/station/rack-3/up/presence", b"gone", qos=1, retain=True)
        async with run.client("rack-3", keepalive=1, will=will) as silent:
            # Neither pings nor anything else from now on; the socket stays open.
            silent._client._keepalive = 1000
            async with asyncio.timeout(6.0):
                message = await anext(aiter(coach.messages))
            assert message.payload == b"gone"
            with pytest.raises(aiomqtt.MqttError):
                await silent.publish(NOW, b"x", qos=1)


async def test_no_more_is_kept_of_one_account_than_is_allowed(tmp_path: Path) -> None:
    topics = [f"{NOW}/{at}" for at in range(3)]
    async with running(tmp_path) as run, run.client("rack-3") as rack:
        for topic in topics:
            await rack.publish(topic, b"kept", qos=1, retain=True)
        await run.until_said("has too many topics to keep")
        await rack.publish(topics[0], b"", qos=1, retain=True)
        await rack.publish(topics[2], b"kept now", qos=1, retain=True)
        async with run.client("coach") as coach:
            await coach.subscribe(f"{NOW}/+", qos=1)
            kept = {}
            async with asyncio.timeout(3.0):
                async for message in coach.messages:
                    kept[str(message.topic)] = message.payload
                    if len(kept) == 2:
                        break
        assert kept == {topics[1]: b"kept", topics[2]: b"kept now"}


async def test_no_more_is_asked_for_than_is_allowed(tmp_path: Path) -> None:
    async with running(tmp_path) as run, run.client("coach") as coach:
        answers = await coach.subscribe([(f"rungwise/1/station/+/up/{one}", 1) for one in ("now", "record", "shown")])
        assert [int(getattr(one, "value", one)) for one in answers] == [1, 1, 0x80]


async def test_what_is_retained_goes_to_whom_it_is_for(tmp_path: Path) -> None:
    """As it is, amqtt sends all that is retained to whoever connects, if anybody asked for it."""
    async with running(tmp_path, replace(FEW, subscriptions=64)) as run, run.client("rack-3") as rack:
        await rack.publish(NOW, b"mine", qos=1, retain=True)
        async with run.client("coach") as coach:
            await coach.subscribe("rungwise/1/station/+/up/now", qos=1)
            assert (await anext(aiter(coach.messages))).payload == b"mine"
            async with run.client("rack-4") as other:
                await other.subscribe("rungwise/1/station/rack-4/down/word", qos=1)
                with pytest.raises(TimeoutError):
                    async with asyncio.timeout(0.3):
                        await anext(aiter(other.messages))


async def test_an_account_that_changed_has_no_connection_left(tmp_path: Path) -> None:
    async with running(tmp_path) as run, run.client("rack-4") as stays:
        reader, writer = await open_raw(run, connect_bytes("mine", "rack-3"))
        assert await reader.readexactly(4) == b"\x20\x02\x00\x00"
        keep_accounts(tmp_path, {"coach": PASSWORDS["coach"]})
        assert await ended(reader, writer) == b""
        with pytest.raises(aiomqtt.MqttError):
            async with run.client("rack-3"):
                pass
        with pytest.raises(aiomqtt.MqttError):
            await stays.publish("rungwise/1/station/rack-4/up/now", b"x", qos=1)


async def test_a_hub_for_everybody_asks_for_accounts_once_there_are_some(tmp_path: Path) -> None:
    async with running(tmp_path, accounts=False) as run:
        async with run.client() as anybody:
            await anybody.publish(NOW, b"x", qos=1)
            keep_accounts(tmp_path, PASSWORDS)
            await until(lambda: anybody._disconnected.done())
        with pytest.raises(aiomqtt.MqttError):
            async with run.client():
                pass
        async with run.client("rack-3"):
            pass


async def test_a_file_of_accounts_that_broke_lets_nobody_else_in(tmp_path: Path) -> None:
    async with running(tmp_path) as run:
        accounts_file(Home(tmp_path)).write_text("{")
        await run.until_said("is no file of accounts")
        async with run.client("rack-3"):
            pass
        with pytest.raises(aiomqtt.MqttError):
            async with run.client():
                pass
