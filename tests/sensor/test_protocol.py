"""The codec on any bytes and any values: a round trip, or one named error."""

import math
from contextlib import suppress

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from sensor.protocol import (
    Extent,
    Info,
    InfoFlags,
    Layout,
    Mark,
    Marked,
    Packet,
    PacketFlags,
    ProtocolError,
    Resend,
    SetRange,
    SetRate,
    Start,
    Stop,
    decode,
    decode_command,
    encode,
    encode_command,
    extent,
    layout_for,
    max_samples,
    unwrap,
)

U8, U16, U32 = (st.integers(0, 2**bits - 1) for bits in (8, 16, 32))
SCALE = st.floats(1e-6, 1.0)


@st.composite
def packets(draw):
    counts = draw(arrays(np.int16, st.tuples(st.integers(1, 41), st.sampled_from((3, 6)))))
    flags = st.integers(0, 15).map(PacketFlags)
    time_us = st.integers(0, 2**40)
    return Packet(boot_tag=draw(U8), first_index=draw(U32), device_us=draw(time_us), counts=counts, flags=draw(flags))


@st.composite
def infos(draw):
    axes = draw(st.sampled_from((3, 6)))
    return Info(
        boot_id=draw(U32),
        rate_hz=draw(st.floats(1.0, 8000.0)),
        force_g_per_count=draw(SCALE),
        turn_deg_s_per_count=draw(SCALE) if axes == 6 else 0.0,
        axes=axes,
        ring_samples=draw(U16),
        firmware=(draw(U8), draw(U8)),
        flags=draw(st.integers(0, 3).map(InfoFlags)),
    )


COMMANDS = st.one_of(
    st.just(Start()),
    st.just(Stop()),
    U32.map(lambda millihz: SetRate(millihz / 1000)),
    st.builds(SetRange, U16, U16),
    st.builds(Resend, U32, U16),
    st.builds(Mark, U16),
)


@given(packets(), st.sampled_from(Layout))
def test_packet_round_trip(packet, layout):
    assert decode(encode(packet, layout)) == packet.reduced(layout)
    assert encode(decode(encode(packet, layout)), layout) == encode(packet, layout)


@given(packets(), st.sampled_from(Layout))
def test_reducing_keeps_the_time_to_one_step_of_the_layout(packet, layout):
    near = unwrap(packet.reduced(layout).device_us, layout.wrap_us, packet.device_us)
    assert 0 <= packet.device_us - near < layout.tick_us


@given(infos())
def test_information_round_trip(info):
    assert Info.from_bytes(bytes(info)) == info


@given(COMMANDS)
def test_command_round_trip(command):
    assert decode_command(encode_command(command)) == command


@given(st.builds(Marked, U16, U32, U32))
def test_mark_round_trip(marked):
    assert Marked.from_bytes(bytes(marked)) == marked


@given(st.binary(max_size=80) | st.binary(min_size=500, max_size=530))
@example(b"")
@example(b"\x20")
@example(b"\x60" + bytes(9))
@example(b"\x21" + bytes(19))
@pytest.mark.parametrize("read", [decode, Info.from_bytes, decode_command, Marked.from_bytes])
def test_any_bytes_are_read_or_refused(read, payload):
    with suppress(ProtocolError):
        read(payload)


@given(st.binary(max_size=80) | st.binary(min_size=500, max_size=530))
@example(b"\x20" + bytes(19))
def test_an_extent_is_that_of_the_whole_packet_and_refused_with_it(payload):
    try:
        packet = decode(payload)
    except ProtocolError:
        with pytest.raises(ProtocolError):
            extent(payload)
    else:
        assert extent(payload) == Extent(packet.boot_tag, packet.first_index, len(packet))


@given(st.binary(min_size=12, max_size=60))
def test_what_decodes_encodes_to_the_same_bytes(payload):
    try:
        packet = decode(payload)
    except ProtocolError:
        return
    layout = Layout.SMALL if packet.wrap_us == Layout.SMALL.wrap_us else Layout.LARGE
    assert encode(packet, layout) == payload


@given(st.integers(-(2**40), 2**40), st.sampled_from((2**16, 2**22, 2**32)))
def test_unwrapping_finds_the_nearest_of_its_class(near, modulus):
    for value in (0, 1, modulus // 2, modulus - 1):
        found = unwrap(value, modulus, near)
        assert (found - value) % modulus == 0
        assert abs(found - near) <= modulus // 2


@pytest.mark.parametrize("axes", [3, 6])
def test_the_fullest_packet_fits_the_mtu_and_one_more_sample_does_not(axes):
    for mtu in [*range(23, 260), 517]:
        room = min(mtu - 3, 512)  # ATT_MTU − 3: Bluetooth Core Specification, Vol 3, Part F, 3.4.7.1
        counts = np.zeros((max_samples(mtu, axes), axes), np.int16)
        packet = Packet(boot_tag=1, first_index=0, device_us=0, counts=counts)
        size = len(encode(packet, layout_for(mtu)))
        assert size <= room < size + 2 * axes


@pytest.mark.parametrize("range_g", [2, 4, 8, 16])
def test_common_ranges_are_exact(range_g):
    # Standard gravity, 9.80665 m/s²: 3rd CGPM (1901), Resolution 2.
    info = Info(boot_id=1, rate_hz=100, force_g_per_count=range_g / 32768, axes=3)
    assert info.force_m_s2_per_count * 32768 == pytest.approx(range_g * 9.80665, rel=1e-15)


@pytest.mark.parametrize("range_deg_s", [125, 250, 500, 1000, 2000])
def test_common_turn_ranges_are_exact(range_deg_s):
    info = Info(boot_id=1, rate_hz=100, force_g_per_count=2**-14, turn_deg_s_per_count=range_deg_s / 32768)
    assert info.turn_rad_s_per_count * 32768 == pytest.approx(range_deg_s * math.pi / 180, rel=1e-15)


GOOD = {"boot_id": 1, "rate_hz": 100.0, "force_g_per_count": 2**-14, "turn_deg_s_per_count": 0.06}


@pytest.mark.parametrize(
    "wrong",
    [
        {"rate_hz": 0.5},
        {"rate_hz": 1e5},
        {"rate_hz": math.nan},
        {"force_g_per_count": 0.0},
        {"force_g_per_count": 1e-60},
        {"force_g_per_count": math.inf},
        {"turn_deg_s_per_count": 0.0},
        {"axes": 3},
        {"axes": 4},
        {"boot_id": 2**32},
        {"boot_id": -1},
        {"ring_samples": 65536},
        {"firmware": (256, 0)},
        {"version": 2},
    ],
    ids=str,
)
def test_information_that_cannot_be_is_refused(wrong):
    with pytest.raises(ProtocolError):
        bytes(Info(**GOOD | wrong))


@pytest.mark.parametrize(
    "wrong",
    [
        {"boot_tag": 256},
        {"first_index": 2**32},
        {"device_us": -1},
        {"counts": np.zeros((1, 6), np.int32)},
        {"counts": np.zeros((0, 6), np.int16)},
        {"counts": np.zeros((1, 4), np.int16)},
        {"counts": np.zeros(6, np.int16)},
        {"counts": np.zeros((42, 6), np.int16)},
    ],
    ids=str,
)
def test_packets_that_cannot_be_are_refused(wrong):
    good = {"boot_tag": 1, "first_index": 0, "device_us": 0, "counts": np.zeros((1, 6), np.int16)}
    with pytest.raises(ProtocolError):
        encode(Packet(**good | wrong), Layout.LARGE)


@pytest.mark.parametrize(
    "command", [SetRate(-1.0), SetRange(70000), Resend(0, 70000), Resend(-1, 1), Mark(2**16)], ids=str
)
def test_commands_out_of_range_are_refused(command):
    with pytest.raises(ProtocolError):
        encode_command(command)


def test_an_mtu_below_the_smallest_is_refused():
    with pytest.raises(ProtocolError, match="23"):
        max_samples(22, 6)


def test_packets_are_equal_by_value():
    packet = Packet(boot_tag=1, first_index=2, device_us=3, counts=np.ones((1, 3), np.int16))
    same = Packet(boot_tag=1, first_index=2, device_us=3, counts=np.ones((1, 3), np.int16))
    other = Packet(boot_tag=1, first_index=2, device_us=3, counts=np.zeros((1, 3), np.int16))
    assert packet == same
    assert hash(packet) == hash(same)
    assert packet != other
    assert packet != "packet"
