"""Print how long a packet takes to the coach's screen: `python -m tests.bench.packets [--quick] [--hub] [--count 24]`.

    packets at their own pace ─► a station with its dashboard (pty) ─► mosquitto, or the hub ─► `rungwise floor` (pty)
    24 more stations (a process), 10 states a second each ─────────────┘
    16 gateways (the same process), a packet of ten samples every .1 s ┘

From the moment at which a packet is due at the station that changes what it shows (a rep is counted, a phase turns) to
that at which the floor has written that change, or one that came after it. What is asked of it (issue "Coach and gym at
a distance"): 150 ms at the 99th percentile. What time alone changes is left out. Linux.
"""

from __future__ import annotations

import argparse
import asyncio
import bisect
import os
import re
import select
import sys
import tempfile
import threading
import time
from collections.abc import AsyncIterator, Iterator, Sequence
from contextlib import ExitStack, asynccontextmanager, contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TextIO

import numpy as np

from analysis.logbook.book import Logbook
from analysis.motion.events import Phase
from sensor.broker import Access, Address
from sensor.source import Arrival, Source, SystemClock
from sensor.virtual.link import packet_source
from sensor.virtual.motion import TraineeFeed
from sensor.virtual.script import Beat, Script, regular_script
from tests.bench.floor import broker_for, crowd
from tests.bench.screen import Dashboard, compiled, dashboard
from tui.home import Home, day_of
from tui.occasion import Occasion
from tui.running import run_in_dashboard
from tui.sensors.sensors import SensorFile
from tui.session.messages import Stage
from tui.session.opening import Opening
from tui.session.plans import Plan, demo_plan
from tui.share.beside import beside
from tui.training.live import LiveRun
from tui.wanted import Share

SETS, REPS = 6, 9
"""Reps of a set are asked for by nobody else, so a tile is known by them."""
BEAT, REST_S = Beat(1.0, 1.0, 2.0, 0.4), 15.0
NAME = "a-bar"
OVER = "over"
_TIMELESS = (Stage.SET, Stage.REST)
_SHOWN = re.compile(rf"(?<![\d.])(\d+) of {REPS}(?![\d.])(?: · ([A-Z]+))?".encode())
_PATIENCE_S = 60.0
Shown = tuple[int, str]
"""Count and phase, as a tile has them; no phase in a rest."""


@dataclass(frozen=True)
class Change:
    """What a station shows anew, since when (of the computer's own clock, s), and whether a packet brought it."""

    at_s: float
    shown: Shown
    by_packet: bool


def main() -> None:
    """Measure and print, one line each."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="one short set, for a smoke run")
    parser.add_argument("--hub", action="store_true", help="through `rungwise hub` instead of mosquitto")
    parser.add_argument("--count", type=int, default=24, help="how many other stations")
    parser.add_argument("--gateways", type=int, default=16, help="how many gateways")
    parser.add_argument("--station", nargs=4, metavar=("URL", "HOME", "FILE", "SETS"), help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.station:
        url, home, trace, sets = given.station
        _be_station(url, Home(Path(home)), Path(trace), int(sets))
        return
    if not Path("/proc/self/smaps_rollup").exists():
        print("packets to the screen: skipped, a pty and /proc are needed")  # noqa: T201
        return
    with tempfile.TemporaryDirectory() as folder:
        for line in _lines(Path(folder), given.count, given.gateways, 1 if given.quick else SETS, hub=given.hub):
            print(line, flush=True)  # noqa: T201


def _lines(folder: Path, count: int, gateways: int, sets: int, *, hub: bool) -> Iterator[str]:
    compiled(folder, "tui.floor.command, tui.app, tui.screens.floor, tui.session.keeper, tui.session.track")
    trace = folder / "trace"
    called = "rungwise hub" if hub else "mosquitto"
    yield f"{count} stations × 10 states a second, {gateways} gateways × 100 Hz × 6 axes through {called}"
    with ExitStack() as opened:
        broker = opened.enter_context(broker_for(folder, hub=hub))
        floor = opened.enter_context(dashboard("--home", str(folder / "home"), "floor", broker.url))
        floor.until("No station is here yet")
        opened.enter_context(crowd(broker.url, count, gateways))
        floor.until(f"of {count} need a look")
        words = ("--station", broker.url, str(folder / "station"), str(trace), str(sets))
        program = (sys.executable, "-m", "tests.bench.packets")
        opened.enter_context(_drained(opened.enter_context(dashboard(*words, program=program))))
        busy_s, began_s = floor.cpu_s(), time.monotonic()
        written = _written(floor, trace)
        share = (floor.cpu_s() - busy_s) / (time.monotonic() - began_s)
        yield f"load average {os.getloadavg()[0]:.1f}; the floor takes {100 * share:.0f} % of a core"
    changes = _changes(trace)
    took_s, never = taken(changes, list(_seen(written)))
    p50, p95, p99 = np.percentile(took_s, [50, 95, 99]) * 1e3
    yield f"changes                  {len(took_s):6} by packets, {len(changes) - len(took_s) - never} by time alone"
    yield f"never on the screen      {never:6}"
    yield f"packet to screen         {p50:6.0f} ms at the median, {p95:.0f} ms at 95 %, {p99:.0f} ms at 99 %"


def taken(changes: Sequence[Change], seen: Sequence[tuple[float, Shown]]) -> tuple[list[float], int]:
    """Return how long each change by a packet took to the screen, s, and how many never came there.

    A change that another one overtook is on the screen with that one.
    """
    took_s: list[float] = []
    done = 0
    times = [one.at_s for one in changes]
    for at_s, shown in seen:
        known = bisect.bisect_right(times, at_s)
        newest = next((i for i in reversed(range(done, known)) if changes[i].shown == shown), None)
        if newest is not None:
            took_s += [at_s - one.at_s for one in changes[done : newest + 1] if one.by_packet]
            done = newest + 1
    return took_s, sum(one.by_packet for one in changes[done:])


def _seen(written: Sequence[tuple[float, bytes]]) -> Iterator[tuple[float, Shown]]:
    """Yield what the tile of the station showed, each time it was written."""
    ends = np.cumsum([len(piece) for _, piece in written])
    for found in _SHOWN.finditer(b"".join(piece for _, piece in written)):
        at_s = written[int(np.searchsorted(ends, found.end()))][0]
        yield at_s, (int(found[1]), (found[2] or b"").decode())


def _changes(trace: Path) -> list[Change]:
    rows = [line.split(",") for line in trace.read_text().splitlines() if line != OVER]
    return [Change(float(at_s), (int(count), phase), by == "packet") for at_s, count, phase, by in rows]


def _written(floor: Dashboard, trace: Path) -> list[tuple[float, bytes]]:
    """Return what the floor writes until the station's session is over, and when."""
    written: list[tuple[float, bytes]] = []
    looked_s = moved_s = time.monotonic()
    size, left = 0, 2
    while left:
        if select.select([floor.terminal], [], [], 0.2)[0]:
            written.append((time.monotonic(), os.read(floor.terminal, 1 << 16)))
        if (now_s := time.monotonic()) - looked_s >= 1.0:
            looked_s, text = now_s, trace.read_text() if trace.exists() else ""
            moved_s, size = (now_s, len(text)) if len(text) > size else (moved_s, size)
            assert now_s - moved_s < _PATIENCE_S, "the station does not go on"
            left -= text.endswith(f"{OVER}\n")
    return written


@contextmanager
def _drained(terminal: Dashboard) -> Iterator[None]:
    """Take what a terminal writes, so that nobody has to wait for it."""
    over = threading.Event()

    def drain() -> None:
        while not over.is_set():
            terminal.read(0.2)

    thread = threading.Thread(target=drain)
    thread.start()
    try:
        yield
    finally:
        over.set()
        thread.join()


def _be_station(url: str, home: Home, trace: Path, sets: int) -> None:
    """Be the station, in the terminal that this process has."""
    script = regular_script(trainee="Mara Lindt", sets=sets, reps=REPS, beat=BEAT, rest_s=REST_S)
    share = Share(Address.parse(url), Access(), NAME)
    with trace.open("w", buffering=1) as told:
        run_in_dashboard(lambda held: _occasion(held, home, share, script, told), home=home, network=True)


def _occasion(held: ExitStack, home: Home, share: Share, script: Script, told: TextIO) -> Occasion:
    clock = SystemClock()
    logbook = held.enter_context(Logbook.open(home.logbook))
    plan = _plan(logbook, clock, len(script.sets))
    opening = Opening(
        home=home, logbook=logbook, clock=clock, plan_for=lambda _: plan, sensors=SensorFile(home.sensors)
    )
    run = LiveRun(
        open_source=lambda: _traced(run, packet_source(TraineeFeed(script, seed=7), clock), clock, told),
        clock=clock,
        open_session=opening.open_session,
        trainees=(plan.trainee.name,),
    )
    with_coach = beside(share, home, run, watched=True)
    return Occasion(with_coach.driver(run.run), control=run, drawn=with_coach.drawn)


def _plan(logbook: Logbook, clock: SystemClock, sets: int) -> Plan:
    plan = demo_plan(logbook, day_of(clock.utc_us()))
    return replace(plan, prescription=replace(plan.prescription, sets=sets, reps=REPS, rest_s=REST_S))


@asynccontextmanager
async def _traced(run: LiveRun, source: Source, clock: SystemClock, told: TextIO) -> AsyncIterator[Source]:
    yield Traced(run, source, clock, told)


class Traced:
    """A source that writes down which of its arrivals changed what a session shows.

    `run`: the session; `told`: a line for each change: seconds of the computer's clock, count, phase, and by what.
    """

    def __init__(self, run: LiveRun, source: Source, clock: SystemClock, told: TextIO) -> None:
        self._run, self._source, self._clock, self._told = run, source, clock, told
        self._began_s = time.monotonic() - clock.now_s()
        self._before: Shown | None = None

    async def __aiter__(self) -> AsyncIterator[Arrival]:
        async for arrival in self._source:
            self._look("time", time.monotonic())
            yield arrival
            self._look("packet", self._began_s + arrival.at_s)  # by now the session has taken it
        await asyncio.sleep(2.0)
        self._told.write(f"{OVER}\n")

    def _look(self, by: str, at_s: float) -> None:
        person = self._run.bar.on
        if person is None or person.session.is_behind:
            return
        now = person.session.board.snapshot(self._clock.now_s())
        if now.stage not in _TIMELESS:
            return
        is_still = now.stage is Stage.REST or now.phase is Phase.AWAY
        shown = (now.count, "" if is_still else now.phase.name)
        if shown != self._before:
            self._before = shown
            self._told.write(f"{at_s!r},{shown[0]},{shown[1]},{by}\n")


if __name__ == "__main__":
    main()
