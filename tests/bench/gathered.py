"""How many live sensors one process keeps up with: `python -m tests.bench.gathered [--sensors 64 …] [--quick]`.

    this program: sensors behind 16 gateways, 100 Hz × 6 axes, at their own pace ─► mosquitto ─► `rungwise gather`

Each sensor's trainee does sets with rests between; `gather` records, judges and logs them (`tests.bench.many` without a
broker). It keeps up where it takes less than a core, each packet is in a recording, and none came late: that is told
against the one that was quickest. Asked are 64 sensors, aimed at 200 (issue "Coach and gym at a distance"). Ends with
status 1 where it does not keep up. Loopback, no TLS; Linux.
"""

from __future__ import annotations

import argparse
import asyncio
import heapq
import os
import signal
import sys
import tempfile
import time
from collections import defaultdict
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from analysis.logbook.book import Logbook
from sensor.recording import Recording
from sensor.source import Channel
from tests.bench.brokers import processor_s
from tests.bench.many import streams
from tests.bench.soak_share import Worker, at_home
from tests.brokers import mosquitto
from tests.brokers.load import Bare, Where
from tests.brokers.process import BrokerProcess
from tui.home import Home

GATEWAYS = 16
LATE_S = 1.0
"""A letter that comes later than this is as much behind as a session reads at a time (`tui.training.gather.READ_S`)."""
_OPENS_S, _SETTLES_S, _ENDS_WITHIN_S = 5.0, 5.0, 600.0


@dataclass
class Sent:
    """What was sent: when each packet was, s of the computer's clock, by sensor; how late the sender itself was, s.

    `share`: what `gather` took of a core from when all sensors were there to the end; `broker` the same of the broker.
    """

    sent_s: dict[str, list[float]]
    late_s: float = 0.0
    share: float = 0.0
    broker: float = 0.0


def main() -> int:
    """Measure and print; return 1 where it does not keep up."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sensors", type=int, nargs="+", default=[64, 128])
    parser.add_argument("--quick", action="store_true", help="one short set each, for a smoke run")
    given = parser.parse_args()
    assert mosquitto.program() is not None, mosquitto.MISSING
    kept_up = True
    for sensors in given.sensors:
        with tempfile.TemporaryDirectory() as folder, mosquitto.plain(Path(folder)) as broker:
            kept_up &= _measured(Path(folder), broker, sensors, quick=given.quick)
    return 0 if kept_up else 1


def _measured(folder: Path, broker: BrokerProcess, sensors: int, *, quick: bool) -> bool:
    home = Home(folder / "home")
    worn = [word for number in range(sensors) for word in ("--worn", f"Recruit {number:03}=clip-{number}")]
    gather = Worker("gather", [*at_home(home.folder), "gather", f"{broker.url}/+", *worn], folder / "gather.log")
    gather.start()
    assert gather.process is not None
    try:
        sent = asyncio.run(_send(broker, gather.process.pid, sensors, quick=quick))
        began_s = processor_s(gather.process.pid)
        gather.process.send_signal(signal.SIGINT)
        busy_s = _until_ended(gather, began_s)
    finally:
        gather.kill()
    missing, late_s = _recorded(home, sent)
    with Logbook.open(home.logbook) as book:
        sets = sum(len(one.sets) for who in book.trainees() for one in book.sessions(who.id))
    letters = sum(len(each) for each in sent.sent_s.values())
    keeps_up = not missing and sent.share < 1.0 and max(late_s) < LATE_S
    p50, p99 = np.percentile(late_s, [50, 99]) * 1e3
    _say(
        f"{sensors} sensors behind {GATEWAYS} gateways, {letters} packets, {sets} sets logged: "
        f"{'keeps up' if keeps_up else 'does not keep up'}"
    )
    _say(f"  load average {os.getloadavg()[0]:.1f}; the sender late by {1e3 * sent.late_s:.0f} ms at worst")
    _say(
        f"  processor            {100 * sent.share:6.0f} % of a core, so one carries {sensors / sent.share:.0f}; "
        f"mosquitto {100 * sent.broker:.0f} %"
    )
    _say(f"  the sessions' ends   {busy_s:6.1f} s of the processor")
    _say(f"  packets missing      {missing:6}")
    _say(
        f"  a packet's lateness  {p50:6.0f} ms at the median, {p99:.0f} ms at 99 %, {1e3 * max(late_s):.0f} ms at most"
    )
    return keeps_up


async def _send(broker: BrokerProcess, gather: int, sensors: int, *, quick: bool) -> Sent:
    """Be all sensors and their gateways, until the last letter."""
    boards = [Bare(Where(broker.port, None, f"board-{at}", "none"), f"board-{at}") for at in range(GATEWAYS)]
    for board in boards:
        await board.connect()
    answers = [asyncio.create_task(board.listen([])) for board in boards]
    await asyncio.sleep(_OPENS_S)
    sent, begin_s = Sent(defaultdict(list)), time.monotonic()
    open_s, whole_s, before = begin_s + 0.013 * sensors + _OPENS_S, 0.0, (0.0, 0.0)
    for at_s, topic, payload in heapq.merge(*streams(sensors, quick=quick, gateways=GATEWAYS)):
        due_s = begin_s + at_s
        if (ahead_s := due_s - time.monotonic()) > 0:
            await asyncio.sleep(ahead_s)
        if not whole_s and due_s >= open_s:
            whole_s, before = time.monotonic(), (processor_s(gather), processor_s(broker.pid))
        sent.late_s = max(sent.late_s, time.monotonic() - due_s)
        _, _, board, _, sensor, channel = topic.rsplit("/", 5)
        boards[int(board.removeprefix("board-"))].publish(topic, payload, retain=channel == Channel.INFO.value)
        if channel == Channel.DATA.value:
            sent.sent_s[sensor].append(time.monotonic())
    took_s = time.monotonic() - whole_s
    sent.share = (processor_s(gather) - before[0]) / took_s
    sent.broker = (processor_s(broker.pid) - before[1]) / took_s
    await asyncio.sleep(_SETTLES_S)
    for task in answers:
        task.cancel()
    await asyncio.gather(*answers, return_exceptions=True)
    for board in boards:
        await board.close()
    return sent


def _until_ended(gather: Worker, began_s: float) -> float:
    """Wait until all sessions are ended; return what that took of the processor, s."""
    assert gather.process is not None
    busy_s, until_s = began_s, time.monotonic() + _ENDS_WITHIN_S
    while gather.process.poll() is None and time.monotonic() < until_s:
        busy_s = max(busy_s, processor_s(gather.process.pid))
        time.sleep(0.02)
    return busy_s - began_s


def _recorded(home: Home, sent: Sent) -> tuple[int, list[float]]:
    """Return how many packets are in no recording, and how late each of those is that are, s."""
    missing, gone_s = sum(len(each) for each in sent.sent_s.values()), []
    for path in home.recordings_of(""):
        with Recording.open(path) as recording:
            came = [(one.sensor_id, one.at_s) for one in recording.arrivals() if one.channel is Channel.DATA]
        sent_s = sent.sent_s[came[0][0]]
        missing -= len(came)
        gone_s += [at_s - began_s for (_, at_s), began_s in zip(came, sent_s, strict=False)]
    soonest_s = min(gone_s)
    return missing, [one - soonest_s for one in gone_s]


def _say(text: str) -> None:
    print(text, flush=True)  # noqa: T201


if __name__ == "__main__":
    sys.exit(main())
