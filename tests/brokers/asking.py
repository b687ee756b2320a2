"""A client of a broker that may not do all it tries: what it wrote, what it read, what it was told."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager

import aiomqtt

from tests.brokers.certificates import Certificates
from tests.brokers.mosquitto import PASSWORDS
from tests.brokers.process import BrokerProcess

REFUSED = 0x80
"""The answer to a subscription that is refused (OASIS MQTT 3.1.1, 3.9.3)."""


class Client:
    """Connected under an account; keeps what came."""

    def __init__(self, client: aiomqtt.Client) -> None:
        self.mqtt = client
        self.came: list[tuple[str, bytes]] = []
        self.arrived = asyncio.Event()

    async def listen(self) -> None:
        async for message in self.mqtt.messages:
            assert isinstance(message.payload, bytes)
            self.came.append((str(message.topic), message.payload))
            self.arrived.set()

    async def asks_for(self, topic: str) -> int:
        """Subscribe at QoS 1; return what it is told."""
        (answer,) = await self.mqtt.subscribe(topic, qos=1)
        return int(getattr(answer, "value", answer))

    async def writes(self, topic: str, payload: bytes = b"x", *, retain: bool = False) -> None:
        """Publish at QoS 1, and wait for the answer, which comes whether it was let through or not."""
        await self.mqtt.publish(topic, payload, qos=1, retain=retain)

    async def until(self, payload: bytes, within_s: float = 5.0) -> None:
        """Wait until this came."""
        async with asyncio.timeout(within_s):
            while payload not in [held for _, held in self.came]:
                self.arrived.clear()
                await self.arrived.wait()


async def until(holds: Callable[[], bool], within_s: float = 5.0) -> None:
    """Wait until something holds, or raise TimeoutError."""
    async with asyncio.timeout(within_s):
        while True:
            if holds():
                return
            await asyncio.sleep(0.01)


@asynccontextmanager
async def client(
    broker: BrokerProcess,
    account: str | None = None,
    *,
    certificates: Certificates | None = None,
    will: aiomqtt.Will | None = None,
    name: str | None = None,
    keepalive: int = 60,
    port: int | None = None,
) -> AsyncIterator[Client]:
    """Connect, under an account of the tests or none; `port` is that of a proxy between."""
    mqtt = aiomqtt.Client(
        "localhost" if broker.secure else broker.host,
        port or broker.port,
        username=account,
        password=PASSWORDS[account] if account else None,
        tls_params=aiomqtt.TLSParameters(ca_certs=str(certificates.ca)) if broker.secure and certificates else None,
        will=will,
        identifier=name,
        keepalive=keepalive,
        timeout=5.0,
    )
    async with mqtt:
        made = Client(mqtt)
        listening = asyncio.create_task(made.listen())
        try:
            yield made
        finally:
            listening.cancel()
            await asyncio.gather(listening, return_exceptions=True)
