"""Reps, sets and sessions as they would have been measured, for the tests of training and logbook."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime
from uuid import UUID, uuid5

from analysis.motion.mounts import Mount
from analysis.motion.results import Bout, Rep, RepKind, TimingSd
from analysis.training.judge import judge_session, judge_set
from analysis.training.ladder import Ladder, Position
from analysis.training.prescription import Grip, Prescription, Tempo
from analysis.training.records import SessionRecord, SetRecord

SPACE = UUID("6f1f3b1e-6b9b-4c58-9d4e-1f6a0c3f8a11")
TRAINEE = uuid5(SPACE, "recruit")


def make_rep(
    start_s: float = 0.0,
    *,
    up_s: float = 1.0,
    top_s: float = 0.0,
    down_s: float = 1.0,
    bottom_s: float | None = None,
    sd_s: float | None = 0.02,
    kind: RepKind = RepKind.FULL,
    half_s: float | None = None,
) -> Rep:
    top = start_s + up_s
    down = top + top_s + (half_s or 0.0)
    return Rep(
        start_s=start_s,
        top_s=top,
        down_s=down,
        end_s=down + down_s,
        kind=kind,
        hold_top_s=top_s,
        bottom_pause_s=bottom_s,
        half_pause_s=half_s,
        timing_sd=TimingSd(sd_s, sd_s, sd_s, sd_s),
    )


def make_reps(
    count: int,
    *,
    start_s: float = 0.0,
    up_s: float = 1.0,
    top_s: float = 0.0,
    down_s: float = 1.0,
    pause_s: float = 0.3,
    sd_s: float | None = 0.02,
    half_s: float | None = None,
) -> list[Rep]:
    reps = []
    kind = RepKind.FULL if half_s is None else RepKind.ONE_AND_HALF
    for number in range(count):
        bottom = pause_s if number + 1 < count else None
        rep = make_rep(
            start_s, up_s=up_s, top_s=top_s, down_s=down_s, bottom_s=bottom, sd_s=sd_s, kind=kind, half_s=half_s
        )
        reps.append(rep)
        start_s = reps[-1].end_s + pause_s
    return reps


def make_bout(number: int, reps: Sequence[Rep], *, measured: bool = True) -> Bout:
    return Bout(number=number, start_s=reps[0].start_s, end_s=reps[-1].end_s, reps=tuple(reps), measured=measured)


def reps_for(
    prescription: Prescription, *, count: int | None = None, start_s: float = 0.0, **off: float | None
) -> list[Rep]:
    """Reps exactly as prescribed, except for what `off` says."""
    tempo: Tempo = prescription.tempo
    as_asked = {
        "up_s": 1.0 if tempo.up_s is None else tempo.up_s,
        "top_s": tempo.top_s,
        "down_s": tempo.down_s,
        "half_s": prescription.half_pause_s,
    }
    return make_reps(prescription.reps if count is None else count, start_s=start_s, **{**as_asked, **off})


def make_set(
    prescription: Prescription,
    number: int = 1,
    *,
    rest_s: float | None = None,
    count: int | None = None,
    measured: bool = True,
    **off: float,
) -> SetRecord:
    reps = reps_for(prescription, count=count, start_s=200.0 * number, **off)
    verdict = judge_set(reps, prescription, rest_before_s=rest_s, measured=measured)
    return SetRecord(
        number=number,
        bouts=(number - 1,),
        start_s=reps[0].start_s,
        end_s=reps[-1].end_s,
        reps=tuple(reps),
        measured=measured,
        why=None,
        rest_before_s=rest_s,
        verdict=verdict,
    )


def utc_us(day: date, hour: int = 18) -> int:
    return round(datetime(day.year, day.month, day.day, hour, tzinfo=UTC).timestamp() * 1e6)


def make_session(
    day: date,
    ladder: Ladder,
    position: Position,
    *,
    counts: Sequence[int | None] = (None, None, None),
    grip: Grip = Grip.PRONATED,
    **changes: object,
) -> SessionRecord:
    """A session as the ladder asks for it; `counts` and `changes` (of each set) say what was otherwise."""
    rung = ladder.rungs[position.rung]
    prescription = ladder.prescription(position, grip)
    rest = changes.pop("rest_s", prescription.rest_s)
    sets = tuple(
        make_set(prescription, n, rest_s=None if n == 1 else rest, count=count, **changes)  # type: ignore[arg-type]
        for n, count in enumerate(counts, start=1)
    )
    return SessionRecord(
        session_id=uuid5(SPACE, f"{day} {position}"),
        trainee=TRAINEE,
        day=day,
        started_utc_us=utc_us(day),
        ended_utc_us=utc_us(day, 19),
        rung=rung.key,
        prescription=prescription,
        mount=Mount.BODY,
        sensor="sensor",
        recording="",
        sets=sets,
        verdict=judge_session([one.verdict for one in sets], prescription),
        method=position.method,
    )


def make_test(day: date, asked: Prescription, rung: str, **off: object) -> SessionRecord:
    """A clean-rep test as it is asked for, of a dozen reps; `off` says what was otherwise."""
    done = make_set(asked, **{"count": 12, **off})  # type: ignore[arg-type]
    return SessionRecord(
        session_id=uuid5(SPACE, f"{day} test"),
        trainee=TRAINEE,
        day=day,
        started_utc_us=utc_us(day),
        ended_utc_us=utc_us(day, 19),
        rung=rung,
        prescription=asked,
        mount=Mount.BODY,
        sensor="sensor",
        recording="",
        sets=(done,),
        verdict=judge_session([done.verdict], asked),
    )


def with_sd(rep: Rep, sd_s: float) -> Rep:
    return replace(rep, timing_sd=TimingSd(sd_s, sd_s, sd_s, sd_s))
