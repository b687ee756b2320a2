"""A made-up session for the tests of the replay: two sets, one rep taken back live, one found only afterwards."""

from __future__ import annotations

import numpy as np

from analysis.motion.events import Phase
from analysis.motion.mounts import Mount
from analysis.motion.results import Rep, TimingSd
from analysis.motion.samples import Samples
from analysis.training.verdict import Outcome
from tui.retrace.live import Live, LiveCount, LivePhase, LiveRep, LiveState
from tui.retrace.recorded import Opened
from tui.retrace.signals import Signals
from tui.retrace.view import Edge, Fault, Note, RetraceView, SeenRep, SeenSet
from tui.session.messages import Hill

TARGET = Hill(up_s=1.0, top_s=1.0, down_s=2.0, bottom_s=0.0)
REP_S = 4.5
FIRST_S, SECOND_S = 10.0, 60.0
RATE_HZ = 50.0


def motion_rep(start_s: float) -> Rep:
    """Return a rep of 1 s up, 1 s hold, 2 s down and half a second below."""
    return Rep(
        start_s=start_s,
        top_s=start_s + 1.0,
        down_s=start_s + 2.0,
        end_s=start_s + 4.0,
        hold_top_s=1.0,
        bottom_pause_s=0.5,
        travel_m=0.4,
        timing_sd=TimingSd(0.03, 0.03, 0.05, 0.05),
    )


def seen_rep(
    number: int, start_s: float, *, down_s: float = 2.0, sd_s: float | None = 0.03, outcome: Outcome = Outcome.MET
) -> SeenRep:
    """Return the rep as a replay shows it."""
    edges = ((Phase.UP, 0.0), (Phase.TOP, 1.0), (Phase.DOWN, 2.0), (Phase.BOTTOM, 2.0 + down_s))
    return SeenRep(
        number=number,
        start_s=start_s,
        end_s=start_s + 2.0 + down_s,
        until_s=start_s + REP_S,
        hill=Hill(up_s=1.0, top_s=1.0, down_s=down_s, bottom_s=REP_S - 2.0 - down_s, outcome=outcome),
        edges=tuple(Edge(step, start_s + at_s, sd_s) for step, at_s in edges),
        outcome=outcome,
        words=f"rep {number}  up 1.0  top 1.0  down {down_s:.1f}  {outcome}",
    )


def seen_set(
    label: str, start_s: float, count: int, *, down_s: float = 2.0, exercise: str = "low-bar pull-up"
) -> SeenSet:
    """Return a set of equal reps, its last one hurried."""
    reps = [seen_rep(index + 1, start_s + index * REP_S, down_s=down_s) for index in range(count - 1)]
    last = seen_rep(count, start_s + (count - 1) * REP_S, down_s=0.8, outcome=Outcome.MISSED)
    return SeenSet(
        label=label,
        start_s=start_s,
        end_s=last.end_s,
        reps=(*reps, last),
        words=f"set {label}: {count} of {count} · tempo missed",
        exercise=exercise,
    )


def live_rep(count: int, start_s: float, state: LiveState = LiveState.COUNTED, why: str = "") -> LiveRep:
    """Return the rep as it was told live, its end a tenth of a second early; one taken back was never counted."""
    told_s = start_s + 4.3
    return LiveRep(
        count=count,
        start_s=start_s,
        top_s=start_s + 1.0,
        down_s=start_s + 2.0 if state is LiveState.COUNTED else None,
        end_s=start_s + (3.9 if state is LiveState.COUNTED else 1.0),
        announced_s=start_s + 1.4,
        counted_s=told_s if state is LiveState.COUNTED else None,
        withdrawn_s=told_s if state is LiveState.WITHDRAWN else None,
        why=why,
    )


def live_phases(start_s: float) -> tuple[LivePhase, ...]:
    """Return the phases of a rep as they were told: the lowering a second late, the others sooner."""
    steps = ((Phase.UP, 0.0, 0.2), (Phase.TOP, 1.0, 0.4), (Phase.DOWN, 2.0, 1.0), (Phase.BOTTOM, 3.9, 0.4))
    return tuple(LivePhase(step, start_s + at_s, start_s + at_s + late_s) for step, at_s, late_s in steps)


def live_counts(start_s: float, reps: int) -> tuple[LiveCount, ...]:
    """Return the counts of a set of so many reps as they were told."""
    starts = [start_s + number * REP_S for number in range(reps)]
    told = [
        one
        for number, at_s in enumerate(starts)
        for one in (LiveCount(at_s + 1.4, number, top_told=True), LiveCount(at_s + 4.3, number + 1))
    ]
    return (LiveCount(start_s + 0.2, 0), *told, LiveCount(starts[-1] + 8.0, reps, going=False))


SETS = (seen_set("1", FIRST_S, 4), seen_set("2", SECOND_S, 5))
LIVES = (
    *(live_rep(number, FIRST_S + (number - 1) * REP_S) for number in (1, 2, 3)),
    live_rep(4, FIRST_S + 3 * REP_S),
    live_rep(5, 30.0, LiveState.WITHDRAWN, "it never came down"),
    *(live_rep(number, SECOND_S + (number - 1) * REP_S) for number in (1, 2, 3, 4)),
)
LIVE = Live(
    reps=LIVES,
    phases=tuple(one for rep in LIVES for one in live_phases(rep.start_s)),
    counts=(*live_counts(FIRST_S, 4), *live_counts(SECOND_S, 4)),
    refined_s=(FIRST_S + 4 * REP_S + 6.0, SECOND_S + 5 * REP_S + 6.0),
)
NOTES = (Note(FIRST_S + REP_S + 1.0, "elbows wide", "Katrin Vogt", "Mon 2 March 2026"),)


def view(**changes: object) -> RetraceView:
    """Return the view of the whole session, 100 s long."""
    held: dict[str, object] = {
        "who": "Mara Lindt",
        "title": "Mara Lindt · Mon 2 March 2026",
        "asked": "low-bar pull-up, heels down · 2 × 5 · up 1 · top 1 · down 2 · bottom 0 · rest 30 s",
        "start_s": 0.0,
        "end_s": 100.0,
        "target": TARGET,
        "sets": SETS,
        "live": LIVE,
        "faults": (Fault(40.0, 46.0, "not measurable: packets were lost"),),
        "notes": NOTES,
    }
    return RetraceView(**{**held, **changes})  # type: ignore[arg-type]


def _height_m(t_s: np.ndarray) -> np.ndarray:
    """Height that moves as the reps of `SETS` do, each way half a cosine."""
    height = np.zeros_like(t_s)
    for rep in (rep for one in SETS for rep in one.reps):
        up, top, down, bottom = (edge.at_s for edge in rep.edges)
        rising = (t_s >= up) & (t_s < top)
        height[rising] = 0.2 * (1 - np.cos(np.pi * (t_s[rising] - up) / (top - up)))
        height[(t_s >= top) & (t_s < down)] = 0.4
        falling = (t_s >= down) & (t_s < bottom)
        height[falling] = 0.2 * (1 + np.cos(np.pi * (t_s[falling] - down) / (bottom - down)))
    return height


def samples() -> Samples:
    """Return what a sensor reads: gravity and the second derivative of that height; nothing from 40 to 46 s."""
    t_s = np.arange(0.0, 100.0, 1 / RATE_HZ)
    lift = np.gradient(np.gradient(_height_m(t_s), t_s), t_s)
    force = np.column_stack([np.zeros_like(t_s), np.zeros_like(t_s), 9.80665 + lift])
    there = (t_s < 40.0) | (t_s > 46.0)
    return Samples(t_s[there], force[there])


def signals() -> Signals:
    """Return that motion with the sets in it."""
    spans = [(one.start_s, one.end_s, tuple(motion_rep(rep.start_s) for rep in one.reps)) for one in SETS]
    return Signals(samples(), Mount.BODY, spans).read_sets()


def opened() -> Opened:
    """Return what a replay screen takes."""
    return Opened(view(faults=()), signals)
