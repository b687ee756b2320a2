"""Print what the hub and mosquitto carry: `python -m tests.bench.brokers [--quick]`.

64 stations tell events of 1.5 kB (QoS 1, retained where they are what is now), 16 gateways pass on packets of ten
samples of six axes ten times a second, a coach hears the events and another process the packets: with accounts and TLS,
through loopback. Senders, readers and broker are three processes; latency is from sending to reading, with the two
Pythons in it. The load average beside it says what else the machine did.
"""

from __future__ import annotations

import argparse
import asyncio
import os
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import Future, ProcessPoolExecutor
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path

import numpy as np

from tests.brokers import embedded, mosquitto
from tests.brokers.certificates import Certificates
from tests.brokers.load import Bare, Heard, Where, event, packet
from tests.brokers.process import BrokerProcess

STATIONS, GATEWAYS = 64, 16
PACKETS_PER_S = 10.0
EVENTS_PER_S = (4.0, 10.0)
"""As a station tells in a set, and the most that it ever tells."""
PASSWORD = "blue-kettle"
_SETTLES_S = 5.0
_BEGINS_WITHIN_S = 120.0
_AT_ONCE = 8
_ROOT = "rungwise/1"


@dataclass(frozen=True)
class Sent:
    """What was sent: how many messages by topic, how many were never answered, how late the latest was, s.

    `share` is what the broker took of a core meanwhile.
    """

    numbers: dict[str, int]
    unanswered: int
    late_s: float
    share: float


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="a few seconds each, for a smoke run")
    lasts_s = 3.0 if parser.parse_args().quick else 60.0
    print(f"{STATIONS} stations, {GATEWAYS} gateways, {lasts_s:g} s each, TLS and accounts")  # noqa: T201
    with tempfile.TemporaryDirectory() as folder:
        certificates = Certificates(Path(folder))
        brokers: dict[str, Callable[[Path], BrokerProcess]] = {
            "hub": lambda room: embedded.guarded(room, certificates.right, accounts()),
            "mosquitto": lambda room: mosquitto.guarded(room, certificates.right, accounts=accounts()),
        }
        for name, make in brokers.items():
            if name == "mosquitto" and mosquitto.program() is None:
                print(f"{name}: skipped, {mosquitto.MISSING}")  # noqa: T201
                continue
            for events_per_s in EVENTS_PER_S:
                room = Path(folder) / f"{name}-{events_per_s:g}"
                room.mkdir()
                with make(room) as broker:
                    _measure(name, broker, certificates.ca, events_per_s, lasts_s)


def accounts() -> dict[str, str]:
    """Return all who take part, with their passwords."""
    names = [f"rack-{at}" for at in range(STATIONS)] + [f"board-{at}" for at in range(GATEWAYS)]
    return dict.fromkeys(["coach", *names], PASSWORD)


def _measure(name: str, broker: BrokerProcess, ca: Path, events_per_s: float, lasts_s: float) -> None:
    with ProcessPoolExecutor(2, mp_context=get_context("spawn")) as pool:
        reading: Future[Heard] = pool.submit(_read, broker.port, ca)
        sent = pool.submit(_send, (broker.port, broker.pid), ca, events_per_s, lasts_s).result()
        heard = reading.result()
    came = sum(len(heard.numbers.get(topic, ())) for topic in sent.numbers)
    total = sum(sent.numbers.values())
    p50, p99 = np.percentile(heard.latency_s, [50, 99]) * 1e3
    print(  # noqa: T201
        f"{name}, {events_per_s:g} events/s a station: {total} messages, {total / lasts_s:.0f}/s: {total - came} lost, "
        f"{sent.unanswered} unanswered, {heard.twice} twice; latency p50 {p50:.1f} ms, p99 {p99:.1f} ms; broker "
        f"{100 * sent.share:.0f} % of a core; sender late by {1e3 * sent.late_s:.0f} ms at worst; "
        f"load average {os.getloadavg()[0]:.1f}"
    )


def _read(port: int, ca: Path) -> Heard:
    return asyncio.run(_reading(port, ca))


async def _reading(port: int, ca: Path) -> Heard:
    """Hear all until nothing came for a while."""
    heard, last_s = Heard(), time.monotonic() + _BEGINS_WITHIN_S

    def take(topic: str, payload: bytes) -> None:
        nonlocal last_s
        last_s = time.monotonic()
        heard.take(topic, payload)

    tasks = []
    for at, kind in enumerate(("station", "gateway")):
        bare = Bare(Where(port, ca, "coach", PASSWORD), f"coach-{at}")
        await bare.connect()
        tasks += [asyncio.create_task(bare.listen([f"{_ROOT}/{kind}/+/up/#"], take)), asyncio.create_task(bare.pings())]
    await _until(lambda: time.monotonic() - last_s > _SETTLES_S or any(task.done() for task in tasks))
    for task in tasks:
        task.cancel()
    await asyncio.gather(*tasks, return_exceptions=True)
    return heard


def _send(broker: tuple[int, int], ca: Path, events_per_s: float, lasts_s: float) -> Sent:
    return asyncio.run(_sending(*broker, ca, events_per_s, lasts_s))


async def _sending(port: int, pid: int, ca: Path, events_per_s: float, lasts_s: float) -> Sent:
    senders = {
        f"{_ROOT}/station/rack-{at}/up/now": (Bare(Where(port, ca, f"rack-{at}", PASSWORD), f"rack-{at}"), events_per_s)
        for at in range(STATIONS)
    } | {
        f"{_ROOT}/gateway/board-{at}/up/belt/data": (
            Bare(Where(port, ca, f"board-{at}", PASSWORD), f"board-{at}"),
            PACKETS_PER_S,
        )
        for at in range(GATEWAYS)
    }
    few = asyncio.Semaphore(_AT_ONCE)
    await asyncio.gather(*(_connect(bare, few) for bare, _ in senders.values()))
    listening = [asyncio.create_task(bare.listen([])) for bare, _ in senders.values()]
    begin_s, before_s = time.monotonic() + 0.5, processor_s(pid)
    sending = [
        _steadily(bare, topic, per_s, begin_s + at / (per_s * len(senders)), lasts_s)
        for at, (topic, (bare, per_s)) in enumerate(senders.items())
    ]
    late_s = max(await asyncio.gather(*sending))
    share = (processor_s(pid) - before_s) / (time.monotonic() - begin_s)
    until_s = time.monotonic() + _SETTLES_S
    await _until(lambda: time.monotonic() > until_s or not any(bare.unanswered for bare, _ in senders.values()))
    for task in listening:
        task.cancel()
    await asyncio.gather(*listening, return_exceptions=True)
    numbers = {topic: round(lasts_s * per_s) for topic, (_, per_s) in senders.items()}
    unanswered = sum(len(bare.unanswered) for bare, _ in senders.values())
    for bare, _ in senders.values():
        await bare.close()
    return Sent(numbers, unanswered, late_s, share)


async def _connect(bare: Bare, few: asyncio.Semaphore) -> None:
    async with few:
        await bare.connect()


async def _steadily(bare: Bare, topic: str, per_s: float, begin_s: float, lasts_s: float) -> float:
    """Send so many a second; return by how much the latest was late, s."""
    late_s = 0.0
    for number in range(round(lasts_s * per_s)):
        due_s = begin_s + number / per_s
        await asyncio.sleep(max(0.0, due_s - time.monotonic()))
        late_s = max(late_s, time.monotonic() - due_s)
        bare.publish(topic, packet(number) if "/gateway/" in topic else event(number), retain="/now" in topic)
    return late_s


async def _until(holds: Callable[[], bool]) -> None:
    while True:
        if holds():
            return
        await asyncio.sleep(0.1)


def processor_s(pid: int) -> float:
    """Return what a process took of the processor so far (proc(5)); none where that is not told."""
    try:
        told = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    except OSError:
        return float("nan")
    return (int(told[11]) + int(told[12])) / os.sysconf("SC_CLK_TCK")


if __name__ == "__main__":
    main()
