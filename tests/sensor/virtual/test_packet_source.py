"""The same packets without any radio."""

from __future__ import annotations

import numpy as np
import pytest
from stepclock import StepClock

from sensor.protocol import Info, PacketFlags, Resend, SetRate, decode
from sensor.source import Arrival, Channel, LinkState
from sensor.virtual.core import RefusedError
from sensor.virtual.link import packet_source
from sensor.virtual.motion import TraineeFeed, load_motion
from sensor.virtual.script import Beat, regular_script
from sensor.virtual.trainee import STANDARD_GRAVITY_M_S2

FEED = TraineeFeed(regular_script(trainee="T", sets=1, reps=1, beat=Beat(1, 1, 1, 0), rest_s=10), seed=5)


async def all_arrivals() -> list[Arrival]:
    return [arrival async for arrival in packet_source(FEED, StepClock(auto=True))]


async def test_arrivals_come_in_the_order_of_a_radio_session() -> None:
    arrivals = await all_arrivals()
    channels = [arrival.channel for arrival in arrivals]
    assert channels[:4] == [Channel.LINK, Channel.LINK, Channel.INFO, Channel.BATTERY]
    assert set(channels[4:-1]) == {Channel.DATA}
    links = [arrival.payload.decode() for arrival in arrivals if arrival.channel is Channel.LINK]
    assert links == [LinkState.SEARCHING, LinkState.CONNECTED, LinkState.ENDED]


async def test_the_information_turns_the_counts_back_into_the_motion() -> None:
    """Half a count is the most that quantising may cost."""
    arrivals = await all_arrivals()
    info = Info.from_bytes(next(a.payload for a in arrivals if a.channel is Channel.INFO))
    counts = np.vstack([decode(a.payload).counts for a in arrivals if a.channel is Channel.DATA])
    motion = load_motion(FEED)
    assert motion.rate_rad_s is not None
    force = counts[:, :3] * info.force_g_per_count * STANDARD_GRAVITY_M_S2
    turn = np.radians(counts[:, 3:] * info.turn_deg_s_per_count)
    assert np.abs(force - motion.force_m_s2).max() <= info.force_m_s2_per_count * 0.51
    assert np.abs(turn - motion.rate_rad_s).max() <= info.turn_rad_s_per_count * 0.51


async def test_packets_arrive_when_the_session_clock_says_so() -> None:
    clock, arrivals = StepClock(auto=True), []
    async for arrival in packet_source(FEED, clock):
        if arrival.channel is Channel.DATA:
            arrivals.append(arrival)
    late_s = [a.at_s - decode(a.payload).device_us / 1e6 for a in arrivals]
    assert late_s[:-1] == pytest.approx([0.09] * (len(arrivals) - 1), abs=1e-6)  # ten samples, the last 0.09 s later


async def test_a_reader_that_falls_behind_loses_nothing() -> None:
    clock = StepClock(auto=True)
    stream = aiter(packet_source(FEED, clock))
    for _ in range(5):
        await anext(stream)
    clock.now += 12.0
    got = [decode((await anext(stream)).payload).first_index for _ in range(100)]
    assert got == list(range(10, 1010, 10))
    await stream.aclose()  # type: ignore[attr-defined]


async def test_resend_is_answered_also_after_the_last_packet() -> None:
    source, seen = packet_source(FEED, StepClock(auto=True)), []
    async for arrival in source:
        if arrival.channel is Channel.DATA:
            seen.append(decode(arrival.payload))
            if not seen[-1].flags & PacketFlags.RESENT and seen[-1].first_index + len(seen[-1]) == 1500:
                await source.send(Resend(1410, 90))
    # Live packets hold 0.1 s; those sent again are as full as the ATT MTU allows, 41 samples at 517 (packet.md).
    assert max(len(p) for p in seen if not p.flags & PacketFlags.RESENT) == 10
    resent = [(p.first_index, len(p)) for p in seen if p.flags & PacketFlags.RESENT]
    assert resent == [(1410, 41), (1451, 41), (1492, 8)]


async def test_what_cannot_be_done_is_refused() -> None:
    with pytest.raises(RefusedError, match="10 to 1000"):
        await packet_source(FEED, StepClock()).send(SetRate(5000.0))
