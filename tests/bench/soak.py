"""A long session over a bad virtual link: `python -m tests.bench.soak [MINUTES] [SPEED] [SEED]` (minutes of real time).

Every few seconds the sensor loses its link, falls silent, or a packet goes missing, at random. Afterwards every sample
that its ring still held must be in the recording, and be given once. Ends with status 1 where one is not.
"""

from __future__ import annotations

import asyncio
import sys
import tempfile
from pathlib import Path
from uuid import UUID

import numpy as np

from sensor.assembly import Assembler, Block, Lost
from sensor.protocol import STANDARD_GRAVITY_M_S2, Start
from sensor.radio import RadioSettings
from sensor.recording import Recording
from sensor.source import Channel, LinkState, SystemClock
from sensor.virtual.core import PACKET_S, RING_S, SensorCore
from sensor.virtual.faults import Faults
from sensor.virtual.link import virtual_link
from sensor.virtual.motion import FileFeed, TraineeFeed, load_motion
from sensor.virtual.process_setup import Setup
from sensor.virtual.script import Beat, regular_script

FAULT_EVERY_S = 5.0


def main(minutes: float = 20.0, speed: float = 8.0, seed: int = 1) -> int:
    """Run it, print what happened, and return 1 where a sample is missing or came twice."""
    device_s = minutes * 60 * speed
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "soak.rungwise"
        feed = _motion(Path(folder) / "motion.csv", device_s, seed)
        asyncio.run(_record(path, feed, _faults(device_s, speed, seed), speed))
        return _told(path, feed)


def _motion(path: Path, device_s: float, seed: int) -> FileFeed:
    """Write a set over and over again until it is as long as wanted."""
    script = regular_script(trainee="T", sets=1, reps=6, beat=Beat(1, 1, 2, 0), rest_s=36)
    one = load_motion(TraineeFeed(script, seed=seed))
    turn = np.zeros_like(one.force_m_s2) if one.rate_rad_s is None else np.degrees(one.rate_rad_s)
    rows = np.hstack([one.force_m_s2 / STANDARD_GRAVITY_M_S2, turn])
    rows = np.tile(rows, (round(device_s * TraineeFeed().rate_hz / len(rows)) + 1, 1))
    t_s = np.arange(len(rows)) / TraineeFeed().rate_hz
    header = "t_s,ax_g,ay_g,az_g,gx_dps,gy_dps,gz_dps"
    np.savetxt(path, np.column_stack([t_s, rows]), fmt="%.5f", delimiter=",", header=header, comments="")
    return FileFeed(path)


def _faults(device_s: float, speed: float, seed: int) -> Faults:
    """Draw what goes wrong: about every `FAULT_EVERY_S` of real time, a third of each kind."""
    rng = np.random.default_rng(seed)
    every = FAULT_EVERY_S * speed / PACKET_S
    at = np.cumsum(rng.exponential(every, int(2 * device_s / PACKET_S / every))).astype(int) + 50
    kind = rng.integers(0, 3, len(at))
    lose, stall, skip = (tuple(at[kind == one].tolist()) for one in range(3))
    return Faults(lose_link_after=lose, stall_after=stall, skip=skip, away_s=speed)


async def _record(path: Path, feed: FileFeed, faults: Faults, speed: float) -> None:
    clock = SystemClock(speed)
    # Reconnecting takes real time in which the ring goes on at `speed`, so a stall must be noticed soon.
    settings = RadioSettings(stall_s=1.5 * speed, gone_after_s=30 * speed, until_gone=True)
    setup = Setup(faults=faults)
    with Recording.create(path, session_id=UUID(int=1), clock=clock, meta={}) as recording:
        async with virtual_link(feed, clock, speed=speed, settings=settings, setup=setup) as source:
            async for arrival in source:
                recording.append(arrival)


def _told(path: Path, feed: FileFeed) -> int:
    core = SensorCore(feed, boot_id=1)
    core.take(Start(), 0.0, 247)
    with Recording.open(path) as recording:
        links = [a.payload.decode() for a in recording.arrivals() if a.channel is Channel.LINK]
        sensor = next(a.sensor_id for a in recording.arrivals() if a.channel is Channel.INFO)
        assembler = Assembler(sensor, patient=True)
        items = [item for arrival in recording.in_order() for item in assembler.push(arrival)] + assembler.finish()
    given = np.concatenate([np.arange(len(b)) + b.first_index for b in items if isinstance(b, Block)])
    holes = [item for item in items if isinstance(item, Lost)]
    lost = sum(item.end_index - item.first_index for item in holes)
    hours = len(given) / core.info.rate_hz / 3600
    print(  # noqa: T201
        f"{hours:.2f} h of the sensor's time, {links.count(LinkState.LOST)} links lost, "
        f"{links.count(LinkState.STALLED)} of them silent; {len(given)} samples given once, "
        f"{len(given) - len(np.unique(given))} twice, {lost} missing; the ring holds {RING_S:g} s"
    )
    for hole in holes:
        print(f"  missing: {hole.first_index} to {hole.end_index}")  # noqa: T201
    return int(lost > 0 or len(np.unique(given)) < len(given))


if __name__ == "__main__":
    arguments = [float(word) for word in sys.argv[1:3]]
    sys.exit(main(*arguments, *map(int, sys.argv[3:4])))
