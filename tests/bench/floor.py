"""Print how a floor does with 24 stations: `python -m tests.bench.floor [--quick] [--hub] [--count 24]`; Linux.

    24 stations (a process), 10 states a second each ─► mosquitto, or the hub ─► `rungwise floor` in a terminal (pty)
    this process: one more station, whose states are looked for in what the screen writes

What is asked of it (issue "Coach and gym at a distance"): 40 % of a core with 24 tiles, and 150 ms from a state's
publication to the screen (99th percentile). Processor time and memory are the screen's own; the clock times hold what
else the machine does.
"""

from __future__ import annotations

import argparse
import asyncio
import os
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np

from sensor.broker import Access, Address, Broker, Letter
from sensor.gateway_topics import up
from sensor.source import Channel, SystemClock
from tests.bench.screen import HEIGHT, WIDTH, Dashboard, compiled, dashboard
from tests.brokers import embedded, mosquitto
from tests.brokers.load import packet
from tests.brokers.process import BrokerProcess
from tests.tui.floor.floor_feed import HILL, here, now

STATIONS = 24
A_SECOND = 10
REPS = 8
REP_S = 4.0


def main() -> None:
    """Measure and print, one line each."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="a few seconds, for a smoke run")
    parser.add_argument("--hub", action="store_true", help="through `rungwise hub` instead of mosquitto")
    parser.add_argument("--count", type=int, default=STATIONS, help="how many stations")
    parser.add_argument("--gateways", type=int, default=0, help="how many gateways pass on packets besides")
    parser.add_argument("--stations", metavar="URL", help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.stations:
        asyncio.run(_stations(given.stations, given.count, given.gateways))
        return
    if not Path("/proc/self/smaps_rollup").exists():
        print("floor figures: skipped, they are read from /proc")  # noqa: T201
        return
    with tempfile.TemporaryDirectory() as folder:
        for line in _lines(Path(folder), given.count, given.gateways, quick=given.quick, hub=given.hub):
            print(line, flush=True)  # noqa: T201


def _lines(folder: Path, count: int, gateways: int, *, quick: bool, hub: bool) -> Iterator[str]:
    compiled(folder, "tui.floor.command, tui.app, tui.screens.floor")
    called = "rungwise hub" if hub else "mosquitto"
    yield f"floor at {WIDTH} × {HEIGHT}, {count} stations × {A_SECOND} a second through {called}"
    with (
        broker_for(folder, hub=hub) as broker,
        dashboard("--home", str(folder / "home"), "floor", broker.url) as screen,
    ):
        screen.until("No station is here yet")
        with crowd(broker.url, count, gateways):
            screen.until(f"of {count} need a look")
            screen.rest(2.0 if quick else 10.0)
            share, writes = screen.load(5.0 if quick else 60.0)
            yield f"load average {os.getloadavg()[0]:.1f}"
            yield f"processor                {100 * share:6.1f} % of a core, {writes:.0f} writes a second"
            yield f"memory                   {screen.memory_mb():6.0f} MB"
            took_s = asyncio.run(_probed(broker.url, screen, 10 if quick else 300))
            p50, p95, p99 = np.percentile(took_s, [50, 95, 99]) * 1e3
            yield f"published to screen      {p50:6.0f} ms at the median, {p95:.0f} ms at 95 %, {p99:.0f} ms at 99 %"
            screen.rest(0.0 if quick else 60.0)
            yield f"memory, a while later    {screen.memory_mb():6.0f} MB"


def broker_for(folder: Path, *, hub: bool) -> BrokerProcess:
    """Return a broker for anybody on this machine, with its files in `folder`; not started yet."""
    room = folder / "broker"
    room.mkdir()
    if hub:
        return embedded.embedded(room)
    assert mosquitto.program() is not None, mosquitto.MISSING
    return mosquitto.plain(room)


@contextmanager
def crowd(url: str, count: int, gateways: int = 0) -> Iterator[None]:
    """Have so many stations, each of which changes ten times a second, and gateways that send as often."""
    numbers = ("--count", str(count), "--gateways", str(gateways))
    running = subprocess.Popen([sys.executable, "-m", "tests.bench.floor", "--stations", url, *numbers])
    try:
        yield
    finally:
        running.send_signal(signal.SIGTERM)
        running.wait(10)


async def _stations(url: str, count: int, gateways: int) -> None:
    """Be the crowd; elsewhere these are other computers, so here all else comes first."""
    os.nice(5)
    clock = SystemClock()
    async with Broker(Address.parse(url), Access(), name="crowd", clock=clock) as broker:
        await broker.link.up()
        names = [f"rack-{number}" for number in range(1, count + 1)]
        for name in names:
            await broker.send(_kept(*here(name)))
        async with asyncio.TaskGroup() as tasks:
            for at, name in enumerate(names):
                tasks.create_task(_station(broker, name, at / count))
            for at in range(gateways):
                tasks.create_task(_gateway(broker, f"board-{at}", at / gateways))


async def _station(broker: Broker, name: str, offset: float) -> None:
    began_s = time.monotonic() - offset * REPS * REP_S
    for tick in range(1_000_000):
        done_s = (time.monotonic() - began_s) % (REPS * REP_S)
        count = int(done_s / REP_S)
        state = now(name, count=count, hills=[HILL] * count, phase_s=round(done_s % REP_S, 2))
        await broker.send(_kept(*state))
        await _until(began_s + offset * REPS * REP_S + (tick + 1 + offset) / A_SECOND)


async def _gateway(broker: Broker, name: str, offset: float) -> None:
    began_s = time.monotonic()
    for tick in range(1_000_000):
        await _until(began_s + (tick + offset) / A_SECOND)
        await broker.send(Letter(up(name, "belt", Channel.DATA), packet(tick)))


async def _until(at_s: float) -> None:
    await asyncio.sleep(max(0.0, at_s - time.monotonic()))


def _kept(topic: str, payload: bytes) -> Letter:
    return Letter(topic, payload, retain=True)


async def _probed(url: str, screen: Dashboard, times: int) -> list[float]:
    """Return how long states took from being given to the broker to being written on the screen, seconds."""
    took_s: list[float] = []
    random = np.random.default_rng(7)
    async with Broker(Address.parse(url), Access(), name="probe", clock=SystemClock()) as broker:
        await broker.link.up()
        await broker.send(_kept(*here("a-probe")))
        for number in range(times + 1):
            name = f"P{number:04d}"
            began_s = time.monotonic()
            sent = asyncio.create_task(broker.send(_kept(*now("a-probe", trainee=name, pain=9))))
            await asyncio.to_thread(screen.until, name)
            took_s.append(time.monotonic() - began_s)
            await sent
            await asyncio.to_thread(screen.rest, float(random.uniform(0.1, 0.3)))
    return took_s[1:]  # the first brings a tile


if __name__ == "__main__":
    main()
