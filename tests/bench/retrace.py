"""Print how a replay of two hours opens and moves: `python -m tests.bench.retrace [--quick] [--keep FILE]`.

The recording is made from the virtual sensor's own packets, with the events that the pipeline emits on them; that takes
a minute or two, and `--keep` keeps it for the next time. What is asked (issue "The dashboard …"): the first picture
within 1 s, and 20 pictures a second while it pans. Times are by the clock, in a process of its own for the first
picture, so that what has to be loaded counts; the load of the machine is printed beside them.
"""

from __future__ import annotations

import argparse
import asyncio
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from uuid import uuid4

from analysis.motion.mounts import Mount
from analysis.motion.pipeline import Pipeline
from analysis.training.prescription import Exercise, Prescription, Tempo
from sensor.protocol import Start
from sensor.recording import Recording
from sensor.source import Arrival, Channel, LinkState
from sensor.virtual.core import SensorCore
from sensor.virtual.motion import TraineeFeed
from sensor.virtual.script import Beat, regular_script
from tui.app import RungwiseApp
from tui.keeper import LIVE_RUN
from tui.retrace import place as moves
from tui.retrace.recorded import recorded
from tui.retrace.signals import with_motion
from tui.retrace.skyline import skyline
from tui.rooms import Room
from tui.screens.retrace import RetraceScreen
from tui.stored import encode_event, prescription_to_json
from tui.track import Track
from tui.widgets.retrace import RetracePicture, draw_retrace, sight_columns

MTU = 247
SENSOR = "bench"
SIZES = ((80, 24), (120, 40), (200, 60))
REPS, REST_S = 10, 90.0
EXERCISE = Exercise(key="bench", name="low-bar pull-up", mount=Mount.BODY, cues=())


@dataclass
class Hand:
    """A clock that stands where it is put."""

    at_s: float = 0.0

    def now_s(self) -> float:
        """Return where it stands."""
        return self.at_s

    def utc_us(self) -> int:
        """Return the same on 2 March 2026."""
        return 1_772_440_000_000_000 + round(self.at_s * 1e6)

    async def sleep(self, duration_s: float) -> None:
        """Go on."""
        self.at_s += duration_s


def main() -> None:
    """Measure and print, one line each."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="a few minutes of recording, for a smoke run")
    parser.add_argument("--keep", type=Path, help="keep the recording in this file, or take the one that is there")
    parser.add_argument("--first-picture", type=Path, help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.first_picture:
        print(asyncio.run(_first_picture(asked.first_picture)))  # noqa: T201
        return
    with tempfile.TemporaryDirectory() as folder:
        path = asked.keep or Path(folder) / "hours.rungwise"
        if not path.exists():
            write(path, sets=2 if asked.quick else 54)
        for line in _lines(path):
            print(line, flush=True)  # noqa: T201


def write(path: Path, *, sets: int) -> None:
    """Write a recording of so many sets, a little more than two minutes each with its rest."""
    script = regular_script(trainee="Mara Lindt", sets=sets, reps=REPS, beat=Beat(1.0, 1.0, 2.0, 0.3), rest_s=REST_S)
    asked = Prescription(exercise=EXERCISE, sets=sets, reps=REPS, tempo=Tempo(2.0, 0.0, 1.0, 1.0), rest_s=REST_S)
    meta = {"mount": Mount.BODY.value, "trainee": "Mara Lindt", "prescription": prescription_to_json(asked)}
    hand, track = Hand(), Track(Pipeline(Mount.BODY))
    with Recording.create(path, session_id=uuid4(), clock=hand, meta=meta) as recording:
        # The clock stands, so that all is committed at once: a live session's commit a second would take the longest.
        for arrival in _arrivals(TraineeFeed(script, seed=7)):
            recording.append(arrival)
            for event in track.push(arrival):
                recording.append_event(event.emitted_s, encode_event(event), LIVE_RUN)
        for event in track.finish():
            recording.append_event(event.emitted_s, encode_event(event), LIVE_RUN)


def _arrivals(feed: TraineeFeed) -> Iterator[Arrival]:
    core = SensorCore(feed, boot_id=1)
    core.take(Start(), 0.0, MTU)
    yield Arrival(SENSOR, 0.0, Channel.LINK, LinkState.CONNECTED.value.encode())
    yield Arrival(SENSOR, 0.0, Channel.INFO, bytes(core.info))
    while not core.finished:
        due_s = core.next_due_s()
        for payload in core.due(due_s):
            yield Arrival(SENSOR, due_s, Channel.DATA, payload)


def _lines(path: Path) -> Iterator[str]:
    began = time.perf_counter()
    opened = recorded(path)
    read_s = time.perf_counter() - began
    view = opened.view
    reps = sum(len(one.reps) for one in view.sets)
    load = os.getloadavg()[0]
    yield f"a recording of {view.duration_s / 60:.0f} min, {len(view.sets)} sets, {reps} reps; load average {load:.1f}"
    yield f"what was counted         {read_s:6.2f} s to read, {view.duration_s / read_s:.0f} × real time"
    began = time.perf_counter()
    signals = opened.load()
    motion_s = time.perf_counter() - began
    yield f"the motion               {motion_s:6.2f} s beside the screen, {view.duration_s / motion_s:.0f} × real time"
    command = [sys.executable, "-m", "tests.bench.retrace", "--first-picture", str(path)]
    told = subprocess.run(command, check=True, capture_output=True, text=True).stdout.split()
    yield f"first picture            {float(told[0]):6.2f} s after the room is entered, program loaded"
    yield f"panning on the screen    {float(told[1]):6.0f} pictures a second at 120 × 40"
    view, edge = with_motion(view, signals), skyline(tuple(view.reps), view.target)
    for width, height in SIZES:
        for name, start in (("whole", moves.opened(view)), ("a set", moves.closer(moves.opened(view), view))):
            place, count, began = start, 0, time.perf_counter()
            while time.perf_counter() - began < 1.0:
                place = moves.panned(moves.zoomed(place, view, 0.9) if name == "whole" else place, view, 0.02)
                sight = signals.sight(place.from_s, place.to_s, sight_columns(width))
                draw_retrace(RetracePicture(view, edge, place, sight), width, height - 1)
                count += 1
            per_s = count / (time.perf_counter() - began)
            yield f"drawing {name:<5} {width:3d} × {height:<3d}   {per_s:6.0f} pictures a second"


async def _first_picture(path: Path) -> str:
    """Return seconds from entering the room to the first picture, and pictures a second while it pans."""

    def enter() -> object:
        opened = recorded(path)
        return lambda: RetraceScreen(opened)

    app = RungwiseApp(rooms=[Room("r", "replay", "", enter)])  # type: ignore[arg-type]
    async with app.run_test(size=(120, 40)) as pilot:
        began = time.perf_counter()
        app.visit("replay", enter)  # type: ignore[arg-type]
        while not (isinstance(app.screen, RetraceScreen) and app.screen.drawing.picture):
            await pilot.pause(0.005)
        app.screen._compositor.render_strips()
        first_s = time.perf_counter() - began
        await app.workers.wait_for_complete()
        await pilot.press("enter")
        count, began = 0, time.perf_counter()
        while time.perf_counter() - began < 2.0:
            await pilot.press("full_stop" if count % 40 < 20 else "comma")
            app.screen._compositor.render_strips()
            count += 1
        return f"{first_s:.3f} {count / (time.perf_counter() - began):.1f}"


if __name__ == "__main__":
    main()
