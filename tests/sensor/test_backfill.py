"""What did not come is asked for, oldest first, until it comes or the sensor no longer has it."""

from devices import Device
from hypothesis import given
from hypothesis import strategies as st

from sensor.backfill import RETRY_S, TRIES, BackFill
from sensor.protocol import InfoFlags, PacketFlags, Resend
from sensor.source import Channel

RING = 6000


class Link:
    """A sensor that re-sends, and a host that notes what came."""

    def __init__(self, **device):
        self.device = Device(flags=InfoFlags.CAN_RESEND, ring_samples=RING, **device)
        self.back_fill = BackFill()
        self.hear(self.device.says())

    def hear(self, arrival, now_s=0.0):
        self.back_fill.heard(arrival.channel, arrival.payload, now_s)

    def send(self, *firsts, n=10, now_s=0.0, flags=PacketFlags.NONE):
        for first in firsts:
            self.hear(self.device.sends(first, n, flags=flags), now_s)

    def answer(self, request, now_s=0.0):
        for first in range(request.first_index, request.first_index + request.count, 10):
            n = min(10, request.first_index + request.count - first)
            self.send(first, n=n, now_s=now_s, flags=PacketFlags.RESENT)


def test_nothing_is_asked_for_while_nothing_is_missing():
    link = Link()
    link.send(*range(500, 1000, 10))  # it was sampling before anyone listened
    assert link.back_fill.ask(0.0) is None
    assert link.back_fill.missing == 0


def test_holes_are_asked_for_one_at_a_time_oldest_first():
    link = Link()
    link.send(0, 50, 100)
    first = link.back_fill.ask(0.0)
    assert first == Resend(10, 40)
    assert link.back_fill.ask(0.5 * RETRY_S) is None
    link.answer(first, now_s=0.5)
    assert link.back_fill.ask(0.5) == Resend(60, 40)


def test_an_answer_under_way_is_waited_for_and_what_it_lacked_is_asked_for():
    link = Link()
    link.send(0, 100)
    assert link.back_fill.ask(0.0) == Resend(10, 90)
    link.send(10, 20, now_s=0.9, flags=PacketFlags.RESENT)
    link.send(40, 50, 60, 70, 80, 90, now_s=0.9, flags=PacketFlags.RESENT)  # 30 was lost once more
    assert link.back_fill.ask(0.9 + 0.9 * RETRY_S) is None or link.back_fill.missing == 10
    assert link.back_fill.ask(0.9 + 2 * RETRY_S) == Resend(30, 10)


def test_a_sensor_that_does_not_answer_is_asked_three_times():
    link = Link()
    link.send(0, 100)
    asked = [link.back_fill.ask(k * RETRY_S) for k in range(TRIES + 2)]
    assert asked == [Resend(10, 90)] * TRIES + [None] * 2
    assert link.back_fill.missing == 0
    link.hear(link.device.says(), 60.0)  # connected anew
    assert link.back_fill.ask(60.0) == Resend(10, 90)


def test_what_the_ring_has_passed_over_is_not_asked_for():
    link = Link()
    link.send(0, RING + 200)
    assert link.back_fill.ask(0.0) == Resend(210, RING - 10)
    link = Link()
    link.send(0, 100, *range(110, RING + 500, 10))
    assert link.back_fill.ask(0.0) is None


def test_a_restart_begins_anew():
    link = Link()
    link.send(0, 100)
    link.device.boot_id = 8
    link.send(0)  # not explained yet
    link.hear(link.device.says())
    link.send(40)
    assert link.back_fill.ask(0.0) is None


def test_a_sensor_without_a_ring_is_not_asked():
    link = Link()
    link.device.flags = InfoFlags.NONE
    link.back_fill = BackFill()
    link.hear(link.device.says())
    link.send(0, 100)
    assert link.back_fill.ask(0.0) is None


@given(st.lists(st.tuples(st.booleans(), st.binary(max_size=30)), max_size=40))
def test_whatever_comes_nothing_breaks_and_memory_stays_bounded(payloads):
    link = Link()
    for is_info, payload in payloads:
        link.back_fill.heard(Channel.INFO if is_info else Channel.DATA, payload, 0.0)
    assert link.back_fill.missing <= 65535


@given(st.data(), st.sampled_from([0, 2**32 - 700]))
def test_whatever_is_lost_comes_in_the_end(data, start):
    """Packets and re-sent packets are lost at random; once they no longer are, every sample has been heard."""
    link, came, now_s = Link(), {start, start + 400}, 0.0

    def answer(request, *, surely):
        asked = start + (request.first_index - start) % 2**32
        for first in range(asked, asked + request.count, 10):
            deliver(first, PacketFlags.RESENT, surely=surely)

    def deliver(first, flags=PacketFlags.NONE, *, surely=False):
        if surely or data.draw(st.booleans()):
            link.send(first, now_s=now_s, flags=flags)
            came.add(first)

    link.send(start)
    for k in range(1, 40):
        now_s += 0.1
        deliver(start + 10 * k)
        if k % 15 == 0 and (request := link.back_fill.ask(now_s)):
            answer(request, surely=False)
    link.send(start + 400, now_s=now_s)
    while link.back_fill.missing:
        now_s += RETRY_S
        if request := link.back_fill.ask(now_s):
            answer(request, surely=True)
    assert came == {start + 10 * k for k in range(41)}
