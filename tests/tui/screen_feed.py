"""A made-up session for the tests of the screens: snapshots of every stage. The people are invented."""

from __future__ import annotations

import asyncio
import datetime as dt
from collections.abc import Callable, Sequence

from analysis.motion.events import Phase
from analysis.motion.mounts import Mount
from analysis.training.prescription import Exercise, Prescription, Tempo
from analysis.training.verdict import Outcome, PhaseVerdict, RepVerdict, SessionVerdict, SetVerdict
from sensor.source import LinkState
from tui.rooms import Room
from tui.screens.log import LogScreen
from tui.session.control import Feed, PlayState, Span, SpanKind
from tui.session.messages import Hill, Link, Moment, Offer, SensorCheck, Snapshot, Stage
from tui.views.rows import LogRow, LogSet

EXERCISE = Exercise(
    key="low-bar-heels-down",
    name="low-bar pull-up, heels down",
    mount=Mount.BODY,
    cues=("Shoulder blades down first, then pull.", "Breathe out on the way up."),
)
PRESCRIPTION = Prescription(exercise=EXERCISE, sets=3, reps=10, tempo=Tempo(2.0, 0.0, 1.0, 1.0), rest_s=90.0)
TARGET = Hill(up_s=1.0, top_s=1.0, down_s=2.0, bottom_s=0.0)
GOOD = Link(state=LinkState.CONNECTED, sensor="clip-07", battery=82, rate_hz=100.0)
CAUTIONS = (
    "Bar locked, so that the pull draws it into the uprights; clear floor behind back and head.",
    "Pain stops the set. Dark urine, swelling, or pain out of proportion: stop and seek medical care.",
)
TOUCHED = tuple(6.0 * 0.8 ** (step - 150) if step > 150 else 0.06 for step in range(250))
"""Ten seconds in steps of 40 ms: still, touched after six, and dying away."""
FELT = SensorCheck(trace_m_s2=TOUCHED, words="Sensor good: a touch shows here.", good=True)


def hill(index: int, *, top_s: float = 1.1, outcome: Outcome | None = Outcome.MET) -> Hill:
    """Return the rep number `index` of a set that sinks and stretches a little."""
    return Hill(
        up_s=1.0 + 0.04 * index,
        top_s=top_s,
        down_s=2.1,
        bottom_s=0.4,
        height=1.0 - 0.02 * index,
        outcome=outcome,
    )


def short_hold(index: int) -> Hill:
    """Return a rep whose hold was too short."""
    return hill(index, top_s=0.4, outcome=Outcome.MISSED)


HILLS = (*(hill(index) for index in range(6)), short_hold(6))
FULL = (*HILLS, hill(7, outcome=Outcome.UNSURE), short_hold(8), hill(9))


def rep_verdict(one: Hill) -> RepVerdict:
    """Return the verdict that belongs to a hill."""
    outcome = one.outcome or Outcome.UNSURE
    direction = -1 if outcome is Outcome.MISSED else 0
    return RepVerdict((PhaseVerdict("top", one.top_s, 0.05, 1.0, outcome, direction),), outcome)


def set_verdict(hills: Sequence[Hill] = FULL, *, rest_s: float | None = None, remark: str = "") -> SetVerdict:
    """Return the verdict of a set."""
    return SetVerdict(
        count=sum(one.counted for one in hills),
        target_reps=10,
        reps=tuple(rep_verdict(one) for one in hills),
        reps_outcome=Outcome.MET,
        tempo_outcome=Outcome.MISSED,
        tut_s=41.2,
        target_tut_s=40.0,
        tut_outcome=Outcome.MET,
        rest_before_s=rest_s,
        target_rest_s=90.0,
        rest_outcome=Outcome.MET,
        outcome=Outcome.MISSED,
        remark=remark,
    )


CLOSED = (set_verdict(remark="Hold faded after rep 6."),)
THREE = (
    *CLOSED,
    set_verdict(rest_s=91.0),
    set_verdict(FULL[:8], rest_s=88.0, remark="Ended after rep 8; ending early is a valid result."),
)


def snapshot(stage: Stage, **changes: object) -> Snapshot:
    """Return a snapshot of `stage` with everything that such a one holds."""
    held: dict[str, object] = {
        "trainee": "Mara Lindt",
        "stage": stage,
        "prescription": PRESCRIPTION,
        "link": GOOD,
        "set_number": 1,
        "target": TARGET,
        "cautions": CAUTIONS,
    }
    return Snapshot(**{**held, **_OF_STAGE[stage], **changes})  # type: ignore[arg-type]


_OF_STAGE: dict[Stage, dict[str, object]] = {
    Stage.SEARCHING: {"link": Link(state=LinkState.SEARCHING)},
    Stage.READY: {"phase": Phase.AWAY, "check": FELT, "offers": frozenset({Offer.TELL_SET, Offer.MOUNT})},
    Stage.SET: {
        "count": 7,
        "hills": HILLS,
        "phase": Phase.DOWN,
        "phase_s": 1.2,
        "phase_target_s": 2.0,
        "then": Phase.UP,
        "set_number": 2,
        "closed": CLOSED,
        "cue": "hold the top",
        "offers": frozenset({Offer.DROP}),
    },
    Stage.REST: {
        "count": 10,
        "hills": FULL,
        "rest_left_s": 52.4,
        "set_number": 2,
        "closed": CLOSED,
        "offers": frozenset(Offer),
    },
    Stage.DONE: {
        "offers": frozenset({Offer.DROP}),
        "count": 8,
        "hills": FULL[:8],
        "set_number": 3,
        "closed": THREE,
        "session_verdict": SessionVerdict(
            THREE,
            Outcome.MISSED,
            ("Reps: 28 of 30.", "Rest was kept.", "To work on: hold the top for one second to the last rep."),
        ),
        "next_text": (
            "Thursday 5 March: 3 × 10, heels down, rest 90 s",
            "Same rest again: the last set ended at 8 of 10.",
        ),
    },
}
PROVISIONAL = snapshot(
    Stage.SET,
    provisional=True,
    phase=Phase.TOP,
    phase_s=1.1,
    phase_target_s=1.0,
    then=Phase.DOWN,
    cue="",
    hills=(*HILLS, Hill(up_s=1.2, top_s=1.0, down_s=None, bottom_s=None, provisional=True)),
)
SET_OVER = snapshot(
    Stage.SET,
    ended=True,
    phase=Phase.AWAY,
    phase_s=0.0,
    phase_target_s=None,
    cue="set done",
    hills=(*HILLS, Hill(up_s=None, top_s=None, down_s=None, bottom_s=None, height=0.5, counted=False)),
)
STAGES = tuple(snapshot(stage) for stage in Stage)
SHOWN = {**{str(one.stage): one for one in STAGES}, "provisional": PROVISIONAL, "set-over": SET_OVER}
"""Every live picture, by name."""


def log_rows() -> tuple[LogRow, ...]:
    """Return four sessions, newest first, the oldest entered by hand."""
    plain = LogSet(count=10, target_reps=10, target=TARGET, rest_before_s=90.0)
    sets = tuple(
        LogSet(count=verdict.count, target_reps=10, hills=hills, target=TARGET, verdict=verdict)
        for hills, verdict in zip((FULL, FULL, FULL[:8]), THREE, strict=True)
    )
    days = (dt.date(2026, 3, 2), dt.date(2026, 2, 26), dt.date(2026, 2, 23), dt.date(2026, 2, 19))
    made = [
        LogRow(
            session=f"session-{day}",
            date=day,
            trainee="Mara Lindt",
            rung="heels down",
            exercise=EXERCISE.name,
            asked="3 × 10",
            rest_s=90.0,
            done=sets if index < 3 else (plain,) * 3,
            outcome=(Outcome.MISSED, Outcome.MET, Outcome.UNSURE, None)[index],
            note="" if index < 3 else "entered by hand",
        )
        for index, day in enumerate(days)
    ]
    return tuple(made)


class Knobs:
    """A replay control that only remembers."""

    def __init__(self) -> None:
        self.spans = (
            Span(20.0, 65.0, SpanKind.SET, "1"),
            Span(65.0, 155.0, SpanKind.REST),
            Span(155.0, 200.0, SpanKind.SET, "2"),
            Span(200.0, 230.0, SpanKind.GAP),
            Span(230.0, 292.0, SpanKind.REST),
            Span(292.0, 330.0, SpanKind.SET, "3"),
        )
        self.state = PlayState(170.0, 420.0)

    def pause(self) -> None:
        self._change(playing=False)

    def resume(self) -> None:
        self._change(playing=True)

    def seek(self, position_s: float) -> None:
        self._change(position_s=position_s)

    def set_speed(self, speed: float) -> None:
        self._change(speed=speed)

    def _change(self, **new: object) -> None:
        old = self.state
        held = {"position_s": old.position_s, "duration_s": old.duration_s, "speed": old.speed, "playing": old.playing}
        self.state = PlayState(**{**held, **new})  # type: ignore[arg-type]


async def hold(feed: Feed, shown: Snapshot) -> None:
    """Show one snapshot for good."""
    feed.post_snapshot(shown)
    await asyncio.Event().wait()


async def walk(feed: Feed, step_s: float = 0.0) -> None:
    """Walk through all stages, a set rep by rep."""
    for stage in (Stage.SEARCHING, Stage.READY):
        feed.post_snapshot(snapshot(stage))
        await asyncio.sleep(step_s)
    for count in range(len(FULL) + 1):
        feed.post_moment(Moment(at_s=float(count), kind="rep", text=f"rep {count}"))
        for phase, target_s in ((Phase.UP, 1.0), (Phase.TOP, 1.0), (Phase.DOWN, 2.0)):
            for tenth in range(0, 13, 3):
                feed.post_snapshot(
                    snapshot(
                        Stage.SET,
                        count=count,
                        hills=FULL[:count],
                        phase=phase,
                        phase_s=tenth / 10 * target_s,
                        phase_target_s=target_s,
                        cue="" if count < 6 else "hold the top",
                    )
                )
                await asyncio.sleep(step_s)
    for left in (90.0, 30.0, 8.0, -4.0):
        feed.post_snapshot(snapshot(Stage.REST, rest_left_s=left))
        await asyncio.sleep(step_s)
    feed.post_snapshot(snapshot(Stage.DONE))


def log_room(read: Callable[[], Sequence[LogRow]] = log_rows) -> Room:
    """Return the room of the log, read by `read`."""

    def enter() -> Callable[[], LogScreen]:
        rows = read()
        return lambda: LogScreen(rows)

    return Room("l", "log", "what was done, set by set", enter)
