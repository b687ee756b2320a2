"""A sensor behind a gateway: when it is connected, when it is lost, what is kept and what is passed over."""

from __future__ import annotations

import numpy as np
import pytest

from sensor.bridged import LONGEST, Bridged
from sensor.protocol import Info, InfoFlags, Layout, Packet, Resend, decode_command, encode
from sensor.source import Channel

INFO = Info(boot_id=7, rate_hz=100, force_g_per_count=1 / 2048, axes=3, ring_samples=500, flags=InfoFlags.CAN_RESEND)
STALL_S = 4.0


def packet(first: int, count: int = 10) -> bytes:
    counts = np.zeros((count, 3), np.int16)
    one = Packet(boot_tag=INFO.boot_tag, first_index=first, device_us=first * 10_000, counts=counts)
    return encode(one, Layout.LARGE)


class Heard:
    """A bridged sensor, and all that came out of it."""

    def __init__(self) -> None:
        self.bridged = Bridged("clip-07", 0.0, STALL_S)
        self.now_s = 0.0

    def take(self, channel: Channel, payload: bytes, *, old: bool = False) -> None:
        self.bridged.take(channel, payload, self.now_s, is_old=old)

    def came(self) -> list[tuple[str, bytes]]:
        waiting = self.bridged.inbox._waiting
        came = [(arrival.channel.value, arrival.payload) for arrival in waiting]
        assert {arrival.sensor_id for arrival in waiting} <= {"clip-07"}
        waiting.clear()
        return came

    def wait(self, duration_s: float) -> None:
        for _ in range(round(duration_s / 0.05)):
            self.now_s += 0.05
            self.bridged.look(self.now_s)


MET = [("link", b"connected"), ("info", bytes(INFO))]


@pytest.fixture
def heard() -> Heard:
    return Heard()


@pytest.fixture
def met(heard: Heard) -> Heard:
    heard.take(Channel.INFO, bytes(INFO))
    assert heard.came() == MET
    return heard


def test_what_the_broker_kept_says_what_it_is_and_not_that_it_is_there(heard: Heard) -> None:
    # OASIS MQTT 3.1.1, 3.3.1.3: RETAIN is set on what was kept, and not on what comes to an existing subscription.
    heard.take(Channel.LINK, b"connected", old=True)
    heard.take(Channel.INFO, bytes(INFO), old=True)
    heard.take(Channel.BATTERY, bytes([71]), old=True)
    heard.take(Channel.DATA, packet(0), old=True)
    assert heard.came() == []
    heard.take(Channel.DATA, packet(10))
    assert heard.came() == [*MET, ("battery", bytes([71])), ("data", packet(10))]


def test_silence_is_a_loss_and_a_packet_ends_it(met: Heard) -> None:
    met.wait(STALL_S - 0.1)
    assert met.came() == []
    met.wait(0.2)
    assert met.came() == [("link", b"stalled"), ("link", b"lost"), ("link", b"searching")]
    assert met.bridged.ask(met.now_s) is None
    met.take(Channel.DATA, packet(0))
    assert met.came() == [*MET, ("data", packet(0))]


def test_packets_keep_it_and_a_busy_host_does_not_lose_it(met: Heard) -> None:
    for index in range(10):
        met.wait(STALL_S / 2)
        met.take(Channel.DATA, packet(10 * index))
    met.now_s += 100 * STALL_S
    met.bridged.look(met.now_s)
    assert met.bridged.is_up


@pytest.mark.parametrize("said", [b"lost", b"searching", b"stalled"])
def test_the_gateway_says_that_it_lost_it(met: Heard, said: bytes) -> None:
    met.take(Channel.LINK, said)
    met.take(Channel.LINK, said)
    assert met.came() == [("link", b"lost"), ("link", b"searching")]


def test_what_is_missing_is_asked_for_again_once_it_is_back(met: Heard) -> None:
    met.take(Channel.DATA, packet(0))
    met.take(Channel.LINK, b"lost")
    met.take(Channel.INFO, bytes(INFO))
    met.take(Channel.DATA, packet(50))
    asked = met.bridged.ask(met.now_s)
    assert asked is not None
    assert decode_command(asked) == Resend(10, 40)
    assert met.bridged.ask(met.now_s) is None, "one at a time"


def test_packets_without_information_are_told_once(heard: Heard) -> None:
    for index in range(3):
        heard.take(Channel.DATA, packet(10 * index))
    ((channel, said),) = heard.came()
    assert channel == "notice"
    assert b"retained" in said
    assert not heard.bridged.was_met


@pytest.mark.parametrize("payload", [b"", b"\x09" * 22, bytes(INFO)[:21]])
def test_information_of_no_sensor_is_told_and_left_out(heard: Heard, payload: bytes) -> None:
    heard.take(Channel.INFO, payload)
    heard.take(Channel.DATA, packet(0))
    assert [channel for channel, _ in heard.came()] == ["notice", "notice"]
    assert not heard.bridged.was_met


def test_what_no_sensor_sends_is_dropped_and_counted(met: Heard) -> None:
    for channel in (Channel.DATA, Channel.INFO, Channel.BATTERY, Channel.LINK):
        met.take(channel, bytes(LONGEST + 1))
    met.take(Channel.LINK, b"ended")
    met.take(Channel.LINK, b"away")
    assert met.came() == []
    assert met.bridged.dropped == 4


def test_a_flood_of_anything_is_bounded(met: Heard) -> None:
    for _ in range(20_000):
        met.take(Channel.BATTERY, bytes([50]))
        met.take(Channel.DATA, bytes(LONGEST))
    assert met.bridged.dropped > 20_000
    assert len(met.came()) < 16_400


def test_times_never_go_back(met: Heard) -> None:
    met.now_s = 3.0
    met.bridged.lose(3.0)
    met.bridged.tell(3.0, "is not heard")
    met.bridged.take(Channel.DATA, packet(0), 2.5, is_old=False)
    times = [arrival.at_s for arrival in met.bridged.inbox._waiting]
    assert times == sorted(times)
