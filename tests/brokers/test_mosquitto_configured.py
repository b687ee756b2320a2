"""The packaged configuration of Debian's mosquitto keeps what it says, and lets nobody around it."""

from __future__ import annotations

import asyncio
import re
from pathlib import Path

import aiomqtt
import pytest

from sensor.broker import Access, Address, Broker, Letter
from sensor.source import SystemClock
from tests.brokers import mosquitto as mosquittos
from tests.brokers.asking import client
from tests.brokers.certificates import Certificates, Pair
from tests.brokers.mosquitto import PACKAGED, PASSWORDS
from tests.brokers.process import BrokerProcess

ROOT = "rungwise/1"
NOW = f"{ROOT}/station/rack-3/up/now"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    if mosquittos.program() is None:
        pytest.skip(mosquittos.MISSING)
    return tmp_path


async def why_not(broker: BrokerProcess, certificates: Certificates, *, host: str = "localhost") -> str:
    """Return what our own client says of a broker that it does not take, or nothing once it is connected."""
    address = Address.parse(f"mqtts://{host}:{broker.port}")
    access = Access(PASSWORDS["rack-3"], certificates.ca)
    async with Broker(address, access, name="rack-3", clock=SystemClock()) as ours, asyncio.timeout(10.0):
        await ours.link.news()
        return ours.link.why


async def test_our_client_takes_the_right_certificate(folder: Path, certificates: Certificates) -> None:
    with mosquittos.guarded(folder, certificates.right) as broker:
        assert await why_not(broker, certificates) == ""
        assert await why_not(broker, certificates, host="127.0.0.1") == ""


@pytest.mark.parametrize("which", ["wrong_name", "expired", "stranger"])
async def test_our_client_refuses_each_wrong_certificate(folder: Path, certificates: Certificates, which: str) -> None:
    pair: Pair = getattr(certificates, which)
    with mosquittos.guarded(folder, pair) as broker:
        why = await why_not(broker, certificates)
        assert "certificate" in why
        assert PASSWORDS["rack-3"] not in why
        assert "rack-3" not in broker.said(), "it was not told who calls"


async def test_nobody_is_heard_without_tls(folder: Path, certificates: Certificates) -> None:
    with mosquittos.guarded(folder, certificates.right) as broker, pytest.raises(aiomqtt.MqttError):
        async with aiomqtt.Client(
            broker.host, broker.port, username="rack-3", password=PASSWORDS["rack-3"], timeout=1.0
        ):
            pass


async def test_what_is_retained_outlasts_a_kill_once_it_was_saved(folder: Path, certificates: Certificates) -> None:
    with mosquittos.guarded(folder, certificates.right, saves_every_s=1) as broker:
        async with client(broker, "rack-3", certificates=certificates) as rack:
            await rack.writes(NOW, b"kept", retain=True)
        await asyncio.sleep(2.5)
        broker.kill()
        broker.start()
        async with client(broker, "coach", certificates=certificates) as coach:
            await coach.asks_for(f"{ROOT}/station/+/up/now")
            await coach.until(b"kept")


async def test_a_message_that_is_too_long_is_not_passed_on(folder: Path) -> None:
    with mosquittos.guarded(folder) as broker:
        async with client(broker, "coach") as coach:
            await coach.asks_for(f"{ROOT}/station/+/up/#")
            for size, name in [(262_144, "rack-3"), (262_145, "rack-3"), (1_000_000, "rack-4"), (10, "rack-4")]:
                try:
                    async with client(broker, name) as rack:
                        await rack.writes(f"{ROOT}/station/{name}/up/record", bytes(size))
                except aiomqtt.MqttError:
                    assert size > 262_144
            await coach.until(bytes(10))
            assert [len(held) for _, held in coach.came] == [262_144, 10]


async def test_an_account_named_like_a_wildcard_has_no_rights(folder: Path) -> None:
    """`%u` in a pattern would else be every station's topic."""
    with mosquittos.guarded(folder, accounts={**PASSWORDS, "+": "anybody-at-all"}) as broker:
        async with (
            aiomqtt.Client(broker.host, broker.port, username="+", password="anybody-at-all") as anybody,
            client(broker, "coach") as coach,
            client(broker, "rack-3") as rack,
        ):
            await anybody.subscribe(f"{ROOT}/station/+/down/#", qos=1)
            await anybody.subscribe("#", qos=1)
            await coach.asks_for(f"{ROOT}/station/+/up/#")
            await rack.asks_for(f"{ROOT}/station/rack-3/down/#")
            await anybody.publish(f"{ROOT}/station/rack-3/up/now", b"false", qos=1)
            await rack.writes(NOW, b"behind")
            await coach.writes(f"{ROOT}/station/rack-3/down/word", b"secret")
            await coach.until(b"behind")
            await rack.until(b"secret")
            assert [held for _, held in coach.came] == [b"behind"]
            with pytest.raises(TimeoutError):
                async with asyncio.timeout(0.3):
                    await anext(aiter(anybody.messages))


async def test_a_gym_has_its_name_before_all_topics(folder: Path) -> None:
    with mosquittos.guarded(folder, gym="valley") as broker:
        async with client(broker, "coach") as coach, client(broker, "rack-3") as rack:
            await coach.asks_for(f"valley/{ROOT}/station/+/up/#")
            await coach.asks_for(f"{ROOT}/station/+/up/#")
            await rack.writes(NOW, b"elsewhere")
            await rack.writes(f"valley/{NOW}", b"here")
            await coach.until(b"here")
            assert [held for _, held in coach.came] == [b"here"]


async def test_our_client_speaks_to_it(folder: Path, certificates: Certificates) -> None:
    with mosquittos.guarded(folder, certificates.right) as broker:
        address = Address.parse(f"mqtts://localhost:{broker.port}")
        async with (
            client(broker, "coach", certificates=certificates) as coach,
            Broker(address, Access(PASSWORDS["rack-3"], certificates.ca), name="rack-3", clock=SystemClock()) as ours,
        ):
            await coach.asks_for(f"{ROOT}/station/+/up/now")
            await asyncio.wait_for(ours.link.up(), 10.0)
            assert await ours.send(Letter(NOW, b"hello", retain=True))
            await coach.until(b"hello")


def test_the_steps_name_the_files_of_the_configuration() -> None:
    steps, config = (PACKAGED / "README.md").read_text(), (PACKAGED / "rungwise.conf").read_text()
    named = re.findall(r"(?m)^(?:certfile|keyfile|password_file|acl_file) (\S+)$", config)
    assert len(named) == 4
    assert [path for path in named if f"`{path}`" not in steps and f" {path} " not in steps] == []
