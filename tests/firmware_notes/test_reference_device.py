"""What the reference firmware's device does with commands, a slow link and an old request; sans-I/O."""

import struct

import numpy as np
import pytest

from firmware_notes.reference import packet
from firmware_notes.reference.device import LAG_MS, REQUESTS_KEPT, Device, Setting
from firmware_notes.reference.imu import Bmi160, I2cBus, ImuError, SpiBus
from firmware_notes.reference.ring import Ring
from sensor.protocol import Info, Mark, PacketFlags, Resend, SetRange, SetRate, Start, Stop, decode, encode_command

RATE_HZ, BOOT_ID = 100, 0x010203FF


class Bench:
    """A device that is fed a sample's number in each of its counts."""

    def __init__(self, ring=1600, mtu=247):
        self.device = Device(Ring(ring, 12), Setting(BOOT_ID, RATE_HZ, 16, 2000), RATE_HZ * 1000)
        self.device.connected()
        self.device.agreed(mtu)

    def feed(self, count):
        first = self.device.ring.next
        values = np.repeat((np.arange(first, first + count) % 30000).astype("<i2"), 6)
        self.device.sampled(values.tobytes(), count, (first + count) * 10_000)

    def write(self, command):
        return self.device.take(encode_command(command))

    def drain(self, most=1000):
        packets = []
        while len(packets) < most and (due := self.device.due()) is not None:
            packets.append(decode(bytes(due)))
            self.device.sent()
        return packets


@pytest.fixture
def bench():
    return Bench()


def spans(packets):
    return [(p.first_index, p.first_index + len(p), int(p.flags)) for p in packets]


def test_nothing_is_sent_before_start_nor_after_stop(bench):
    bench.feed(50)
    assert bench.drain() == []
    bench.write(Start())
    bench.feed(20)
    assert spans(bench.drain()) == [(50, 60, PacketFlags.RESTARTED), (60, 70, 0)]
    bench.write(Stop())
    bench.feed(20)
    assert bench.drain() == []
    bench.write(Start())
    bench.feed(10)
    assert spans(bench.drain()) == [(90, 100, 0)]


def test_what_was_not_taken_is_due_again(bench):
    bench.write(Start())
    bench.feed(10)
    first = bytes(bench.device.due())
    assert bytes(bench.device.due()) == first
    bench.device.sent()
    assert bench.device.due() is None


def test_a_link_that_stands_still_drops_the_oldest_and_says_so(bench):
    bench.write(Start())
    bench.feed(10)
    bench.drain()
    bench.feed(10 + RATE_HZ * LAG_MS // 1000)
    assert bench.drain(1)[0].flags == PacketFlags.NONE
    bench.feed(RATE_HZ * LAG_MS // 1000)
    assert spans(bench.drain()) == [(210, 220, PacketFlags.DROPPED)]
    bench.write(Resend(20, 190))
    again = bench.drain()
    assert spans(again)[0] == (20, 39, PacketFlags.RESENT)
    assert (again[-1].first_index + len(again[-1]), sum(len(p) for p in again)) == (210, 190)


def test_live_comes_before_resent(bench):
    bench.feed(200)
    bench.write(Start())
    bench.write(Resend(0, 57))
    bench.feed(10)
    assert spans(bench.drain(2)) == [(200, 210, PacketFlags.RESTARTED), (0, 19, PacketFlags.RESENT)]
    bench.feed(10)
    assert spans(bench.drain()) == [
        (210, 220, 0),
        (19, 38, PacketFlags.RESENT),
        (38, 57, PacketFlags.RESENT),
    ]


def test_resent_samples_have_the_times_they_had(bench):
    bench.write(Start())
    live = {}
    for _ in range(30):
        bench.feed(10)
        live.update({p.first_index: p.device_us for p in bench.drain()})
    bench.write(Resend(0, 300))
    again = bench.drain()
    assert len(again) == 16
    for p in again:
        nearest = p.first_index // 10 * 10
        # Within a block of 16 by the rate; µs are rounded down.
        assert abs(p.device_us - live[nearest] - (p.first_index - nearest) * 10_000) <= 2


def test_what_the_ring_passed_over_is_left_out(bench):
    bench.write(Start())
    bench.feed(1600)
    bench.feed(1000)
    bench.drain()
    bench.write(Resend(0, 65535))
    again = bench.drain()
    assert again[0].first_index == 1000
    assert sum(len(p) for p in again) == 2600 - 1000
    bench.write(Resend(10, 20))
    assert bench.drain() == []


def test_requests_reach_back_over_the_index_wrap():
    bench = Bench()
    bench.write(Start())
    bench.device.ring.next = bench.device.ring.oldest = bench.device._cursor = (1 << 32) - 40
    bench.device._timeline.note((1 << 32) - 40, 0)
    bench.feed(100)
    bench.drain()
    bench.write(Resend((1 << 32) - 20, 40))
    assert [p.first_index for p in bench.drain()] == [(1 << 32) - 20, (1 << 32) - 1, 18]


def test_requests_are_bounded(bench):
    bench.write(Start())
    bench.feed(1000)
    for k in range(3 * REQUESTS_KEPT):
        bench.write(Resend(10 * k, 1))
    bench.drain(1)
    assert len(bench.device._requests) == REQUESTS_KEPT


def test_a_host_that_goes_takes_its_requests_along(bench):
    bench.feed(500)
    bench.write(Start())
    bench.write(Resend(0, 400))
    bench.device.connected()
    bench.write(Start())
    assert bench.drain() == []


def test_what_a_host_may_read_at_once(bench):
    bench.feed(10)  # the last of them at 0.1 s
    kind, mark = bench.device.answer(encode_command(Mark(7)), 124_000)
    assert (kind, struct.unpack("<HII", mark)) == (packet.MARK, (7, 12, 124_000))
    kind, told = bench.device.answer(encode_command(SetRate(200)), 0)
    assert kind == packet.SET_RATE
    assert (Info.from_bytes(told).boot_id, Info.from_bytes(told).rate_hz) == (BOOT_ID + 1, 200)
    # A second command before the loop has come to the first.
    _, told = bench.device.answer(encode_command(SetRange(4, 500)), 0)
    assert (Info.from_bytes(told).boot_id, Info.from_bytes(told).rate_hz) == (BOOT_ID + 2, 200)
    for command in (SetRate(200), SetRange(4, 500)):
        bench.device.begin(bench.write(command))
    assert bench.device.information(bench.device.setting) == told
    assert bench.device.answer(encode_command(Start()), 0) is None


@pytest.mark.parametrize(
    "payload",
    [b"", b"\x07", b"\x03\x00", *map(encode_command, (SetRate(300), SetRate(100.5), SetRange(3), SetRange(8, 77)))],
)
def test_what_it_cannot_do_changes_nothing(bench, payload):
    before = bench.device.setting
    assert bench.device.answer(payload, 0) is None
    assert bench.device.take(payload) is None
    assert bench.device.setting is before


def test_saturation_is_told_of_the_packet_that_holds_it(bench):
    bench.write(Start())
    bench.device.sampled(struct.pack("<6h", 1, 2, 3, 4, 5, -32768) * 10, 10, 100_000)
    bench.feed(10)
    assert [PacketFlags.SATURATED in p.flags for p in bench.drain()] == [True, False]


class Registers:
    """A bus that keeps what was written, for what a whole chip is not needed."""

    def __init__(self, **read):
        self.read, self.written = read, []

    def writeto_mem(self, address, register, data):
        self.written.append((address, register, data[0]))

    def readfrom_mem_into(self, address, register, out):
        out[0] = self.read.get(f"r{register:02x}", 0)


@pytest.mark.parametrize(("found", "words"), [({"r00": 0x68}, "wiring"), ({"r00": 0xD1}, "supply")])
def test_a_chip_that_does_not_answer_is_told(found, words):
    with pytest.raises(ImuError, match=words):
        Bmi160(I2cBus(Registers(**found)), lambda ms: None).start(100, 16, 2000, 10)


def test_suspend_stops_both_parts():
    bus = Registers()
    Bmi160(I2cBus(bus, 0x68), lambda ms: None).suspend()
    assert bus.written == [(0x68, 0x7E, 0x14), (0x68, 0x7E, 0x10)]


def test_spi_frames():
    log = []

    class Spi:
        def write(self, data):
            log.append(bytes(data))

        def readinto(self, out):
            log.append(len(out))

    bus = SpiBus(Spi(), lambda level: log.append("high" if level else "low"))
    assert log == ["high", "low", b"\xff", 1, "high"]
    del log[:]
    bus.write(0x7E, 0xB6)
    bus.read_into(0x24, bytearray(24))
    # Bit 7 of the first byte: 1 to read, 0 to write (BMI160 data sheet, 3.2.4, from memory).
    assert log == ["low", b"\x7e\xb6", "high", "low", b"\xa4", 24, "high"]
