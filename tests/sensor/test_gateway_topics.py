"""The topics of gateways, and the addresses of what they bridge."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sensor.broker import Address, BrokerError
from sensor.gateway_topics import (
    ANY,
    CHANNELS,
    Bridge,
    Told,
    asked_of,
    control,
    presence,
    presence_payload,
    says_here,
    sensor_id,
    told_by,
    topic_name,
    up,
)
from sensor.source import Channel
from tui.share.topics import parse

HOST = Address("broker.example", 8883, tls=True)


@pytest.mark.parametrize("gym", ["", "valley"])
def test_each_topic_leads_back(gym: str) -> None:
    for channel in CHANNELS:
        topic = up("rack-3", "clip-07", channel, gym)
        assert topic == (f"{gym}/" if gym else "") + f"rungwise/1/gateway/rack-3/up/clip-07/{channel}"
        assert told_by(topic, gym) == Told("rack-3", "clip-07", channel)
        assert told_by(topic, "hill") is None
        assert parse(topic, gym) is None, "no station's"
    assert told_by(presence("rack-3", gym), gym) == Told("rack-3")
    assert asked_of(control("rack-3", "clip-07", gym), "rack-3", gym) == "clip-07"
    assert asked_of(control("rack-4", "clip-07", gym), "rack-3", gym) is None


@pytest.mark.parametrize(
    "topic",
    [
        "rungwise/2/gateway/rack-3/up/clip-07/data",
        "rungwise/1/gateway/rack-3/up/clip-07/notice",
        "rungwise/1/gateway/rack-3/up/clip-07/control",
        "rungwise/1/gateway/rack-3/down/clip-07/data",
        "rungwise/1/gateway/../up/clip-07/data",
        "rungwise/1/gateway/rack-3/up/a'b/data",
        "rungwise/1/gateway/rack-3/up/clip-07/data/x",
        "x/rungwise/1/gateway/rack-3/up/clip-07/data",
        "rungwise/1/station/rack-3/up/presence",
    ],
)
def test_other_topics_are_passed_over(topic: str) -> None:
    assert told_by(topic) is None


@given(st.text(), st.text())
def test_no_text_of_a_topic_comes_through(gateway: str, sensor: str) -> None:
    told = told_by(f"rungwise/1/gateway/{gateway}/up/{sensor}/data")
    if told is not None:
        assert (told.gateway, told.sensor) == (gateway, sensor)
        assert set(gateway + sensor) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")


@given(st.binary(max_size=50))
def test_any_bytes_of_presence_can_be_read(payload: bytes) -> None:
    assert says_here(payload) in (None, True, False)


def test_presence() -> None:
    for is_here in (True, False):
        assert says_here(presence_payload(is_here=is_here)) is is_here
    assert says_here(b'{"state":"here","since":3}') is True
    assert says_here(b"[" * 1000) is None
    assert says_here(b'{"state":"here", "more":"' + b"x" * 2000 + b'"}') is None


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("mqtts://broker.example/rack-3", Bridge(HOST, "rack-3", ANY)),
        ("mqtts://broker.example/rack-3/clip-07", Bridge(HOST, "rack-3", "clip-07")),
        ("mqtts://broker.example/+/+", Bridge(HOST, ANY, ANY)),
        (
            "mqtts://ada@broker.example:8884/valley/rack-3/+",
            Bridge(Address("broker.example", 8884, True, "ada", "valley"), "rack-3", ANY),
        ),
    ],
)
def test_bridge_of_text(text: str, meant: Bridge) -> None:
    assert Bridge.parse(text) == meant
    assert meant.gateway == ANY or Bridge.parse(meant.to(meant.gateway, "clip-07")).address == meant.address


@pytest.mark.parametrize(
    "text",
    [
        "mqtts://broker.example",
        "mqtts://broker.example/a/b/c/d",
        "mqtts://broker.example/rack-3/../x",
        "mqtts://broker.example/Rack",
        "mqtts://broker.example/rack-3,",
        "mqtts://broker.example/rack-3/clip-07,clip-12",
        "mqtt://broker.example/rack-3",
        "mqtts://",
        "mqtts:///rack-3",
        "rack-3",
    ],
)
def test_bridge_that_means_nothing_is_refused(text: str) -> None:
    with pytest.raises(BrokerError):
        Bridge.parse(text)


@pytest.mark.parametrize("place", ["rack-3:korund-7@h/rack-3", "a:b/korund-7@h/rack-3", "a:korund-7@x@h/rack-3"])
def test_password_in_a_bridge_is_refused_and_not_repeated(place: str) -> None:
    with pytest.raises(BrokerError, match="password") as caught:
        Bridge.parse(f"mqtts://{place}")
    assert "korund" not in str(caught.value)


def test_a_sensor_is_called_by_its_name_or_its_address() -> None:
    assert topic_name("clip-07", "C0:FF:EE:00:00:07") == "clip-07"
    assert topic_name("Ada's clip", "C0:FF:EE:00:00:07") == "c0-ff-ee-00-00-07"
    assert sensor_id("c0-ff-ee-00-00-07") == "C0:FF:EE:00:00:07"
    assert sensor_id("clip-07") == "clip-07"


def test_what_is_listened_to() -> None:
    assert Bridge(HOST, "rack-3").topics == (
        "rungwise/1/gateway/rack-3/up/presence",
        "rungwise/1/gateway/rack-3/up/+/+",
    )
    assert Bridge(HOST, "rack-3", "clip-07").topics[1:] == (
        "rungwise/1/gateway/rack-3/up/clip-07/+",
        "rungwise/1/gateway/rack-3/up/+/link",
    )
    assert Bridge(HOST, ANY).is_of(Told("x", "y", Channel.DATA))
    several = Bridge.parse("mqtts://broker.example/rack-3,rack-4")
    assert len(several.topics) == 4
    assert several.topics[2:] == ("rungwise/1/gateway/rack-4/up/presence", "rungwise/1/gateway/rack-4/up/+/+")
    assert several.is_of(Told("rack-4", "y", Channel.DATA))
    assert not several.is_of(Told("rack-5", "y", Channel.DATA))
