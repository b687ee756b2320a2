"""Print how fast things are, as multiples of real time: `python -m tests.bench [--quick]`.

A packet is timed by the processor time of its thread, so that other programs on the machine do not count.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from itertools import pairwise
from pathlib import Path

import numpy as np

from analysis.motion.mounts import Mount
from analysis.motion.pipeline import Pipeline
from analysis.motion.samples import Samples
from sensor.assembly import Assembler
from sensor.protocol import Start
from sensor.source import Arrival, Channel
from sensor.table import Table
from sensor.virtual.core import SensorCore
from sensor.virtual.motion import TraineeFeed, load_motion
from sensor.virtual.script import Beat, regular_script
from tui.answer import analyse_file

PACKET_S = 0.1
MTU = 247


def main() -> None:
    """Measure and print, one line each."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="a short session, for a smoke run")
    quick = parser.parse_args().quick
    script = regular_script(
        trainee="Mara Lindt",
        sets=2 if quick else 8,
        reps=10,
        beat=Beat(1.0, 1.0, 2.0, 0.3),
        rest_s=30.0 if quick else 90.0,
    )
    feed = TraineeFeed(script, seed=7)
    motion = load_motion(feed)
    for line in _lines(feed, motion):
        print(line, flush=True)  # noqa: T201


def _lines(feed: TraineeFeed, motion: Table) -> Iterator[str]:
    duration_s = float(motion.t_s[-1] - motion.t_s[0])
    yield f"a virtual session of {duration_s:.0f} s, 6 axes at {feed.rate_hz:g} Hz; each figure from one run"
    samples = Samples(motion.t_s, motion.force_m_s2, motion.rate_rad_s)
    yield f"offline analysis           {duration_s / _offline_s(samples):8.0f} × real time"
    yield f"reading and analysing CSV  {duration_s / _file_s(motion):8.0f} × real time"
    pushes = _push_s(samples)
    p50, p99 = np.percentile(pushes, [50, 99])
    yield f"live push                  {duration_s / pushes.sum():8.0f} × real time"
    yield f"  per packet of {PACKET_S:g} s      p50 {p50 * 1e3:.2f} ms, p99 {p99 * 1e3:.2f} ms"
    yield f"  a packet's duration      {PACKET_S / p50:8.0f} × its p50, {PACKET_S / p99:.0f} × its p99"
    yield f"decoding and assembly      {duration_s / _decode_s(feed):8.0f} × real time"
    yield f"rungwise --help            {1e3 * _help_s():8.0f} ms"


def _timed(work: Callable[[], object]) -> float:
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


def _offline_s(samples: Samples) -> float:
    pipeline = Pipeline(Mount.BODY, live=False)
    return _timed(lambda: (pipeline.push(samples), pipeline.finish()))


def _file_s(motion: Table) -> float:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "session.csv"
        rate = np.zeros_like(motion.force_m_s2) if motion.rate_rad_s is None else motion.rate_rad_s
        table = np.column_stack([motion.t_s, motion.force_m_s2 / 9.80665, np.degrees(rate)])
        header = "t_s,ax_g,ay_g,az_g,gx_dps,gy_dps,gz_dps"
        np.savetxt(path, table, fmt="%.5f", delimiter=",", header=header, comments="")
        return _timed(lambda: analyse_file(path, Mount.BODY))


def _push_s(samples: Samples) -> np.ndarray:
    pipeline = Pipeline(Mount.BODY)
    edges = np.searchsorted(samples.t_s, np.arange(samples.t_s[0], samples.t_s[-1] + PACKET_S, PACKET_S))
    taken = []
    for start, stop in pairwise(edges):
        rate = None if samples.rate_rad_s is None else samples.rate_rad_s[start:stop]
        packet = Samples(samples.t_s[start:stop], samples.force_m_s2[start:stop], rate)
        began = time.thread_time()
        pipeline.push(packet)
        taken.append(time.thread_time() - began)
    return np.array(taken)


def _decode_s(feed: TraineeFeed) -> float:
    core = SensorCore(feed, boot_id=1)
    core.take(Start(), 0.0, MTU)
    payloads = core.due(1e6)
    assembler = Assembler("bench")
    assembler.push(Arrival("bench", 0.0, Channel.INFO, bytes(core.info)))

    def decode() -> None:
        for payload in payloads:
            assembler.push(Arrival("bench", 0.0, Channel.DATA, payload))

    return _timed(decode)


def _help_s() -> float:
    command = [sys.executable, "-c", "from tui.cli import main; main(['--help'])"]
    return min(_timed(lambda: subprocess.run(command, check=True, capture_output=True)) for _ in range(3))


if __name__ == "__main__":
    main()
