"""An account writes and reads what is its own alone, at both brokers (OASIS MQTT 3.1.1).

A refused publish has no answer of its own in MQTT 3.1.1 (3.3.5.2), so it is seen by what does not arrive: a message
that may pass is sent behind it, and comes without it.
"""

from __future__ import annotations

import asyncio
from contextlib import AsyncExitStack, suppress

import aiomqtt
import pytest

from tests.brokers.asking import REFUSED, client
from tests.brokers.certificates import Certificates
from tests.brokers.process import BrokerProcess
from tests.brokers.proxy import Proxy

ROOT = "rungwise/1"
MAY_WRITE = [
    ("rack-3", f"{ROOT}/station/rack-3/up/record", "coach", f"{ROOT}/station/+/up/record"),
    ("rack-3", f"{ROOT}/station/rack-3/up/now", "coach", f"{ROOT}/station/+/up/#"),
    ("board-3", f"{ROOT}/gateway/board-3/up/belt/data", "rack-3", f"{ROOT}/gateway/board-3/up/#"),
    ("board-3", f"{ROOT}/gateway/board-3/up/belt/data", "coach", f"{ROOT}/gateway/+/up/#"),
    ("rack-3", f"{ROOT}/gateway/board-3/down/belt/control", "board-3", f"{ROOT}/gateway/board-3/down/#"),
    ("coach", f"{ROOT}/station/rack-4/down/word", "rack-4", f"{ROOT}/station/rack-4/down/word"),
]
"""Writer, topic, reader, its filter."""
MAY_NOT_WRITE = [
    ("rack-3", f"{ROOT}/station/rack-4/up/record"),
    ("rack-3", f"{ROOT}/station/rack-4/down/word"),
    ("rack-3", f"{ROOT}/station/rack-3/down/word"),
    ("rack-3", f"{ROOT}/gateway/board-3/up/belt/data"),
    ("rack-4", f"{ROOT}/gateway/board-3/down/belt/control"),
    ("board-3", f"{ROOT}/station/rack-3/up/record"),
    ("coach", f"{ROOT}/station/rack-3/up/record"),
    ("coach", f"{ROOT}/gateway/board-3/up/belt/data"),
    ("rack-3", "rungwise/2/station/rack-3/up/record"),
    ("rack-3", f"valley/{ROOT}/station/rack-3/up/record"),
    ("rack-3", "anything"),
]
MAY_NOT_READ = [
    ("rack-3", "#"),
    ("rack-3", "+/+/+/+/+/+"),
    ("rack-3", f"{ROOT}/station/+/up/#"),
    ("rack-3", f"{ROOT}/station/+/down/#"),
    ("rack-3", f"{ROOT}/station/rack-4/up/record"),
    ("rack-3", f"{ROOT}/station/rack-4/down/word"),
    ("rack-4", f"{ROOT}/gateway/board-3/up/#"),
    ("coach", "#"),
    ("coach", f"{ROOT}/#"),
    ("coach", f"{ROOT}/station/+/down/word"),
    ("board-3", f"{ROOT}/gateway/+/up/#"),
]
TOLD = [
    f"{ROOT}/station/rack-3/up/record",
    f"{ROOT}/station/rack-4/up/record",
    f"{ROOT}/gateway/board-3/up/belt/data",
    f"{ROOT}/station/rack-4/down/word",
]
"""What there is to be overheard, each written by whom it belongs to."""
WRITERS = ["rack-3", "rack-4", "board-3", "coach"]
BEHIND = {
    "coach": ("rack-3", f"{ROOT}/station/rack-3/up/now"),
    "rack-3": ("coach", f"{ROOT}/station/rack-3/down/word"),
    "rack-4": ("coach", f"{ROOT}/station/rack-4/down/heard"),
    "board-3": ("rack-3", f"{ROOT}/gateway/board-3/down/belt/control"),
}
"""By whom each can be told something that it may hear."""


async def test_what_is_allowed_passes(broker_guarded: BrokerProcess, certificates: Certificates) -> None:
    for writer, topic, reader, asked in MAY_WRITE:
        async with (
            client(broker_guarded, reader, certificates=certificates) as reads,
            client(broker_guarded, writer, certificates=certificates) as writes,
        ):
            assert await reads.asks_for(asked) == 1
            await writes.writes(topic, b"hello")
            await reads.until(b"hello")
            assert reads.came == [(topic, b"hello")]


async def test_every_other_write_does_not_arrive(broker_guarded: BrokerProcess, certificates: Certificates) -> None:
    """Everybody listens to all they may, so that whatever was let through would be seen by somebody."""
    async with (
        client(broker_guarded, "coach", certificates=certificates) as coach,
        client(broker_guarded, "rack-3", certificates=certificates) as rack_3,
        client(broker_guarded, "rack-4", certificates=certificates) as rack_4,
        client(broker_guarded, "board-3", certificates=certificates) as board_3,
    ):
        everybody = {"coach": coach, "rack-3": rack_3, "rack-4": rack_4, "board-3": board_3}
        await coach.asks_for(f"{ROOT}/station/+/up/#")
        await coach.asks_for(f"{ROOT}/gateway/+/up/#")
        await rack_3.asks_for(f"{ROOT}/station/rack-3/down/#")
        await rack_4.asks_for(f"{ROOT}/station/rack-4/down/#")
        await board_3.asks_for(f"{ROOT}/gateway/board-3/down/#")
        for writer, topic in MAY_NOT_WRITE:
            await everybody[writer].writes(topic, f"refused {topic}".encode(), retain=True)
        for name in ("rack-3", "rack-4"):
            await everybody[name].writes(f"{ROOT}/station/{name}/up/record", b"behind")
            await coach.writes(f"{ROOT}/station/{name}/down/word", b"behind")
        await board_3.writes(f"{ROOT}/gateway/board-3/up/belt/data", b"behind")
        await rack_3.writes(f"{ROOT}/gateway/board-3/down/belt/control", b"behind")
        for one in everybody.values():
            await one.until(b"behind")
        assert [held for one in everybody.values() for _, held in one.came if held != b"behind"] == []
        assert len(coach.came) == 3, "one behind each of the writers"


async def test_every_other_read_hears_nothing(broker_guarded: BrokerProcess, certificates: Certificates) -> None:
    """What was told before (retained) and what is told then; mosquitto says yes and delivers what may be read alone."""
    says_no = "hub" in broker_guarded.command
    readable = {"coach": set(TOLD[:3]), "rack-3": {TOLD[2]}, "rack-4": {TOLD[3]}, "board-3": set[str]()}
    async with AsyncExitStack() as held:
        named = {
            name: await held.enter_async_context(client(broker_guarded, name, certificates=certificates))
            for name in ("coach", "rack-3", "rack-4", "board-3")
        }
        for writer, topic in zip(WRITERS, TOLD, strict=True):
            await named[writer].writes(topic, b"secret", retain=True)
        for reader, asked in MAY_NOT_READ:
            async with client(broker_guarded, reader, certificates=certificates) as reads:
                told = await reads.asks_for(asked)
                assert told == (REFUSED if says_no else 1)
                for writer, topic in zip(WRITERS, TOLD, strict=True):
                    await named[writer].writes(topic, b"secret")
                writer, behind = BEHIND[reader]
                await reads.asks_for(behind)
                await named[writer].writes(behind, b"behind")
                await reads.until(b"behind")
                overheard = {topic for topic, held in reads.came if held == b"secret"}
                assert overheard <= (set() if says_no else readable[reader]), (reader, asked)


async def test_a_will_for_another_is_not_told(broker_guarded: BrokerProcess, certificates: Certificates) -> None:
    theirs, own = (aiomqtt.Will(f"{ROOT}/station/{one}/up/presence", b"lost", qos=1) for one in ("rack-4", "rack-3"))
    async with client(broker_guarded, "coach", certificates=certificates) as coach:
        await coach.asks_for(f"{ROOT}/station/+/up/presence")
        for will in (theirs, own):
            async with Proxy(broker_guarded.port) as proxy:
                with suppress(aiomqtt.MqttError):
                    async with client(broker_guarded, "rack-3", certificates=certificates, will=will, port=proxy.port):
                        proxy.cut()
                        await asyncio.sleep(0.5)
        await coach.until(b"lost")
        assert coach.came == [(own.topic, b"lost")], "its own comes behind the other, and alone"


async def test_an_account_whose_name_is_a_wildcard_reads_no_more(
    broker_guarded: BrokerProcess, certificates: Certificates
) -> None:
    """Else `%u` of mosquitto's patterns would stand for all stations; no broker here has such an account."""
    for name in ("+", "#", "rack-3/../rack-4", ""):
        with pytest.raises(aiomqtt.MqttError):
            async with aiomqtt.Client(
                "localhost",
                broker_guarded.port,
                username=name,
                password="blue-kettle",
                tls_params=aiomqtt.TLSParameters(ca_certs=str(certificates.ca)),
                timeout=5.0,
            ):
                pass
