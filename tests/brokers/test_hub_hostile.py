"""Hostile clients at the hub, each with an account of its own: it stays up, and the others go on; figures are printed.

Floods, 256 MB, bytes that are no MQTT, events that are none, another's connection, a subscription to everything; and no
account at all.
"""

from __future__ import annotations

import asyncio
import random
import time
from collections.abc import AsyncIterator, Awaitable, Callable, Iterator
from contextlib import asynccontextmanager, suppress
from pathlib import Path

import aiomqtt
import pytest

from tests.brokers.asking import REFUSED, client, until
from tests.brokers.embedded import guarded
from tests.brokers.load import Bare, Heard, Where, event
from tests.brokers.mosquitto import PASSWORDS
from tests.brokers.process import BrokerProcess

ROOT = "rungwise/1"
NOW = f"{ROOT}/station/rack-3/up/now"
LASTS_S = 3.0
MOST_S = 2.0
"""So long may an event of another station take meanwhile, on a machine that does other things too."""
MOST_MEMORY_BYTES = 300 << 20


@pytest.fixture
def plain_guarded(tmp_path: Path) -> Iterator[BrokerProcess]:
    """With accounts and without TLS, whose work is not what is tested here."""
    with guarded(tmp_path, None, PASSWORDS) as running:
        yield running


def where(broker: BrokerProcess, account: str) -> Where:
    return Where(broker.port, None, account, PASSWORDS[account])


@asynccontextmanager
async def bare(broker: BrokerProcess, account: str, name: str) -> AsyncIterator[Bare]:
    made = Bare(where(broker, account), name)
    await made.connect()
    try:
        yield made
    finally:
        await made.close()


async def others_go_on(broker: BrokerProcess, attack: Callable[[], Awaitable[object]]) -> None:
    """Let rack-3 tell the coach twenty events a second while `attack` lasts, and hold that each arrived in time."""
    heard = Heard()
    async with bare(broker, "coach", "coach") as coach, bare(broker, "rack-3", "rack-3") as rack:
        tasks = [
            asyncio.create_task(coach.listen([f"{ROOT}/station/rack-3/up/#"], heard.take)),
            asyncio.create_task(rack.listen([])),
        ]
        await asyncio.sleep(0.2)
        attacking = asyncio.ensure_future(attack())
        begin_s, number = time.monotonic(), 0
        while not attacking.done() or time.monotonic() - begin_s < 1.0:
            rack.publish(NOW, event(number), retain=True)
            number += 1
            await asyncio.sleep(0.05)
        await attacking
        with suppress(TimeoutError):
            await until(lambda: len(heard.latency_s) >= number, 10.0)
        for task in tasks:
            task.cancel()
        await asyncio.gather(*tasks, return_exceptions=True)
    assert broker.running
    assert heard.numbers == {NOW: set(range(number))}
    print(  # noqa: T201 (shown by pytest -s)
        f"{number} events, latency median {sorted(heard.latency_s)[number // 2] * 1e3:.0f} ms, "
        f"longest {max(heard.latency_s) * 1e3:.0f} ms; {memory_bytes(broker) >> 20} MB"
    )
    assert max(heard.latency_s) < MOST_S
    assert memory_bytes(broker) < MOST_MEMORY_BYTES


def memory_bytes(broker: BrokerProcess) -> int:
    """Return how much of the memory the hub has; nothing where that is not told (proc(5))."""
    status = Path(f"/proc/{broker.pid}/status")
    if not status.exists():
        return 0
    (line,) = [line for line in status.read_text().splitlines() if line.startswith("VmRSS:")]
    return int(line.split()[1]) * 1024


async def test_a_flood_is_slowed_down(plain_guarded: BrokerProcess) -> None:
    """As fast as it can, by eight connections, a message of 2 kB to a topic of its own and to one of another."""

    async def flood() -> None:
        async with asyncio.TaskGroup() as all_of_them:
            for at in range(8):
                all_of_them.create_task(one(at))

    async def one(at: int) -> None:
        _, writer = await joined(plain_guarded, "rack-4", f"flood-{at}")
        topics = (b"rungwise/1/station/rack-4/up/now", b"rungwise/1/station/rack-3/up/now")
        until_s = time.monotonic() + LASTS_S
        with suppress(ConnectionError, TimeoutError):
            while time.monotonic() < until_s:
                for topic in topics:
                    body = len(topic).to_bytes(2, "big") + topic + bytes(2000)
                    writer.write(b"\x30" + length(len(body)) + body)
                await asyncio.wait_for(writer.drain(), 0.2)
        writer.transport.abort()

    await others_go_on(plain_guarded, flood)
    assert "sends more than is allowed" in plain_guarded.said()
    assert "rack-4 may not write" in plain_guarded.said()


async def test_256_megabytes_are_not_read(plain_guarded: BrokerProcess) -> None:
    async def send() -> None:
        _, writer = await joined(plain_guarded, "rack-4", "large")
        topic = b"rungwise/1/station/rack-4/up/now"
        writer.write(b"\x30" + length((1 << 28) - 1) + len(topic).to_bytes(2, "big") + topic)
        sent = 0
        with suppress(ConnectionError):
            while sent < 1 << 28:
                writer.write(bytes(1 << 20))
                sent += 1 << 20
                await writer.drain()
        writer.transport.abort()
        assert sent < 1 << 25, "it was let go at once"

    await others_go_on(plain_guarded, send)
    assert "longer than" in plain_guarded.said()


async def test_bytes_that_are_no_mqtt_end_their_connection_alone(plain_guarded: BrokerProcess) -> None:
    """Random bytes, and packets in which a byte is changed, before and after they are let in; a seeded draw."""
    chance = random.Random(7)

    async def send() -> None:
        for at in range(60):
            reader, writer = await (joined(plain_guarded, "rack-4", "odd") if at % 2 else opened(plain_guarded))
            writer.write(mutated(chance))
            with suppress(OSError, TimeoutError):
                writer.write_eof()
                await asyncio.wait_for(reader.read(), 3.0)
            writer.transport.abort()

    await others_go_on(plain_guarded, send)


async def test_events_that_are_none_reach_whoever_reads_them_and_nobody_else(plain_guarded: BrokerProcess) -> None:
    """The hub passes on bytes; what they are is checked before use by whoever reads them (`tui.share.checked`)."""
    odd = [b"", b"{", b"null", b'{"a":' * 1000, b"\xff" * 100, bytes(262_144), '{"specversion":"9"}'.encode("utf-16")]

    async def send() -> None:
        async with client(plain_guarded, "rack-4") as rack, client(plain_guarded, "coach") as coach:
            await coach.asks_for(f"{ROOT}/station/rack-4/up/record")
            for payload in odd:
                await rack.writes(f"{ROOT}/station/rack-4/up/record", payload)
            await coach.until(odd[-1])
            assert [held for _, held in coach.came] == odd

    await others_go_on(plain_guarded, send)


async def test_nobody_takes_the_connection_of_another(plain_guarded: BrokerProcess) -> None:
    async def take() -> None:
        for _ in range(20):
            with pytest.raises(aiomqtt.MqttError):
                async with client(plain_guarded, "rack-4", name="rack-3"):
                    pass

    await others_go_on(plain_guarded, take)
    assert "rack-4 may not take the connection of rack-3" in plain_guarded.said()


async def test_nobody_subscribes_to_everything(plain_guarded: BrokerProcess) -> None:
    async def ask() -> None:
        async with client(plain_guarded, "rack-4") as greedy:
            for asked in ("#", "+/#", f"{ROOT}/#", f"{ROOT}/station/+/up/#", "$SYS/#", "$share/a/#", NOW):
                assert await greedy.asks_for(asked) == REFUSED
            await asyncio.sleep(1.0)
            assert greedy.came == []

    await others_go_on(plain_guarded, ask)


async def test_guessing_passwords_is_slow_and_disturbs_nobody(plain_guarded: BrokerProcess) -> None:
    tried = 0

    async def guess() -> None:
        async with asyncio.TaskGroup() as all_of_them:
            for at in range(20):
                all_of_them.create_task(one(at))

    async def one(at: int) -> None:
        nonlocal tried
        until_s = time.monotonic() + LASTS_S
        while time.monotonic() < until_s:
            guessed = Bare(Where(plain_guarded.port, None, "rack-3", f"guess-{at}-{tried}"), f"guess-{at}")
            with suppress(OSError, EOFError):
                await guessed.connect()
                raise AssertionError("it was let in")
            await guessed.close()
            tried += 1

    await others_go_on(plain_guarded, guess)
    assert tried <= 20 * (LASTS_S + 1.0), "each waits for a second"
    assert "guess" not in plain_guarded.said()


async def test_a_reader_that_does_not_read_is_let_go(plain_guarded: BrokerProcess) -> None:
    async def stall() -> None:
        _, writer = await joined(plain_guarded, "coach", "stalled")
        asked = b"rungwise/1/station/+/up/#"
        writer.write(b"\x82" + length(len(asked) + 5) + b"\0\1" + len(asked).to_bytes(2, "big") + asked + b"\1")
        writer.transport.pause_reading()  # type: ignore[attr-defined]
        async with client(plain_guarded, "rack-4") as rack:
            for _ in range(60):
                await rack.writes(f"{ROOT}/station/rack-4/up/record", bytes(262_144))
        writer.transport.abort()

    await others_go_on(plain_guarded, stall)
    assert "coach does not read: let go" in plain_guarded.said()


async def opened(broker: BrokerProcess) -> tuple[asyncio.StreamReader, asyncio.StreamWriter]:
    return await asyncio.open_connection(broker.host, broker.port)


async def joined(broker: BrokerProcess, account: str, name: str) -> tuple[asyncio.StreamReader, asyncio.StreamWriter]:
    """Return a connection of bare bytes that was let in."""
    reader, writer = await opened(broker)
    texts = b"".join(len(one).to_bytes(2, "big") + one.encode() for one in (name, account, PASSWORDS[account]))
    body = b"\0\4MQTT\4\xc2\0\x3c" + texts
    writer.write(b"\x10" + length(len(body)) + body)
    assert await reader.readexactly(4) == b"\x20\x02\0\0"
    return reader, writer


def length(number: int) -> bytes:
    """Return a remaining length (OASIS MQTT 3.1.1, 2.2.3)."""
    held = bytearray()
    while True:
        number, low = divmod(number, 128)
        held.append(low | (0x80 if number else 0))
        if not number:
            return bytes(held)


def mutated(chance: random.Random) -> bytes:
    """Return a packet with a few bytes changed, or random ones."""
    whole = [
        b"\x30\x06\0\3a/bx",
        b"\x32\x08\0\3a/b\0\1x",
        b"\x82\x08\0\1\0\3a/b\1",
        b"\xa2\x07\0\1\0\3a/b",
        b"\xc0\0",
        b"\x40\2\0\1",
        b"\x10\x10\0\4MQTT\4\2\0\x3c\0\4abcd",
        b"\x62\2\0\1",
        b"\xe0\0",
        chance.randbytes(chance.randint(1, 200)),
    ]
    sent = bytearray(chance.choice(whole) * chance.randint(1, 3))
    for _ in range(chance.randint(0, 3)):
        sent[chance.randrange(len(sent))] = chance.randrange(256)
    return bytes(sent)
