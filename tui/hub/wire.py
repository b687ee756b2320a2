"""Packets of MQTT 3.1.1 as bytes, as far as the hub must know them to let them pass (OASIS MQTT 3.1.1); sans-I/O.

What does not follow the standard to the letter is refused here, so that nothing behind it meets it.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

LEVEL = 4
"""The protocol level of MQTT 3.1.1 (3.1.2.2)."""
_NAME = b"\x00\x04MQTT"


class WireError(ValueError):
    """Bytes that are no MQTT 3.1.1, or no part of it that the hub takes; the message says what is wrong."""


class UnknownLevelError(WireError):
    """A client of another version of MQTT, to be told so (3.1.2.2)."""


class Kind(IntEnum):
    """Control packets (2.2.1)."""

    CONNECT = 1
    CONNACK = 2
    PUBLISH = 3
    PUBACK = 4
    SUBSCRIBE = 8
    UNSUBSCRIBE = 10
    PINGREQ = 12
    DISCONNECT = 14


class Code(IntEnum):
    """What a client is told when it connects (3.2.2.3)."""

    LEVEL_REFUSED = 1
    NAME_REFUSED = 2
    UNAVAILABLE = 3
    ACCOUNT_REFUSED = 4
    NOT_AUTHORIZED = 5


@dataclass(frozen=True, slots=True)
class Frame:
    """A packet: kind, the four flags beside it, and all behind its length (2.2)."""

    kind: int
    flags: int
    body: bytes

    def __bytes__(self) -> bytes:
        length, head = len(self.body), bytearray([self.kind << 4 | self.flags])
        while True:
            length, low = divmod(length, 128)
            head.append(low | (0x80 if length else 0))
            if not length:
                return bytes(head) + self.body


@dataclass(frozen=True, slots=True)
class Will:
    """What is told when a client is lost (3.1.2.5)."""

    topic: str
    payload: bytes
    qos: int
    retain: bool


@dataclass(frozen=True, slots=True)
class Connect:
    """How a client introduces itself (3.1)."""

    client: str
    account: str | None
    password: bytes | None
    keep_alive_s: int
    will: Will | None

    def passed_on(self, client: str) -> bytes:
        """Return it for the broker behind: under that name, without account, nothing left of an earlier one."""
        flags = 0x02
        rest = _packed(client.encode())
        if self.will is not None:
            flags |= 0x04 | self.will.qos << 3 | (0x20 if self.will.retain else 0)
            rest += _packed(self.will.topic.encode()) + _packed(self.will.payload)
        return bytes(Frame(Kind.CONNECT, 0, _NAME + bytes([LEVEL, flags, 0, 0]) + rest))


@dataclass(frozen=True, slots=True)
class Publish:
    """What the head of a message says (3.3)."""

    topic: str
    qos: int
    retain: bool
    packet: int
    size: int


@dataclass(frozen=True, slots=True)
class Subscribe:
    """What somebody wants to hear (3.8)."""

    packet: int
    filters: tuple[tuple[str, int], ...]

    def __bytes__(self) -> bytes:
        asked = b"".join(_packed(text.encode()) + bytes([qos]) for text, qos in self.filters)
        return bytes(Frame(Kind.SUBSCRIBE, 0x02, self.packet.to_bytes(2, "big") + asked))


def refusal(code: Code) -> bytes:
    """Return what a client is told that may not connect (3.2)."""
    return bytes(Frame(Kind.CONNACK, 0, bytes([0, code])))


def answer(packet: int) -> bytes:
    """Return what a publisher is told at QoS 1 (3.4)."""
    return bytes(Frame(Kind.PUBACK, 0, packet.to_bytes(2, "big")))


def connect(frame: Frame) -> Connect:
    """Read a CONNECT."""
    if frame.kind != Kind.CONNECT or frame.flags:
        raise WireError("it does not begin with CONNECT")
    reader = _Reader(frame.body)
    name, level = reader.packed(), reader.take(1)[0]
    if name != b"MQTT" or level != LEVEL:
        raise UnknownLevelError("it does not speak MQTT 3.1.1")
    flags, keep_alive_s = reader.take(1)[0], reader.number()
    if flags & 0x01:
        raise WireError("a reserved flag is set")
    client = reader.text()
    will = _will(flags, reader)
    account = reader.text() if flags & 0x80 else None
    password = reader.packed() if flags & 0x40 else None
    if account is None and password is not None:
        raise WireError("a password comes without an account")
    reader.end()
    return Connect(client, account, password, keep_alive_s, will)


def publish(frame: Frame) -> Publish:
    """Read the head of a PUBLISH; QoS 2 is not taken."""
    qos = frame.flags >> 1 & 0x03
    if qos > 1:
        raise WireError("it sends at QoS 2, which the hub does not take")
    reader = _Reader(frame.body)
    topic = reader.text()
    if not topic or "#" in topic or "+" in topic:
        raise WireError("a topic to write to is empty or has a wildcard")
    packet = reader.identifier() if qos else 0
    return Publish(topic, qos, bool(frame.flags & 0x01), packet, reader.left)


def subscribe(frame: Frame) -> Subscribe:
    """Read a SUBSCRIBE; what is asked for at QoS 2 is given at QoS 1 (3.8.4)."""
    if frame.flags != 0x02:
        raise WireError("a reserved flag is set")
    reader = _Reader(frame.body)
    packet, filters = reader.identifier(), list[tuple[str, int]]()
    while reader.left or not filters:
        text, qos = reader.text(), reader.take(1)[0]
        if not text or qos > 2:
            raise WireError("a subscription is empty or of an unknown QoS")
        filters.append((text, min(qos, 1)))
    return Subscribe(packet, tuple(filters))


def check(frame: Frame) -> None:
    """Check a packet that is passed on as it is."""
    reader = _Reader(frame.body)
    if frame.kind == Kind.UNSUBSCRIBE and frame.flags == 0x02:
        reader.identifier()
        reader.text()
        while reader.left:
            reader.text()
    elif frame.kind == Kind.PUBACK and not frame.flags:
        reader.identifier()
    elif frame.kind not in (Kind.PINGREQ, Kind.DISCONNECT) or frame.flags:
        raise WireError(f"a packet of type {frame.kind} has no place here")
    reader.end()


def _will(flags: int, reader: _Reader) -> Will | None:
    qos = flags >> 3 & 0x03
    if not flags & 0x04:
        if flags & 0x38:
            raise WireError("flags of a will are set without one")
        return None
    if qos > 1:
        raise WireError("its will is at QoS 2, which the hub does not take")
    topic, payload = reader.text(), reader.packed()
    if not topic or "#" in topic or "+" in topic:
        raise WireError("the topic of its will is empty or has a wildcard")
    return Will(topic, payload, qos, bool(flags & 0x20))


def _packed(content: bytes) -> bytes:
    return len(content).to_bytes(2, "big") + content


class _Reader:
    """Takes a body apart, from the front."""

    def __init__(self, body: bytes) -> None:
        self._body = body
        self._at = 0

    @property
    def left(self) -> int:
        return len(self._body) - self._at

    def take(self, count: int) -> bytes:
        if count > self.left:
            raise WireError("a packet ends before its time")
        self._at += count
        return self._body[self._at - count : self._at]

    def number(self) -> int:
        return int.from_bytes(self.take(2), "big")

    def identifier(self) -> int:
        number = self.number()
        if not number:
            raise WireError("a packet has no number")
        return number

    def packed(self) -> bytes:
        return self.take(self.number())

    def text(self) -> str:
        """Take a string: UTF-8 without the null character (1.5.3)."""
        try:
            text = self.packed().decode()
        except UnicodeDecodeError:
            raise WireError("a text is not UTF-8") from None
        if "\0" in text:
            raise WireError("a text holds a null character")
        return text

    def end(self) -> None:
        if self.left:
            raise WireError("a packet is longer than what it says")
