"""The brokers, certificates and faults that other tests rest on do what they say (OASIS MQTT 3.1.1)."""

from __future__ import annotations

import asyncio
import socket
import ssl
from collections.abc import Callable
from pathlib import Path

import aiomqtt
import pytest

from tests.brokers import mosquitto as mosquittos
from tests.brokers.certificates import Certificates, Pair
from tests.brokers.mosquitto import PASSWORDS
from tests.brokers.process import BrokerProcess
from tests.brokers.proxy import FAULTS, Proxy, in_thread

TOPIC = "rungwise/1/station/rack-3/up/record"


async def through(port: int, *, within_s: float = 5.0, **how: object) -> float:
    """Send one message to oneself; return how long it took, in s."""
    clock = asyncio.get_running_loop().time
    async with aiomqtt.Client("127.0.0.1", port, timeout=within_s, **how) as client:  # type: ignore[arg-type]
        await client.subscribe(TOPIC, qos=1)
        begin = clock()
        await client.publish(TOPIC, b"x" * 1000, qos=1)
        async with asyncio.timeout(within_s):
            async for message in client.messages:
                assert message.payload == b"x" * 1000
                return clock() - begin
    raise AssertionError("nothing came")


async def test_a_broker_passes_on_and_comes_back_on_its_port(broker: BrokerProcess) -> None:
    await through(broker.port)
    broker.kill()
    with pytest.raises(aiomqtt.MqttError):
        await through(broker.port)
    broker.start()
    await through(broker.port)


async def test_a_halted_broker_answers_nothing_until_it_goes_on(broker: BrokerProcess) -> None:
    broker.halt()
    with pytest.raises(aiomqtt.MqttError):
        await through(broker.port, within_s=0.5)
    broker.resume()
    await through(broker.port)


async def test_the_guarded_one_knows_accounts(mosquitto_guarded: BrokerProcess, certificates: Certificates) -> None:
    trust = aiomqtt.TLSParameters(ca_certs=str(certificates.ca))
    at = mosquitto_guarded.port
    async with aiomqtt.Client("localhost", at, username="rack-3", password=PASSWORDS["rack-3"], tls_params=trust):
        pass
    for account, password in [("rack-3", "wrong"), ("nobody", "blue-kettle"), (None, None)]:
        with pytest.raises(aiomqtt.MqttError):
            async with aiomqtt.Client("localhost", at, username=account, password=password, tls_params=trust):
                pass


@pytest.mark.parametrize(
    ("which", "why"),
    [
        (lambda made: made.wrong_name, "ostname mismatch"),
        (lambda made: made.expired, "expired"),
        (lambda made: made.stranger, "unable to get local issuer certificate"),
    ],
    ids=["name", "expired", "authority"],
)
def test_each_wrong_certificate_is_wrong_in_its_own_way(
    certificates: Certificates, tmp_path: Path, which: Callable[[Certificates], Pair], why: str
) -> None:
    if mosquittos.program() is None:
        pytest.skip(mosquittos.MISSING)
    trust = ssl.create_default_context(cafile=str(certificates.ca))
    with (
        mosquittos.guarded(tmp_path, which(certificates)) as broker,
        socket.create_connection((broker.host, broker.port)) as link,
        pytest.raises(ssl.SSLCertVerificationError, match=why),
    ):
        trust.wrap_socket(link, server_hostname="localhost")


async def test_the_proxy_changes_nothing_unasked(proxy: Proxy) -> None:
    assert await through(proxy.port) < 2.0


async def test_the_proxy_delays_in_order(proxy: Proxy) -> None:
    proxy.delay(0.2)
    await asyncio.sleep(0)
    assert await through(proxy.port) >= 0.4, "there and back"


async def test_the_proxy_stalls_and_flows(proxy: Proxy) -> None:
    proxy.stall()
    going = asyncio.create_task(through(proxy.port))
    await asyncio.sleep(0.5)
    assert not going.done()
    proxy.flow()
    await going


async def _sent_until_the_end(proxy: Proxy, fault: str) -> None:
    async with aiomqtt.Client("127.0.0.1", proxy.port, timeout=1.0) as client:
        getattr(proxy, fault)()
        for _ in range(100):
            await client.publish(TOPIC, b"x" * 1000, qos=1)
            await asyncio.sleep(0.01)


@pytest.mark.parametrize("fault", ["cut", "halve", "refuse"])
async def test_the_proxy_ends_connections(proxy: Proxy, fault: str) -> None:
    with pytest.raises(aiomqtt.MqttError):
        await _sent_until_the_end(proxy, fault)
    if fault == "refuse":
        with pytest.raises(aiomqtt.MqttError):
            await through(proxy.port, within_s=1.0)
        proxy.flow()
    await through(proxy.port)


async def test_a_schedule_of_faults_is_the_same_each_time_and_ends_well(proxy: Proxy) -> None:
    first = await proxy.schedule(3, 1.0, every_s=0.1)
    again = await proxy.schedule(3, 1.0, every_s=0.1)
    common = min(len(first), len(again))
    assert common >= 3
    assert [fault for _, fault in first[:common]] == [fault for _, fault in again[:common]]
    assert {fault for _, fault in first} <= set(FAULTS)
    await through(proxy.port)


def test_the_proxy_runs_in_a_thread_too(broker: BrokerProcess) -> None:
    with in_thread(broker.port) as proxy:
        asyncio.run(through(proxy.port))
        proxy.refuse()
        with pytest.raises(aiomqtt.MqttError):
            asyncio.run(through(proxy.port, within_s=1.0))
        proxy.flow()
        asyncio.run(through(proxy.port))
    assert proxy.connections == 2
