"""Many small clients of a broker, in few processes: bare MQTT 3.1.1, so that the load is the broker's."""

from __future__ import annotations

import asyncio
import json
import ssl
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from sensor.protocol import Layout, Packet, decode, encode
from tui.hub import wire
from tui.hub.gate import frame
from tui.hub.limits import FRAME_BYTES

EVENT_BYTES = 1500
"""As long as what a station tells of a set in progress."""
SAMPLES = 10
_WRAP_US = 1 << 32
_PINGS_EVERY_S = 20.0


@dataclass(frozen=True)
class Where:
    """A broker, and an account there."""

    port: int
    ca: Path | None
    account: str
    password: str


@dataclass
class Heard:
    """What came: per topic which numbers, and how long each took, s; how often one came twice."""

    numbers: dict[str, set[int]] = field(default_factory=dict)
    latency_s: list[float] = field(default_factory=list)
    twice: int = 0

    def take(self, topic: str, payload: bytes) -> None:
        """Take note of one message."""
        number, sent_us = _of_event(payload) if "/station/" in topic else _of_packet(payload)
        self.latency_s.append((_now_us() - sent_us) % _WRAP_US / 1e6)
        held = self.numbers.setdefault(topic, set())
        self.twice += number in held
        held.add(number)


class Bare:
    """One connection."""

    def __init__(self, where: Where, name: str) -> None:
        self._where = where
        self._name = name
        self._packets = _identifiers()
        self._reader: asyncio.StreamReader
        self._writer: asyncio.StreamWriter
        self.unanswered: set[int] = set()

    async def connect(self) -> None:
        """Say who this is, and wait until it is let in."""
        tls = ssl.create_default_context(cafile=str(self._where.ca)) if self._where.ca else None
        self._reader, self._writer = await asyncio.open_connection("127.0.0.1", self._where.port, ssl=tls)
        texts = (self._name, self._where.account, self._where.password)
        rest = b"".join(len(one.encode()).to_bytes(2, "big") + one.encode() for one in texts)
        self._send(wire.Frame(wire.Kind.CONNECT, 0, b"\0\4MQTT\4\xc2\0\x3c" + rest))
        answer = await frame(self._reader, 16)
        if answer.body != b"\0\0":
            raise ConnectionError(f"{self._name} was not let in: {answer.body!r}")

    async def listen(self, topics: list[str], take: Callable[[str, bytes], None] | None = None) -> None:
        """Subscribe, and take what comes until cancelled; count answers off."""
        if topics:
            self._writer.write(bytes(wire.Subscribe(1, tuple((topic, 1) for topic in topics))))
        while True:
            came = await frame(self._reader, FRAME_BYTES)
            if came.kind == wire.Kind.PUBACK:
                self.unanswered.discard(int.from_bytes(came.body, "big"))
            elif came.kind == wire.Kind.PUBLISH:
                head = wire.publish(came)
                if take is not None:
                    take(head.topic, came.body[len(came.body) - head.size :])
                if head.qos:
                    self._writer.write(wire.answer(head.packet))

    async def pings(self) -> None:
        """Stay awake, until cancelled."""
        while True:
            await asyncio.sleep(_PINGS_EVERY_S)
            self._send(wire.Frame(wire.Kind.PINGREQ, 0, b""))

    def publish(self, topic: str, payload: bytes, *, retain: bool = False) -> None:
        """Send at QoS 1, without waiting."""
        packet = next(self._packets)
        self.unanswered.add(packet)
        head = len(topic.encode()).to_bytes(2, "big") + topic.encode() + packet.to_bytes(2, "big")
        self._send(wire.Frame(wire.Kind.PUBLISH, 0x02 | retain, head + payload))

    async def close(self) -> None:
        """Take leave."""
        self._send(wire.Frame(wire.Kind.DISCONNECT, 0, b""))
        self._writer.close()
        with suppress(OSError, TimeoutError):
            await asyncio.wait_for(self._writer.wait_closed(), 2.0)

    def _send(self, what: wire.Frame) -> None:
        self._writer.write(bytes(what))


def _identifiers() -> Iterator[int]:
    """Yield packet identifiers (2.3.1)."""
    while True:
        yield from range(1, 0xFFFF)


def event(number: int) -> bytes:
    """Return an event of the usual length that tells its number and when it was sent."""
    told = {"number": number, "at_us": _now_us(), "fill": ""}
    return json.dumps({**told, "fill": "x" * (EVENT_BYTES - len(json.dumps(told)))}).encode()


def packet(number: int) -> bytes:
    """Return a packet of ten samples of six axes that tells its number and when it was sent."""
    counts = np.full((SAMPLES, 6), number % 1000, dtype=np.int16)
    sent = Packet(boot_tag=1, first_index=number * SAMPLES, device_us=_now_us(), counts=counts)
    return encode(sent, Layout.LARGE)


def _of_event(payload: bytes) -> tuple[int, int]:
    told = json.loads(payload)
    return told["number"], told["at_us"]


def _of_packet(payload: bytes) -> tuple[int, int]:
    read = decode(payload)
    return read.first_index // SAMPLES, read.device_us


def _now_us() -> int:
    return time.monotonic_ns() // 1000 % _WRAP_US
