"""`firmware_notes/gateway.md`: its topics are those of the program, and its example goes as it says."""

import re
from pathlib import Path

from sensor.bridged import LONGEST, Bridged
from sensor.gateway import GatewaySettings
from sensor.gateway_topics import Bridge, asked_of, control, presence, says_here, told_by, up
from sensor.protocol import Info, PacketFlags, Resend, decode, decode_command
from sensor.source import Channel

TEXT = (Path(__file__).parents[2] / "firmware_notes" / "gateway.md").read_text(encoding="utf-8")
TOPICS = re.findall(r"^\| `(rungwise/1/gateway/\S+)` \| (board|computer) \| (.+?) \| (yes|no) \|", TEXT, re.MULTILINE)
EXAMPLE = re.findall(r"^\| ((?:up|down)/clip-07/\w+) \| `([0-9a-f ]+)` \|", TEXT, re.MULTILINE)
BELOW = "rungwise/1/gateway/board-3/"


def test_topics_are_those_of_the_program() -> None:
    named = {topic.replace("GATEWAY", "a").replace("SENSOR", "b"): by for topic, by, *_ in TOPICS}
    ups = [up("a", "b", channel) for channel in (Channel.INFO, Channel.DATA, Channel.BATTERY, Channel.LINK)]
    assert named == dict.fromkeys([presence("a"), *ups], "board") | {control("a", "b"): "computer"}


def test_what_is_kept_says_nothing_of_now() -> None:
    kept = {topic.rsplit("/", 1)[1] for topic, _, _, retained in TOPICS if retained == "yes"}
    assert kept == {"presence", "info", "battery"}


def test_presence_is_read_as_written() -> None:
    said = next(payload for topic, _, payload, _ in TOPICS if topic.endswith("presence"))
    assert [says_here(one.encode()) for one in re.findall(r"`(\{.+?\})`", said)] == [True, False]


def test_the_example_goes_as_it_says() -> None:
    bridged, asked = Bridged("clip-07", 0.0, 5.0), []
    assert len(EXAMPLE) == 5
    for at, (topic, text) in enumerate(EXAMPLE):
        payload = bytes.fromhex(text)
        told = told_by(BELOW + topic)
        if told is None:
            assert asked_of(BELOW + topic, "board-3") == "clip-07"
            assert payload in asked
            assert decode_command(payload) == Resend(2, 2)
            continue
        assert told.channel is not None
        bridged.take(told.channel, payload, at / 10, is_old=False)
        asked.append(bridged.ask(at / 10))
    assert asked[-1] is None, "all has come"
    packets = [decode(bytes.fromhex(text)) for topic, text in EXAMPLE if topic.endswith("data")]
    assert [(one.first_index, len(one), PacketFlags.RESENT in one.flags) for one in packets] == [
        (0, 2, False),
        (4, 2, False),
        (2, 2, True),
    ]
    info = Info.from_bytes(bytes.fromhex(EXAMPLE[0][1]))
    assert (info.boot_id, info.axes, info.rate_hz) == (7, 3, 100.0)


def test_limits_are_those_of_the_program() -> None:
    stall_s = GatewaySettings(bridge=Bridge.parse("mqtt://localhost/board-3")).stall_s
    assert f"nothing comes for {stall_s:g} s" in TEXT
    assert f"more than {LONGEST} bytes" in TEXT
