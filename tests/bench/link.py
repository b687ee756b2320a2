"""How long the virtual link takes to send again what was lost: `python -m tests.bench.link [SECONDS]`.

A virtual sensor goes away for so long in the middle of its motion; once it is back, the time is taken from the first
packet after the hole to the last sample within it. No radio: real ones take what `firmware_notes/timing.md` computes.
"""

from __future__ import annotations

import asyncio
import sys
import time

from sensor.protocol import decode
from sensor.radio import RadioSettings
from sensor.source import Channel, SystemClock
from sensor.virtual.faults import Faults
from sensor.virtual.link import virtual_link
from sensor.virtual.motion import TraineeFeed
from sensor.virtual.process_setup import Setup
from sensor.virtual.script import Beat, regular_script

SPEED = 8.0
FEED = TraineeFeed(regular_script(trainee="T", sets=2, reps=6, beat=Beat(1, 1, 2, 0), rest_s=30), seed=5)
MTUS = (23, 185, 247, 517)


async def back_fill(away_s: float, att_mtu: int) -> tuple[int, float]:
    """Lose the link for `away_s`; return the samples that came again, and the real seconds until all had come."""
    setup = Setup(faults=Faults(lose_link_after=(100,), away_s=away_s), max_att_mtu=att_mtu)
    settings = RadioSettings(stall_s=20 * SPEED, gone_after_s=60 * SPEED, until_gone=True)
    expected, missing, began_s = None, set[int](), 0.0
    lost = 0
    async with virtual_link(FEED, SystemClock(SPEED), speed=SPEED, settings=settings, setup=setup) as source:
        async for arrival in source:
            if arrival.channel is not Channel.DATA:
                continue
            packet = decode(arrival.payload)
            indices = range(packet.first_index, packet.first_index + len(packet))
            if expected is not None and packet.first_index > expected:
                missing, began_s = set(range(expected, packet.first_index)), time.perf_counter()
                lost = len(missing)
            expected = max(expected or 0, indices.stop)
            if missing:
                missing -= set(indices)
                if not missing:
                    return lost, time.perf_counter() - began_s
    return lost, float("inf")


def main(away_s: float = 30.0) -> None:
    """Print a line for each ATT MTU."""
    for att_mtu in MTUS:
        samples, took_s = asyncio.run(back_fill(away_s, att_mtu))
        print(f"ATT MTU {att_mtu:3d}: {samples} samples of six axes sent again in {took_s:.2f} s")  # noqa: T201


if __name__ == "__main__":
    main(*map(float, sys.argv[1:2]))
