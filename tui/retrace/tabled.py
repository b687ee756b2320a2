"""A file of motion as a replay shows it: seen whole, and, beside the screen, as it would have been told live."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import numpy as np

from analysis.motion.analysis import PACKET_S, analyse
from analysis.motion.events import Event
from analysis.motion.mounts import Mount
from analysis.motion.pipeline import Pipeline
from analysis.motion.samples import Samples
from tui.answer import samples_of
from tui.retrace.built import faults_of, set_of_bout
from tui.retrace.live import live_of
from tui.retrace.recorded import Opened
from tui.retrace.signals import Signals
from tui.retrace.view import LEAST_S, RetraceView


def tabled(path: Path, mount: Mount) -> Opened:
    """Read and analyse a table of motion.

    Raises
    ------
    sensor.table.TableError
        When the file cannot be read as a table of motion.
    """
    samples, told = samples_of(path)
    found = analyse(samples, mount)
    view = RetraceView(
        who="",
        title=path.name,
        asked=told or f"mount {mount.value}, {found.axes} axes at {found.sample_rate_hz:.1f} Hz",
        start_s=float(samples.t_s[0]),
        end_s=max(float(samples.t_s[-1]), float(samples.t_s[0]) + LEAST_S),
        target=None,
        sets=tuple(set_of_bout(number, bout) for number, bout in enumerate(found.sets, start=1)),
        faults=faults_of(found.unmeasurable),
    )
    spans = [(bout.start_s, bout.end_s, bout.reps) for bout in found.sets]
    return Opened(
        view, lambda: Signals(samples, mount, spans).read_sets(), lambda: live_of(live_events(samples, mount))
    )


def live_events(samples: Samples, mount: Mount) -> Iterator[Event]:
    """Yield the events as a sensor that sends ten times a second would have caused them."""
    pipeline = Pipeline(mount)
    edges = np.arange(samples.t_s[0], samples.t_s[-1] + 2 * PACKET_S, PACKET_S)
    for start, stop in pairwise(np.searchsorted(samples.t_s, edges).tolist()):
        rate = None if samples.rate_rad_s is None else samples.rate_rad_s[start:stop]
        yield from pipeline.push(Samples(samples.t_s[start:stop], samples.force_m_s2[start:stop], rate))
    yield from pipeline.finish()
