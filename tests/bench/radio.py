"""Print how the radio does through bleak as it is: `python -m tests.bench.radio [--quick]`; Linux, with dbus-daemon.

    this process: RadioSource ─ bleak ─ D-Bus ─ stand-in for the daemon (a process) ═ virtual sensor (a process)

Latency is from the moment in which a packet's last sample was taken until its arrival. The sensor's clock is put
against this one by the fastest of some marks (half of its way there and back is the error), and both run at the same
rate. What other programs do to the machine meanwhile is in it; the load is printed beside it. No radio: nothing here
says how a real one does.
"""

from __future__ import annotations

import argparse
import asyncio
import os
import tempfile
import time
from collections.abc import AsyncIterator
from contextlib import AsyncExitStack, asynccontextmanager
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from sensor.protocol import CONTROL_UUID, Mark, Marked, Packet, decode
from sensor.radio import RadioSettings
from sensor.source import Channel, SystemClock
from sensor.virtual.motion import FileFeed
from sensor.virtual.process_setup import Setup
from sensor.virtual.spawn import virtual_sensor
from tests.air.bus import ADDRESS_VARIABLE, MISSING, has_daemon, private_bus
from tests.air.listener import Listener, listening
from tests.air.routes import bus_of_this_loop
from tests.air.stand_in import StandIn, stand_in
from tests.air.streaming import write_turning

RATES_HZ = (100, 200, 400)
MARKS = 20
_SETTINGS = RadioSettings(gather_s=0)


@dataclass(frozen=True)
class Figures:
    """What was measured at one rate: samples missing, latencies, share of a core of this process."""

    samples: int
    missing: int
    latency_s: np.ndarray
    clock_error_s: float
    core: float


def main() -> None:
    """Measure and print, one line each."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="a few seconds each, for a smoke run")
    quick = parser.parse_args().quick
    if not has_daemon():
        print(f"radio figures: skipped, {MISSING}")  # noqa: T201
        return
    with private_bus() as address, stand_in(address) as daemon, tempfile.TemporaryDirectory() as folder:
        os.environ[ADDRESS_VARIABLE] = address
        asyncio.run(_measure(daemon, Path(folder), 3.0 if quick else 30.0, 3 if quick else 20))


async def _measure(daemon: StandIn, folder: Path, duration_s: float, losses: int) -> None:
    _tell(f"stock bleak on the virtual link, 6 axes, {duration_s:g} s each; load average {os.getloadavg()[0]:.1f}")
    for rate_hz in RATES_HZ:
        async with _listened(daemon, _table(folder, rate_hz, duration_s + 60)) as heard:
            found = await _stream(heard, duration_s)
        p50, p99 = np.percentile(found.latency_s, [50, 99]) * 1e3
        _tell(
            f"{rate_hz} Hz: {found.samples} samples, {found.missing} missing; latency p50 {p50:.1f} ms, "
            f"p99 {p99:.1f} ms (clocks ± {found.clock_error_s * 1e3:.1f} ms); {100 * found.core:.1f} % of a core"
        )
    async with _listened(daemon, _table(folder, 100, 20.0 * losses + 60)) as heard:
        back_s = [await _come_back(daemon, heard, time_away + 1) for time_away in range(losses)]
    _tell(
        f"from the sensor's return to its first live packet, {losses} losses: "
        f"median {np.median(back_s):.2f} s, longest {max(back_s):.2f} s; {heard.missing} samples missing"
    )


@asynccontextmanager
async def _listened(daemon: StandIn, table: Path) -> AsyncIterator[Listener]:
    """Have a sensor that plays a table, through the stand-in."""
    async with AsyncExitStack() as stack:
        port = await stack.enter_async_context(virtual_sensor(Setup(feed=FileFeed(table))))
        await daemon.tell("take", port=port)
        stack.push_async_callback(daemon.tell, "clear")
        await stack.enter_async_context(bus_of_this_loop())
        heard = await stack.enter_async_context(listening(SystemClock(), _SETTINGS))
        await heard.until_packets()
        yield heard


async def _stream(heard: Listener, duration_s: float) -> Figures:
    offset_s, error_s = await _offset(heard)
    first, before_s, began_s = len(heard.arrivals), time.process_time(), time.monotonic()
    await asyncio.sleep(duration_s)
    core = (time.process_time() - before_s) / (time.monotonic() - began_s)
    came = [(a.at_s, decode(a.payload)) for a in heard.arrivals[first:] if a.channel is Channel.DATA]
    rate_hz = heard.infos[-1].rate_hz
    latency_s = np.array([at_s - offset_s - _taken_s(packet, rate_hz) for at_s, packet in came])
    return Figures(sum(len(packet) for _, packet in came), heard.missing, latency_s, error_s, core)


def _taken_s(packet: Packet, rate_hz: float) -> float:
    """Return when a packet's last sample was taken, device seconds."""
    return packet.device_us / 1e6 + (len(packet) - 1) / rate_hz


async def _offset(heard: Listener) -> tuple[float, float]:
    """Return host time minus device time, and by how much that may be off."""
    best = (0.0, np.inf)
    for token in range(MARKS):
        sent_s = heard.now_s()
        await heard.source.send(Mark(token))
        half_s = (heard.now_s() - sent_s) / 2
        client = heard.source._client
        assert client is not None
        marked = Marked.from_bytes(bytes(await client.read_gatt_char(CONTROL_UUID)))
        if half_s < best[1]:
            best = (sent_s + half_s - marked.device_us / 1e6, half_s)
    return best


async def _come_back(daemon: StandIn, heard: Listener, losses: int) -> float:
    await daemon.tell("disturb", fault="leave")
    await heard.until_link("lost", losses)
    await asyncio.sleep(1.0)
    began_s = time.monotonic()
    await daemon.tell("disturb", fault="come_back")
    await heard.until_packets(1)
    took_s = time.monotonic() - began_s
    await heard.until_whole()
    return took_s


def _table(folder: Path, rate_hz: int, duration_s: float) -> Path:
    path = folder / f"{rate_hz}-{duration_s:.0f}.csv"
    write_turning(path, rate_hz, duration_s)
    return path


def _tell(line: str) -> None:
    print(line, flush=True)  # noqa: T201


if __name__ == "__main__":
    main()
