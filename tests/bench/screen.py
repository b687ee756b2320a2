"""Print how the dashboard does in a real terminal: `python -m tests.bench.screen [--quick]`; Linux.

    this process: a terminal of 120 × 40 (pty) ═ `rungwise demo --motion TABLE`: virtual sensor (a process) ─ link ─ app

What is asked of it (issue "The dashboard …"): 15 % of a core at 20 fps with 100 Hz input, 220 MB, 5 MB more within an
hour, the first frame within 1 s and scipy after it, and from a key to the screen 50 ms (95th percentile) while samples
come. The hour is an accelerated one: the same samples and as many sets, with fewer frames among them. Other programs on
the machine are in the clock times; processor time and memory are the application's own.
"""

from __future__ import annotations

import argparse
import fcntl
import os
import pty
import re
import select
import struct
import subprocess
import sys
import tempfile
import termios
import time
from collections.abc import Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from sensor.protocol import STANDARD_GRAVITY_M_S2
from sensor.virtual.motion import TraineeFeed, load_motion
from sensor.virtual.script import Beat, regular_script

WIDTH, HEIGHT = 120, 40
KEYS = {"?": "A rep is a hill", "g": "Go to", "w": "Where does the sensor sit"}
"""Keys that work in each stage of a session, and what is seen of each."""
PAGE_MB = os.sysconf("SC_PAGE_SIZE") / 1e6
SETTLED_S = 900.0
"""Session seconds after which all is loaded, and every window of the motion core has been as long as it gets."""


def main() -> None:
    """Measure and print, one line each."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="a few seconds, for a smoke run")
    quick = parser.parse_args().quick
    if not Path("/proc/self/smaps_rollup").exists():
        print("screen figures: skipped, they are read from /proc")  # noqa: T201
        return
    with tempfile.TemporaryDirectory() as folder:
        for line in _lines(Path(folder), quick=quick):
            print(line, flush=True)  # noqa: T201


def _lines(folder: Path, *, quick: bool) -> Iterator[str]:
    table = folder / "hour.csv"
    _write_sets(table, sets=2 if quick else 40)
    compiled(folder, "tui.demo, tui.app, tui.session.keeper, tui.session.track")
    yield f"dashboard at {WIDTH} × {HEIGHT}, 100 Hz × 6 axes; load average {os.getloadavg()[0]:.1f}"
    with _demo(folder / "first", table, 1.0) as app:
        first_s = app.until("Opening the logbook")
        early = app.has_loaded("scipy/special")
        loaded = "scipy before it" if early else "scipy not yet"
        cpu_s = app.cpu_s()
        yield f"first frame              {first_s:6.2f} s after the start ({cpu_s:.2f} s of the processor), {loaded}"
        yield f"the session's first      {app.until('Switch the sensor on'):6.2f} s after the start"
        app.until("sensor good")
        app.rest(0.0 if quick else 10.0)
        share, frames = app.load(6.0 if quick else 60.0)
        yield f"processor                {100 * share:6.1f} % of a core, {frames:.0f} writes a second"
        keys_s = np.array([app.key(*keyed) for _ in range(3 if quick else 30) for keyed in KEYS.items()])
        (p50, cpu50), (p95, cpu95) = np.percentile(keys_s, [50, 95], axis=0) * 1e3
        yield f"key to screen            {p50:6.0f} ms at the median, {p95:.0f} ms at the 95th percentile"
        yield f"  of it processor        {cpu50:6.0f} ms at the median, {cpu95:.0f} ms at the 95th percentile"
        yield f"memory                   {app.memory_mb():6.0f} MB"
    if not quick:
        yield from _hour(folder / "hour", table)


def _hour(home: Path, table: Path) -> Iterator[str]:
    """Let an hour go by, and see what it costs."""
    speed = 10.0  # at 20 all of a slow core is taken, samples are lost, and what that leaves is counted in
    with _demo(home, table, speed) as app:
        app.until(r"sensor good")
        first_mb = app.memory_mb()
        app.rest(SETTLED_S / speed)
        early_mb = app.memory_mb()
        app.rest(3600.0 / speed)
        late_mb = app.memory_mb()
    settled = f"after {SETTLED_S / 60:.0f} min of the session, {first_mb:.0f} at its begin"
    yield f"memory once settled      {early_mb:6.0f} MB {settled}"
    yield f"growth in the next hour  {late_mb - early_mb:6.1f} MB, at {speed:g}×"


def compiled(folder: Path, modules: str) -> None:
    """Have the program compiled, as it is where it is installed."""
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    os.environ["PYTHONPYCACHEPREFIX"] = str(folder / "compiled")
    subprocess.run([sys.executable, "-c", f"import {modules}"], check=True)


def _write_sets(path: Path, sets: int) -> None:
    """Write the table of a session of `sets` sets of eight reps, about two minutes each."""
    script = regular_script(trainee="Mara Lindt", sets=sets, reps=8, beat=Beat(1.0, 1.0, 2.0, 0.5), rest_s=90.0)
    motion = load_motion(TraineeFeed(script, seed=7))
    assert motion.rate_rad_s is not None
    columns = (motion.t_s, motion.force_m_s2 / STANDARD_GRAVITY_M_S2, np.degrees(motion.rate_rad_s))
    header = "t_s,ax_g,ay_g,az_g,gx_dps,gy_dps,gz_dps"
    np.savetxt(path, np.column_stack(columns), fmt="%.4f", delimiter=",", header=header, comments="")


@dataclass
class Dashboard:
    """The application in a terminal of its own, and what came of it."""

    process: subprocess.Popen[bytes]
    terminal: int
    began_s: float
    writes: int = 0

    def read(self, timeout_s: float) -> str:
        """Return what is written next; nothing where nothing is for so long."""
        if not select.select([self.terminal], [], [], max(0.0, timeout_s))[0]:
            return ""
        self.writes += 1
        return os.read(self.terminal, 1 << 16).decode("utf-8", "replace")

    def rest(self, duration_s: float) -> None:
        """Let it run."""
        until_s = time.monotonic() + duration_s
        while (left_s := until_s - time.monotonic()) > 0:
            self.read(left_s)

    def until(self, pattern: str, timeout_s: float = 60.0) -> float:
        """Wait until something is written; return the seconds since the start."""
        seen, until_s = "", time.monotonic() + timeout_s
        while time.monotonic() < until_s:
            seen = (seen + self.read(0.5))[-(1 << 16) :]
            if re.search(pattern, seen):
                return time.monotonic() - self.began_s
        raise TimeoutError(f"the dashboard never wrote {pattern!r}; last: {seen[-500:]!r}")

    def key(self, key: str, opens: str) -> tuple[float, float]:
        """Press a key and the one that leads back.

        Returns
        -------
        Seconds until what it opens was there, and how many of them the application was on a processor.
        """
        pressed_s, worked_s = time.monotonic(), self.cpu_s()
        os.write(self.terminal, key.encode())
        self.until(opens)
        taken_s, worked_s = time.monotonic() - pressed_s, self.cpu_s() - worked_s
        os.write(self.terminal, b"q")
        self.rest(0.3)
        return taken_s, worked_s

    def load(self, duration_s: float) -> tuple[float, float]:
        """Return the share of a core, and the writes a second, over so long."""
        cpu_s, writes, began_s = self.cpu_s(), self.writes, time.monotonic()
        self.rest(duration_s)
        took_s = time.monotonic() - began_s
        return (self.cpu_s() - cpu_s) / took_s, (self.writes - writes) / took_s

    def memory_mb(self) -> float:
        """Return what is resident."""
        return int(Path(f"/proc/{self.process.pid}/statm").read_text().split()[1]) * PAGE_MB

    def has_loaded(self, name: str) -> bool:
        """Whether a library's compiled parts are in memory."""
        return f"/{name}/" in Path(f"/proc/{self.process.pid}/maps").read_text()

    def cpu_s(self) -> float:
        """Return the processor time so far."""
        threads = Path(f"/proc/{self.process.pid}/task").glob("*/schedstat")
        return sum(int(thread.read_text().split()[0]) for thread in threads) * 1e-9


def _demo(home: Path, table: Path, speed: float) -> AbstractContextManager[Dashboard]:
    command = ["demo", "--motion", str(table), "--mount", "body", "--speed", str(speed)]
    return dashboard("--home", str(home), *command)


PROGRAM = (sys.executable, "-c", "from tui.cli import main; main()")


@contextmanager
def dashboard(*command: str, program: Sequence[str] = PROGRAM) -> Iterator[Dashboard]:
    """Run the program in a terminal of its own."""
    terminal, inside = pty.openpty()
    fcntl.ioctl(inside, termios.TIOCSWINSZ, struct.pack("HHHH", HEIGHT, WIDTH, 0, 0))
    began_s = time.monotonic()
    process = subprocess.Popen(
        [*program, *command],
        stdin=inside,
        stdout=inside,
        stderr=inside,
        env={**os.environ, "TERM": "xterm-256color", "COLORTERM": "truecolor"},
        start_new_session=True,
    )
    os.close(inside)
    try:
        yield Dashboard(process, terminal, began_s)
    finally:
        os.write(terminal, b"q")
        try:
            process.wait(10.0)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
        os.close(terminal)


if __name__ == "__main__":
    main()
