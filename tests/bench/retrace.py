"""Print how a replay of two hours opens and moves: `python -m tests.bench.retrace [--quick] [--keep FILE]`.

The recording is made from the virtual sensor's own packets: nine minutes of the virtual trainee over and over, with the
events that the pipeline emits on them, each round's later than the last one's. `--keep` keeps it for the next time.

What is asked (issue "The dashboard …"): the first picture within 1 s, and 20 pictures a second while it pans. The first
picture is timed by the clock, in a process of its own, and by the processor beside it; all else by the processor alone,
so that other programs on the machine do not count.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from uuid import uuid4

import numpy as np

from analysis.motion.mounts import Mount
from analysis.motion.samples import Samples
from analysis.training.prescription import Exercise, Prescription, Tempo
from sensor.protocol import STANDARD_GRAVITY_M_S2, Start
from sensor.recording import Recording
from sensor.source import Arrival, Channel, LinkState
from sensor.table import Table
from sensor.virtual.core import SensorCore
from sensor.virtual.motion import FileFeed, TraineeFeed, load_motion
from sensor.virtual.script import Beat, regular_script
from tests.bench.hand import Hand
from tui.app import RungwiseApp
from tui.occasion import Occasion
from tui.retrace import place as moves
from tui.retrace.recorded import recorded
from tui.retrace.signals import with_motion
from tui.retrace.skyline import skyline
from tui.retrace.tabled import live_events
from tui.rooms import Room
from tui.screens.retrace import RetraceScreen
from tui.session.keeper import LIVE_RUN
from tui.session.stored import encode_event, prescription_to_json
from tui.widgets.retrace import RetracePicture, draw_retrace, sight_columns

MTU = 247
SENSOR = "bench"
SIZES = ((80, 24), (120, 40), (200, 60))
SETS, REPS, REST_S = 4, 10, 90.0
BOUTS_A_ROUND = 100
"""More than there are, so that no number comes twice."""
MOMENTS = {
    "at_s",
    "emitted_s",
    "start_s",
    "top_s",
    "down_s",
    "end_s",
    "shrug_start_s",
    "provisional_s",
}
"""What of an event is a time of the recording, not a duration."""
EXERCISE = Exercise(key="bench", name="low-bar pull-up", mount=Mount.BODY, cues=())


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
            write(path, rounds=1 if asked.quick else 15)
        for line in _lines(path):
            print(line, flush=True)  # noqa: T201


def write(path: Path, *, rounds: int) -> None:
    """Write a recording of so many rounds: four sets, about nine minutes, the same motion and events in each."""
    script = regular_script(trainee="Mara Lindt", sets=SETS, reps=REPS, beat=Beat(1.0, 1.0, 2.0, 0.3), rest_s=REST_S)
    motion = load_motion(TraineeFeed(script, seed=7))
    round_s = float(motion.t_s[-1] - 2 * motion.t_s[0] + motion.t_s[1])
    samples = Samples(motion.t_s, motion.force_m_s2, motion.rate_rad_s)
    events = [json.loads(encode_event(event)) for event in live_events(samples, Mount.BODY)]
    asked = Prescription(
        exercise=EXERCISE, sets=SETS * rounds, reps=REPS, tempo=Tempo(2.0, 0.0, 1.0, 1.0), rest_s=REST_S
    )
    meta = {"mount": Mount.BODY.value, "trainee": "Mara Lindt", "prescription": prescription_to_json(asked)}
    with (
        tempfile.TemporaryDirectory() as folder,
        Recording.create(path, session_id=uuid4(), clock=Hand(), meta=meta) as recording,
    ):
        table = Path(folder) / "rounds.csv"
        _write_table(table, motion, round_s, rounds)
        # The clock stands, so that all is committed at once: a live session's commit a second would take the longest.
        for arrival in _arrivals(FileFeed(table)):
            recording.append(arrival)
        for number in range(rounds):
            for event in events:
                moved = _moved(event, number * round_s, number * BOUTS_A_ROUND)
                recording.append_event(moved["emitted_s"], json.dumps(moved), LIVE_RUN)


def _write_table(path: Path, motion: Table, round_s: float, rounds: int) -> None:
    assert motion.rate_rad_s is not None
    one = np.column_stack([motion.t_s, motion.force_m_s2 / STANDARD_GRAVITY_M_S2, np.degrees(motion.rate_rad_s)])
    with path.open("wb") as file:
        file.write(b"t_s,ax_g,ay_g,az_g,gx_dps,gy_dps,gz_dps\n")
        for number in range(rounds):
            shifted = one.copy()
            shifted[:, 0] += number * round_s
            np.savetxt(file, shifted, fmt="%.4f", delimiter=",")


def _moved(value: Any, by_s: float, bouts: int) -> Any:
    """Return an event as JSON has it, by so many seconds later and by so many bouts on."""
    if isinstance(value, list):
        return [_moved(one, by_s, bouts) for one in value]
    if not isinstance(value, dict):
        return value
    out = {}
    for key, one in value.items():
        if key in MOMENTS and one is not None:
            out[key] = one + by_s
        elif key in ("bout", "number") and isinstance(one, int):
            out[key] = one + bouts
        elif key == "supersedes":
            out[key] = [number + bouts for number in one]
        else:
            out[key] = one if key in ("timing_sd", "untold") else _moved(one, by_s, bouts)
    return out


def _arrivals(feed: FileFeed) -> Iterator[Arrival]:
    core = SensorCore(feed, boot_id=1)
    core.take(Start(), 0.0, MTU)
    yield Arrival(SENSOR, 0.0, Channel.LINK, LinkState.CONNECTED.value.encode())
    yield Arrival(SENSOR, 0.0, Channel.INFO, bytes(core.info))
    while not core.finished:
        due_s = core.next_due_s()
        for payload in core.due(due_s):
            yield Arrival(SENSOR, due_s, Channel.DATA, payload)


def _lines(path: Path) -> Iterator[str]:
    began = time.process_time()
    opened = recorded(path)
    read_s = time.process_time() - began
    view = opened.view
    reps = sum(len(one.reps) for one in view.sets)
    load = os.getloadavg()[0]
    yield f"a recording of {view.duration_s / 60:.0f} min, {len(view.sets)} sets, {reps} reps; load average {load:.1f}"
    yield f"what was counted         {read_s:6.2f} s to read, {view.duration_s / read_s:.0f} × real time"
    began = time.process_time()
    signals = opened.load()
    motion_s = time.process_time() - began
    yield f"the motion               {motion_s:6.2f} s beside the screen, {view.duration_s / motion_s:.0f} × real time"
    command = [sys.executable, "-m", "tests.bench.retrace", "--first-picture", str(path)]
    told = subprocess.run(command, check=True, capture_output=True, text=True).stdout.split()
    first_s, by_clock_s, panned = map(float, told)
    yield f"first picture            {first_s:6.2f} s, {by_clock_s:.2f} s by the clock, after the room is entered"
    yield f"panning on the screen    {panned:6.0f} pictures a second at 120 × 40"
    view, edge = with_motion(view, signals), skyline(tuple(view.reps), view.target)
    for width, height in SIZES:
        for name, start in (("whole", moves.opened(view)), ("a set", moves.closer(moves.opened(view), view))):
            place, count, began = start, 0, time.process_time()
            while time.process_time() - began < 1.0:
                place = moves.panned(moves.zoomed(place, view, 0.9) if name == "whole" else place, view, 0.02)
                sight = signals.sight(place.from_s, place.to_s, sight_columns(width))
                draw_retrace(RetracePicture(view, edge, place, sight), width, height - 1)
                count += 1
            per_s = count / (time.process_time() - began)
            yield f"drawing {name:<5} {width:3d} × {height:<3d}   {per_s:6.0f} pictures a second"


async def _first_picture(path: Path) -> str:
    """Return seconds from entering the room to the first picture, by the clock too, and pictures a second panned."""

    def enter() -> object:
        opened = recorded(path)
        return lambda: RetraceScreen(opened)

    app = RungwiseApp(Occasion(rooms=[Room("r", "replay", "", enter)]))  # type: ignore[arg-type]
    async with app.run_test(size=(120, 40)) as pilot:
        began, by_clock = time.process_time(), time.perf_counter()
        app.visit("replay", enter)  # type: ignore[arg-type]
        while not (isinstance(app.screen, RetraceScreen) and app.screen.drawing.picture):
            await pilot.pause(0.005)
        app.screen._compositor.render_strips()
        first_s, by_clock_s = time.process_time() - began, time.perf_counter() - by_clock
        await app.workers.wait_for_complete()
        await pilot.press("enter")
        count, began = 0, time.process_time()
        while time.process_time() - began < 2.0:
            app.screen.action_pan(1 if count % 40 < 20 else -1)
            app.screen._compositor.render_strips()
            count += 1
        return f"{first_s:.3f} {by_clock_s:.3f} {count / (time.process_time() - began):.1f}"


if __name__ == "__main__":
    main()
