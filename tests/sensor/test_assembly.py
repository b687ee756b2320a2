"""Whatever a link does to packets, every sample is given once, in its place, at its time, or named as lost."""

import math

import numpy as np
import pytest
from devices import SENSOR, Device, assert_true_samples, indices, lost, restarts, run, times
from hypothesis import given
from hypothesis import strategies as st

from sensor.assembly import LONG_WAIT_S, SHORT_WAIT_S, WAIT_S, Assembler, Block, Lost
from sensor.calibration import Calibration, Correction
from sensor.protocol import InfoFlags, Layout, Packet, PacketFlags, encode
from sensor.source import Arrival, Channel, LinkState


@pytest.fixture
def device():
    return Device()


@pytest.fixture
def assembler():
    return Assembler(SENSOR)


@pytest.mark.parametrize("axes", [3, 6])
def test_a_lossless_stream_is_given_as_sent(axes):
    device, assembler = Device(axes=axes, start_us=123_456), Assembler(SENSOR)
    items = run(assembler, [device.says(), *(device.sends(k) for k in range(0, 500, 10))])
    assert indices(items) == list(range(500))
    assert lost(items) == []
    assert_true_samples(items, device)
    np.testing.assert_allclose(times(items), 0.123456 + np.arange(500) / 100, rtol=0, atol=1e-12)
    assert items[0].t_s[0] == 0.123456
    assert (assembler.loss, assembler.rejected, assembler.tally.received) == (0.0, 0, 500)


@pytest.mark.parametrize("patient", [False, True])
@pytest.mark.parametrize(
    ("then", "given"),
    [
        ((50, 9000, 9010), range(9000, 9020)),  # one that came before; then hours later, without a wait
        ((95, 105), range(100, 115)),  # half of it came before
        ((9000, 9020), range(9000, 9010)),  # from there on what is missing is missed
    ],
)
def test_what_is_missing_while_the_sensor_is_lent_is_no_loss_and_is_not_waited_for(patient, then, given):
    device = Device(flags=InfoFlags.CAN_RESEND)
    assembler = Assembler(SENSOR, patient=patient)
    lent = Arrival(SENSOR, 1.0, Channel.LINK, LinkState.LENT.value.encode())
    for arrival in [device.says(), *(device.sends(k) for k in range(0, 100, 10)), lent]:
        assembler.push(arrival)
    items = [item for first in then for item in assembler.push(device.sends(first))]
    assert indices(items) == list(given)
    assert_true_samples(items, device)
    assert assembler.loss == 0.0


def test_what_waits_is_given_when_the_sensor_is_lent(device):
    assembler = Assembler(SENSOR, patient=True)
    for arrival in [device.says(), device.sends(0), device.sends(20)]:
        assembler.push(arrival)
    items = assembler.push(Arrival(SENSOR, 1.0, Channel.LINK, LinkState.LENT.value.encode()))
    assert (lost(items), indices(items)) == (list(range(10, 20)), list(range(20, 30)))


def test_units(device, assembler):
    (block,) = run(assembler, [device.says(), device.sends(0, 1)])
    # counts of sample 0 are −30000, −29993, −29986 and −29979, …; g = 9.80665 m/s² (3rd CGPM, 1901), π rad = 180°.
    assert block.force_m_s2[0, 0] == pytest.approx(-30000 / 4096 * 9.80665, rel=1e-15)
    assert block.rate_rad_s[0, 0] == pytest.approx(-29979 * 2000 / 32768 * math.pi / 180, rel=1e-15)


def test_calibration_is_applied(device):
    calibration = Calibration(Correction((1.0, 2.0, 3.0), (1.0, 0.5, 2.0)), Correction((0.1, 0.2, 0.3)))
    arrivals = [device.says(), device.sends(0)]
    (plain,), (true,) = run(Assembler(SENSOR), arrivals), run(Assembler(SENSOR, calibration), arrivals)
    np.testing.assert_array_equal(true.force_m_s2, (plain.force_m_s2 - [1.0, 2.0, 3.0]) * [1.0, 0.5, 2.0])
    np.testing.assert_array_equal(true.rate_rad_s, plain.rate_rad_s - [0.1, 0.2, 0.3])


@st.composite
def journeys(draw, starts=(0, 1000, 2**32 - 60)):
    """Packets of one boot, in order, then lost, doubled, and moved by less than the assembler waits."""
    sizes = draw(st.lists(st.integers(1, 14), min_size=1, max_size=40))
    firsts = np.concatenate(([0], np.cumsum(sizes)[:-1])) + draw(st.sampled_from(starts))
    packets = [(int(first), n) for first, n in zip(firsts, sizes, strict=True)]
    lost_ones = draw(st.sets(st.sampled_from(packets))) - {packets[0]}
    kept = [p for p in packets if p not in lost_ones]
    doubled = [p for p in kept for _ in range(draw(st.integers(1, 2)))]
    delay = [draw(st.integers(0, 13)) for _ in doubled]
    moved = sorted(range(len(doubled)), key=lambda k: doubled[k][0] + delay[k] if doubled[k] != packets[0] else -1)
    return packets, kept, [doubled[k] for k in moved]


@given(journeys(), st.sampled_from(Layout))
def test_any_journey_gives_each_sample_once_in_order_or_names_it_lost(journey, layout):
    packets, kept, arriving = journey
    device, assembler = Device(layout=layout, start_us=2**32 - 200_000), Assembler(SENSOR)
    items = run(assembler, [device.says(), *(device.sends(*p) for p in arriving)])
    sent = [i for first, n in kept for i in range(first, first + n)]
    assert indices(items) == sent
    assert set(lost(items)) | set(sent) == set(range(packets[0][0], sent[-1] + 1))
    assert assembler.tally.duplicate == sum(n for _, n in arriving) - len(sent)
    assert assembler.tally.lost == len(lost(items))
    assert assembler.tally.late == 0
    assert_true_samples(items, device)
    assert np.all(np.diff(times(items)) > 0)


@given(journeys(starts=(0, 1000)), st.randoms(use_true_random=False))
def test_any_order_at_all_keeps_samples_true_and_in_order(journey, random):
    _, _, arriving = journey
    shuffled = random.sample(arriving, len(arriving))
    device, assembler = Device(), Assembler(SENSOR)
    items = run(assembler, [device.says(), *(device.sends(*p) for p in shuffled)])
    given_ = indices(items)
    assert given_ == sorted(set(given_))
    assert not set(given_) & set(lost(items))
    assert_true_samples(items, device)
    tally = assembler.tally
    assert tally.received + tally.late + tally.duplicate == sum(n for _, n in arriving)


@given(st.lists(st.binary(max_size=40) | st.binary(min_size=20, max_size=20), max_size=30), st.booleans())
def test_any_bytes_at_all_never_stop_the_stream(payloads, informed):
    device, assembler = Device(boot_id=0), Assembler(SENSOR)
    bad = [Arrival(SENSOR, float(k), Channel.DATA, payload) for k, payload in enumerate(payloads)]
    infos = [Arrival(SENSOR, 0.0, Channel.INFO, payload) for payload in payloads]
    items = run(assembler, [device.says()] * informed + bad + infos)
    assert np.all(np.diff(times(items)) > 0)


def test_corrupt_payloads_are_counted_and_skipped(device, assembler):
    corrupt = [Arrival(SENSOR, 0.2, channel, b"\xa0" * 30) for channel in (Channel.DATA, Channel.INFO)]
    items = run(assembler, [device.says(), device.sends(0), *corrupt, device.sends(10)])
    assert indices(items) == list(range(20))
    assert assembler.rejected == 2


def test_a_packet_of_other_axes_than_announced_is_rejected(device, assembler):
    items = run(assembler, [device.says(), Device(axes=3).sends(0), device.sends(10)])
    assert indices(items) == list(range(10, 20))
    assert assembler.rejected == 1


def test_packets_before_their_information_wait_for_it(device, assembler):
    before = [item for k in (0, 10, 20) for item in assembler.push(device.sends(k))]
    assert before == []
    assert indices(assembler.push(device.says())) == list(range(30))


def test_packets_never_explained_are_counted_and_do_not_pile_up(device, assembler):
    for k in range(5000):
        assert assembler.push(device.sends(k, 1)) == []
    assert assembler.rejected == 5000 - 4096
    assert assembler.finish() == []
    assert assembler.rejected == 5000


def test_link_and_battery_are_not_motion(device, assembler):
    arrivals = [Arrival(SENSOR, 0.0, Channel.LINK, b"connected"), Arrival(SENSOR, 0.0, Channel.BATTERY, b"\x50")]
    assert run(assembler, arrivals) == []
    assert assembler.rejected == 0


def test_another_sensors_arrival_is_a_mistake(assembler):
    with pytest.raises(ValueError, match="belt"):
        assembler.push(Arrival("belt", 0.0, Channel.LINK, b"lost"))


def test_a_hole_is_given_up_after_a_bounded_wait(device, assembler):
    run(assembler, [device.says(), device.sends(0)])
    assert assembler.push(device.sends(20)) == []
    assert assembler.push(device.sends(30)) == []
    items = assembler.push(device.sends(40))
    assert items[0] == Lost(sensor_id=SENSOR, boot_id=7, first_index=10, end_index=20)
    assert indices(items) == list(range(20, 50))
    assert assembler.loss == pytest.approx(10 / 50)
    assert WAIT_S * 100 == 30


def test_a_swapped_neighbour_is_put_right_even_when_packets_are_long(assembler):
    device = Device(rate_hz=25.0)
    items = run(assembler, [device.says(), device.sends(0, 19), device.sends(38, 19), device.sends(19, 19)])
    assert indices(items) == list(range(57))
    assert lost(items) == []


RESENDING = Device(flags=InfoFlags.CAN_RESEND)


def resent(first, n=10):
    return RESENDING.sends(first, n, at_s=99.0, flags=PacketFlags.RESENT)


def test_a_live_reading_waits_for_a_re_send_as_long_as_the_hole_but_not_for_long():
    assembler = Assembler(SENSOR)
    run_on = [RESENDING.says(), RESENDING.sends(0), *(RESENDING.sends(k) for k in range(110, 200, 10))]
    assert indices(item for arrival in run_on for item in assembler.push(arrival)) == list(range(10))
    assert assembler.missing_s == 1.0
    assert indices(item for k in range(10, 110, 10) for item in assembler.push(resent(k))) == list(range(10, 200))
    far = [RESENDING.sends(k) for k in range(4000, 4000 + 10 * round(10 * SHORT_WAIT_S), 10)]
    items = [item for arrival in far for item in assembler.push(arrival)]
    assert lost(items) == list(range(200, 4000))
    assert indices(items) == list(range(4000, 4000 + round(100 * SHORT_WAIT_S)))


def test_a_patient_one_waits_while_the_hole_is_being_filled_then_gives_all_of_it_once():
    assembler = Assembler(SENSOR, patient=True)
    live = [RESENDING.sends(k) for k in range(3010, 9000, 10)]
    late = [resent(k) for k in range(10, 3010, 10)]
    steadily = [one for pair in zip(late, live, strict=False) for one in pair]
    items = run(assembler, [RESENDING.says(), RESENDING.sends(0), *steadily])
    assert indices(items) == list(range(6010))
    assert lost(items) == []
    assert_true_samples(items, RESENDING)
    assert np.all(np.diff(times(items)) > 0)


def test_a_hole_that_nothing_fills_is_named_by_a_patient_one_too():
    assembler = Assembler(SENSOR, patient=True)
    for k in (0, *range(110, 110 + 10 * round(10 * LONG_WAIT_S) - 10, 10)):
        run_on = [RESENDING.says(), RESENDING.sends(k)]
        assert lost(item for arrival in run_on for item in assembler.push(arrival)) == []
    items = assembler.push(RESENDING.sends(110 + 10 * round(10 * LONG_WAIT_S) - 10))
    assert lost(items) == list(range(10, 110))


def test_a_sensor_that_cannot_re_send_is_not_waited_for(device):
    arrivals = [device.says(), *(device.sends(k) for k in (0, *range(20, 60, 10)))]
    kinds = [
        [type(item) for arrival in arrivals for item in a.push(arrival)]
        for a in (Assembler(SENSOR), Assembler(SENSOR, patient=True))
    ]
    assert kinds[0] == kinds[1] == [Block, Lost, *[Block] * 4]


def test_a_late_packet_is_counted_and_left_out(device, assembler):
    arrivals = [device.says(), device.sends(0), *(device.sends(k) for k in range(20, 70, 10))]
    resent = device.sends(10, at_s=5.0, flags=PacketFlags.RESENT)
    items = run(assembler, [*arrivals, resent, device.sends(20, at_s=5.1)])
    assert indices(items) == [*range(10), *range(20, 70)]
    assert (assembler.tally.late, assembler.tally.duplicate) == (10, 10)


def test_overlapping_packets_are_trimmed(device, assembler):
    items = run(assembler, [device.says(), device.sends(0, 10), device.sends(6, 10), device.sends(2, 3)])
    assert indices(items) == list(range(16))
    assert_true_samples(items, device)
    np.testing.assert_allclose(times(items), np.arange(16) / 100, rtol=0, atol=1e-12)
    assert assembler.tally.duplicate == 7


def test_the_same_information_again_changes_nothing(device, assembler):
    items = run(assembler, [device.says(), device.sends(0), device.says(0.5), device.sends(10)])
    assert indices(items) == list(range(20))
    assert restarts(items) == []


def test_saturation_is_told(device, assembler):
    arrivals = [device.says(), device.sends(0), device.sends(10, flags=PacketFlags.SATURATED)]
    assert [block.saturated for block in run(assembler, arrivals)] == [False, True]


@pytest.mark.parametrize(("count", "saturated"), [(32767, True), (-32768, True), (32766, False)])
def test_saturation_shows_in_the_counts(device, assembler, count, saturated):
    counts = np.array([[0, count, 0, 0, 0, 0]], np.int16)
    packet = Packet(boot_tag=7, first_index=0, device_us=0, counts=counts)
    (block,) = run(assembler, [device.says(), Arrival(SENSOR, 0.0, Channel.DATA, encode(packet, Layout.LARGE))])
    assert block.saturated is saturated


def test_blocks_say_when_they_arrived(device, assembler):
    arrivals = [device.says(), device.sends(0, at_s=0.5), device.sends(20, at_s=0.6), device.sends(10, at_s=0.7)]
    assert [b.arrival_s for b in run(assembler, arrivals) if isinstance(b, Block)] == [0.5, 0.7, 0.6]


def test_an_answer_to_whoever_asked_before_does_not_begin_the_stream():
    """The trainee was switched while samples were sent again: they are the one before's."""
    assembler = Assembler(SENSOR, patient=True)
    items = run(assembler, [RESENDING.says(), resent(1000), RESENDING.sends(3000), resent(1010), RESENDING.sends(3010)])
    assert indices(items) == list(range(3000, 3020))
    assert assembler.tally.late + assembler.tally.duplicate == 20


def test_an_index_far_ahead_stops_nothing_and_piles_nothing_up():
    assembler = Assembler(SENSOR)
    run_on = [
        RESENDING.says(),
        RESENDING.sends(0),
        RESENDING.sends(10**9),
        *(RESENDING.sends(k) for k in range(10, 900, 10)),
    ]
    assert indices(item for arrival in run_on for item in assembler.push(arrival)) == list(range(900))
    after_a_loss = [RESENDING.sends(k) for k in range(910, 2000, 10)]
    assert indices(item for arrival in after_a_loss for item in assembler.push(arrival)) == list(range(910, 2000))
