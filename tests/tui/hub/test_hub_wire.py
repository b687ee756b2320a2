"""Packets at the gate, against another encoder (Eclipse Paho) and against bytes that are none (OASIS MQTT 3.1.1)."""

from __future__ import annotations

import asyncio
from contextlib import suppress

import pytest
from amqtt.adapters import BufferReader
from amqtt.mqtt.connect import ConnectPacket
from hypothesis import given
from hypothesis import strategies as st
from paho.mqtt.client import Client as Paho
from paho.mqtt.client import MQTTMessageInfo
from paho.mqtt.enums import CallbackAPIVersion

from tui.hub import wire
from tui.hub.gate import frame
from tui.hub.limits import FRAME_BYTES

TEXTS = st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\0+#"), min_size=1, max_size=40)


class Sent:
    """Takes what Paho would write to its socket."""

    def __init__(self) -> None:
        self.held = b""

    def send(self, data: bytes) -> int:
        self.held += bytes(data)
        return len(data)

    def close(self) -> None:
        pass

    def fileno(self) -> int:
        return -1


def paho(name: str = "rack-3") -> tuple[Paho, Sent]:
    client, sent = Paho(CallbackAPIVersion.VERSION2, client_id=name), Sent()
    client._sock = sent  # type: ignore[assignment]
    return client, sent


def read(data: bytes) -> wire.Frame:
    async def reading() -> wire.Frame:
        reader = asyncio.StreamReader()
        reader.feed_data(data)
        reader.feed_eof()
        got = await frame(reader, FRAME_BYTES)
        assert reader.at_eof(), "nothing is left"
        return got

    return asyncio.run(reading())


@given(name=TEXTS, account=st.none() | TEXTS, password=TEXTS, topic=st.none() | TEXTS, retain=st.booleans())
def test_a_client_of_another_hand_is_understood(
    name: str, account: str | None, password: str, topic: str | None, retain: bool
) -> None:
    client, sent = paho(name)
    if account is not None:
        client.username_pw_set(account, password)
    if topic is not None:
        client.will_set(topic, b"gone", 1, retain)
    client._send_connect(37)
    client._packet_write()
    got = wire.connect(read(sent.held))
    will = None if topic is None else wire.Will(topic, b"gone", 1, retain)
    assert got == wire.Connect(name, account, password.encode() if account is not None else None, 37, will)


@given(topic=st.none() | TEXTS, payload=st.binary(max_size=300), retain=st.booleans())
def test_what_is_passed_on_says_the_same_to_the_broker_behind(topic: str | None, payload: bytes, retain: bool) -> None:
    will = None if topic is None else wire.Will(topic, payload, 1, retain)
    passed = wire.Connect("rack-3", "rack-3", b"blue-kettle", 30, will).passed_on("c7")
    assert b"blue-kettle" not in passed
    assert b"rack-3" not in passed or (topic is not None and "rack-3" in topic)

    async def reading() -> ConnectPacket:
        return await ConnectPacket.from_stream(BufferReader(passed))

    got = asyncio.run(reading())
    assert (got.client_id, got.clean_session_flag, got.keep_alive, got.username) == ("c7", True, 0, None)
    assert bool(got.will_flag) == (will is not None)
    if will is not None:
        assert (got.will_topic, bytes(got.will_message), got.will_qos) == (topic, payload, 1)
        assert bool(got.will_retain_flag) == retain


@given(topic=TEXTS, payload=st.binary(max_size=400), qos=st.sampled_from([0, 1]), retain=st.booleans())
def test_a_message_of_another_hand_is_understood(topic: str, payload: bytes, qos: int, retain: bool) -> None:
    client, sent = paho()
    client._send_publish(77, topic.encode(), payload, qos, retain, info=MQTTMessageInfo(77))
    client._packet_write()
    got = read(sent.held)
    assert wire.publish(got) == wire.Publish(topic, qos, retain, 77 if qos else 0, len(payload))
    assert bytes(got) == sent.held


@given(filters=st.lists(st.tuples(TEXTS, st.sampled_from([0, 1, 2])), min_size=1, max_size=5))
def test_a_subscription_of_another_hand_is_understood(filters: list[tuple[str, int]]) -> None:
    client, sent = paho()
    client._send_subscribe(False, [(text.encode(), qos) for text, qos in filters])
    client._packet_write()
    got = wire.subscribe(read(sent.held))
    assert list(got.filters) == [(text, min(qos, 1)) for text, qos in filters]
    assert wire.subscribe(read(bytes(got))) == got


@given(st.integers(0, 15), st.integers(0, 15), st.binary(max_size=60))
def test_any_bytes_are_a_packet_or_refused(kind: int, flags: int, body: bytes) -> None:
    got = wire.Frame(kind, flags, body)
    assert read(bytes(got)) == got
    for reads in (wire.connect, wire.publish, wire.subscribe, wire.check):
        with suppress(wire.WireError):
            reads(got)


@pytest.mark.parametrize(
    ("kind", "flags", "body", "why"),
    [
        (wire.Kind.PUBLISH, 0x04, b"\0\1a\0\1x", "QoS 2"),
        (wire.Kind.PUBLISH, 0x06, b"\0\1a\0\1x", "QoS 2"),
        (wire.Kind.PUBLISH, 0x02, b"\0\1a\0\0x", "no number"),
        (wire.Kind.PUBLISH, 0x00, b"\0\1#x", "wildcard"),
        (wire.Kind.PUBLISH, 0x00, b"\0\0x", "empty"),
        (wire.Kind.PUBLISH, 0x00, b"\0\x02\xff\xfex", "not UTF-8"),
        (wire.Kind.PUBLISH, 0x00, b"\0\x02a\0x", "null"),
        (wire.Kind.PUBLISH, 0x00, b"\xff\xffa", "before its time"),
    ],
)
def test_a_message_that_is_none_is_refused(kind: int, flags: int, body: bytes, why: str) -> None:
    with pytest.raises(wire.WireError, match=why):
        wire.publish(wire.Frame(kind, flags, body))


@pytest.mark.parametrize(
    ("flags", "body"),
    [
        (0x00, b"\0\1\0\1a\0"),  # 3.8.1: the flags are 0010
        (0x02, b"\0\1"),  # 3.8.3: one filter at least
        (0x02, b"\0\1\0\1a\3"),
        (0x02, b"\0\1\0\0\0"),
        (0x02, b"\0\0\0\1a\0"),
    ],
)
def test_a_subscription_that_is_none_is_refused(flags: int, body: bytes) -> None:
    with pytest.raises(wire.WireError):
        wire.subscribe(wire.Frame(wire.Kind.SUBSCRIBE, flags, body))


@pytest.mark.parametrize("kind", [0, 2, 5, 6, 7, 9, 11, 13, 15])
def test_a_packet_that_no_client_sends_here_is_refused(kind: int) -> None:
    with pytest.raises(wire.WireError, match="no place here"):
        wire.check(wire.Frame(kind, 0, b"\0\1"))


def test_a_version_that_is_not_spoken_is_told_so() -> None:
    with pytest.raises(wire.UnknownLevelError):
        wire.connect(wire.Frame(wire.Kind.CONNECT, 0, b"\0\4MQTT\5\2\0\0\0\0"))
    assert wire.refusal(wire.Code.LEVEL_REFUSED) == b"\x20\x02\x00\x01", "3.2.2.3"


@pytest.mark.parametrize("head", [b"\x30\xff\xff\xff\x7f", b"\x30\xff\xff\xff\xff\x01", b"\x30\x80\x80\x20"])
def test_a_long_packet_is_refused_before_it_is_read(head: bytes) -> None:
    """256 MiB, a length of five bytes (2.2.3), 512 KiB."""
    with pytest.raises(wire.WireError):
        read(head)
