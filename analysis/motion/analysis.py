"""A whole recording at once: the pipeline run to its end, and what it found as one frozen result."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from analysis.motion.events import BoutClosed, BoutRefined, Event, RepConfirmed, RepProvisional, SpanUnmeasurable
from analysis.motion.mounts import Mount
from analysis.motion.parameters import DEFAULTS, Parameters, parameters_sha
from analysis.motion.pipeline import Pipeline
from analysis.motion.results import Bout, Gap, Hold, Rep, Unmeasurable
from analysis.motion.samples import Samples

PACKET_S = 0.1
"""Length of the packets in which `analyse(live=True)` pushes, seconds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Analysis:
    """What a recording holds.

    Attributes
    ----------
    kind
        "refined" (both directions of time) or "live" (the answer as it stood when each set closed).
    sets
        Bouts of at least `SetParameters.least_reps` alike reps, and those that were seen but not measured.
    holds
        Isometric holds without reps.
    axes
        3 without, 6 with a gyro.
    """

    kind: str
    parameters_sha: str
    axes: int
    sample_rate_hz: float
    duration_s: float
    sets: tuple[Bout, ...]
    holds: tuple[Hold, ...]
    unmeasurable: tuple[Unmeasurable, ...]
    gaps: tuple[Gap, ...]


def analyse(
    samples: Samples,
    mount: Mount,
    *,
    live: bool = False,
    packet_s: float | None = None,
    parameters: Parameters = DEFAULTS,
) -> Analysis:
    """Analyse a whole recording.

    Parameters
    ----------
    live
        Push in packets and give the live answer; `provisional_s` and `emitted_s` of a rep are then the time of the last
        sample of the packet that first announced, and that confirmed, it.
    packet_s
        Length of a packet, seconds; default .1, or one sample if that is longer.
    """
    pipeline = Pipeline(mount, parameters=parameters, live=live)
    sets, spans = _live(pipeline, samples, packet_s or PACKET_S) if live else _refined(pipeline, samples)
    n = len(samples)
    steps = np.diff(samples.t_s)
    step_s = float(np.median(steps)) if n > 1 else 0.0
    holes = np.flatnonzero(steps > max(parameters.grid.hole_s, 2.5 * step_s)).tolist()
    return Analysis(
        kind="live" if live else "refined",
        parameters_sha=parameters_sha(parameters),
        axes=3 if samples.rate_rad_s is None else 6,
        sample_rate_hz=1.0 / step_s if step_s else 0.0,
        duration_s=float(samples.t_s[-1] - samples.t_s[0]) if n else 0.0,
        sets=tuple(b for b in sets if b.count >= parameters.sets.least_reps or not b.measured),
        holds=tuple(h for b in sets for h in b.holds),
        unmeasurable=tuple(spans),
        gaps=tuple(Gap(float(samples.t_s[i]), float(samples.t_s[i + 1])) for i in holes),
    )


def _refined(pipeline: Pipeline, samples: Samples) -> tuple[list[Bout], list[Unmeasurable]]:
    events = [*pipeline.push(samples), *pipeline.finish()]
    bouts = [e.bout for e in events if isinstance(e, BoutRefined)]
    return bouts, [e.span for e in events if isinstance(e, SpanUnmeasurable)]


def _live(pipeline: Pipeline, samples: Samples, packet_s: float) -> tuple[list[Bout], list[Unmeasurable]]:
    announced: dict[tuple[int, float], float] = {}
    confirmed: dict[tuple[int, float], float] = {}
    bouts: list[Bout] = []
    spans: list[Unmeasurable] = []
    for packet_end_s, events in _packets(pipeline, samples, packet_s):
        for event in events:
            match event:
                case RepProvisional():
                    announced[event.id.bout, event.emitted_s] = packet_end_s
                case RepConfirmed():
                    confirmed[event.id.bout, event.emitted_s] = packet_end_s
                case BoutClosed(bout=bout):
                    bouts.append(
                        replace(bout, reps=tuple(_stamped(r, bout.number, announced, confirmed) for r in bout.reps))
                    )
                case SpanUnmeasurable(span=span):
                    spans.append(span)
                case _:
                    pass
    return bouts, spans


def _stamped(
    rep: Rep, bout: int, announced: dict[tuple[int, float], float], confirmed: dict[tuple[int, float], float]
) -> Rep:
    first = announced.get((bout, rep.provisional_s or 0.0), rep.provisional_s)
    return replace(rep, provisional_s=first, emitted_s=confirmed.get((bout, rep.emitted_s or 0.0), rep.emitted_s))


def _packets(pipeline: Pipeline, samples: Samples, packet_s: float) -> Iterator[tuple[float, list[Event]]]:
    if not len(samples):
        return
    number = np.floor((samples.t_s - samples.t_s[0]) / packet_s).astype(int)
    cuts = [0, *(np.flatnonzero(np.diff(number)) + 1).tolist(), len(samples)]
    for a, b in pairwise(cuts):
        rate = None if samples.rate_rad_s is None else samples.rate_rad_s[a:b]
        yield float(samples.t_s[b - 1]), pipeline.push(Samples(samples.t_s[a:b], samples.force_m_s2[a:b], rate))
    yield float(samples.t_s[-1]), pipeline.finish()
