"""How soon a sound is heard, what it costs, and how well the ticks keep time: `python -m tests.bench.sound [SESSIONS]`.

No loudspeaker: miniaudio's null backend asks for samples in real time, as a device does. The ticks are compared with
what the virtual trainee really did; asked for are up 1, top 1, down 2.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from analysis.motion.mounts import Mount
from analysis.motion.pipeline import Pipeline
from analysis.motion.samples import Samples
from analysis.training.prescription import Exercise, Prescription, Tempo
from sensor.clock import ClockEstimate
from sensor.source import LinkState
from sensor.virtual.script import Beat, regular_script
from sensor.virtual.trainee import Performance, perform
from tui.session.board import UNKNOWN_CLOCK, Board
from tui.session.messages import Link
from tui.sound import player
from tui.sound.mixer import Mixer
from tui.sound.process import BUFFER_MS, serve
from tui.sound.score import Note, Score, Sound
from tui.sound.tones import Samples as Line

TICK_S = 0.1
TOLERANCE_S = 0.3
ASKED = Tempo(2.0, 0.0, 1.0, 1.0)
DONE = {
    "as asked": Beat(1.0, 1.0, 2.0, 0.2),
    "hold of 2 s": Beat(1.0, 2.0, 2.0, 0.2),
    "hold of .4 s": Beat(1.0, 0.4, 2.0, 0.2),
    "down in 1 s": Beat(1.0, 1.0, 1.0, 0.2),
    "down in 4 s": Beat(1.0, 1.0, 4.0, 0.2),
}


class Ear(Mixer):
    """A line that notes when the device reads something that sounds, on a clock that all processes share."""

    def __init__(self, out: Path) -> None:
        super().__init__()
        self._out = out
        self._sounding = False

    def read(self, count: int) -> Line:
        """Read on."""
        line = super().read(count)
        if line.any() and not self._sounding:
            with self._out.open("a") as file:
                file.write(f"{time.monotonic_ns()}\n")
        self._sounding = bool(line.any())
        return line


def latencies_s(count: int = 100) -> tuple[NDArray[np.float64], float]:
    """Return seconds from asking for a note to the device's reading it, and the process's share of a core."""
    player.PROCESS = "tests.bench.sound"
    asked: list[int] = []
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "heard"
        out.touch()
        playing = player.AudioProcess(out, silent=True)
        while not _heard(out):  # until it is there
            playing.play(Note(0.0, Sound.UP))
            time.sleep(0.2)
        time.sleep(1.0)
        before, began_s, began_cpu_s = len(_heard(out)), time.monotonic(), _cpu_s(playing.pid)
        for number in range(count):
            asked.append(time.monotonic_ns())
            playing.play(Note(0.0, Sound.UP))
            time.sleep(0.15 + 0.013 * (number % 5))
        share = (_cpu_s(playing.pid) - began_cpu_s) / (time.monotonic() - began_s)
        heard = _heard(out)[before:]
        playing.close()
    return (np.array(heard[:count]) - np.array(asked)) / 1e9, share


def _heard(out: Path) -> list[int]:
    return [int(line) for line in out.read_text().split()]


def _cpu_s(pid: int) -> float:
    """Return the processor time of a process (Linux; elsewhere not known)."""
    stat = Path(f"/proc/{pid}/stat")
    if not stat.exists():
        return float("nan")
    user, system = stat.read_text().rsplit(")", 1)[1].split()[11:13]
    return (int(user) + int(system)) / os.sysconf("SC_CLK_TCK")


def heard_of(done: Performance) -> list[Note]:
    """Return what is heard of a session live, from its first sample to its last."""
    exercise = Exercise("pull-up", "pull-up", Mount.BODY)
    board = Board(
        trainee="Mara Lindt",
        prescription=Prescription(exercise=exercise, sets=3, reps=10, tempo=ASKED, rest_s=30.0),
        began_s=0.0,
    )
    list(board.on_link(Link(state=LinkState.CONNECTED, sensor="belt"), 0.0))
    pipeline, score, notes = Pipeline(Mount.BODY), Score(), list[Note]()
    clock: ClockEstimate = UNKNOWN_CLOCK
    for first in range(0, len(done.t_s) - 10, 10):
        part = slice(first, first + 10)
        now_s = float(done.t_s[part][-1])
        for event in pipeline.push_live(Samples(done.t_s[part], done.force_m_s2[part], done.rate_rad_s[part])):
            list(board.on_event(event, clock, now_s))
        board.heard(now_s)
        list(board.tick(now_s))
        notes += score.of(board.snapshot(now_s))
    return notes


@dataclass
class Tally:
    """How the ticks of one sound did."""

    due: int = 0
    in_time: int = 0
    early: int = 0
    not_due: int = 0
    wrong: int = 0
    errors_s: list[float] = field(default_factory=list)

    def take(self, times_s: Iterable[float], due_s: float, *, long_enough: bool, too_short: bool) -> None:
        """Count what was heard around the moment at which it is due."""
        near = [one - due_s for one in times_s if abs(one - due_s) < 1.5]
        error_s = min(near, key=abs, default=None)
        if long_enough:
            self.due += 1
            self.in_time += error_s is not None and abs(error_s) <= TOLERANCE_S
            self.early += error_s is not None and error_s < -TOLERANCE_S
            self.errors_s += [] if error_s is None else [error_s]
        elif too_short:
            self.not_due += 1
            self.wrong += error_s is not None

    def line(self) -> str:
        """Say it."""
        errors = np.array(self.errors_s) if self.errors_s else np.array([np.nan])
        right = f"in time {self.in_time} of {self.due}, early {self.early}, median {np.median(errors):+.2f} s"
        return right if self.due else f"not due, heard {self.wrong} of {self.not_due}"


def ticks(name: str, sessions: int) -> Iterator[str]:
    """Compare ticks with what was done."""
    held, lowered = Tally(), Tally()
    for seed in range(sessions):
        done = perform(regular_script(trainee="Mara Lindt", sets=3, reps=8, beat=DONE[name], rest_s=30.0), 100 + seed)
        notes = heard_of(done)
        helds, lowereds = ([note.at_s for note in notes if note.sound is one] for one in (Sound.HELD, Sound.LOWERED))
        for rep in (rep for reps in done.truth for rep in reps):
            hold_s, down_s = rep.down_s - rep.top_s, rep.end_s - rep.down_s
            held.take(helds, rep.top_s + 1.0, long_enough=hold_s >= 1.0, too_short=hold_s < 1.0 - TOLERANCE_S)
            lowered.take(lowereds, rep.down_s + 2.0, long_enough=down_s >= 2.0, too_short=down_s < 2.0 - TOLERANCE_S)
    yield f"{name:13} end of the hold: {held.line()}"
    yield f"{name:13} end of the lowering: {lowered.line()}"


def main() -> None:
    """Measure and print, one line each."""
    sessions = int(sys.argv[1]) if len(sys.argv) > 1 else 6
    seconds, share = latencies_s()
    p50, p95 = np.percentile(seconds * 1000, [50, 95])
    print(f"asked to read by the device: median {p50:.0f} ms, 95th percentile {p95:.0f} ms", flush=True)  # noqa: T201
    print(f"heard a buffer of {BUFFER_MS} ms later; a snapshot comes every {TICK_S * 1000:.0f} ms")  # noqa: T201
    print(f"the process: {share:.1%} of a core", flush=True)  # noqa: T201
    for name in DONE:
        for line in ticks(name, sessions):
            print(line, flush=True)  # noqa: T201


if __name__ == "__main__":
    if len(sys.argv) == 3:  # as the process that plays
        raise SystemExit(serve(sys.stdin.buffer, Ear(Path(sys.argv[2])), None, silent=True))
    main()
