"""From sets, events and faults to what a replay shows; pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from analysis.motion.events import Event, Phase, SpanUnmeasurable
from analysis.motion.results import Bout, Rep, Unmeasurable
from analysis.training.holds import EDGE_SD_S
from analysis.training.prescription import Prescription
from analysis.training.records import SetRecord
from analysis.training.superset import SetKind
from analysis.training.verdict import RepVerdict
from analysis.training.words import WHY_WORDS
from tui.retrace.view import Edge, Fault, SeenRep, SeenSet
from tui.session.messages import Hill
from tui.views.hills import hold_hill, rep_hills, set_hills
from tui.widgets.labels import set_line
from tui.words.format import rep_line

_KINDS = {SetKind.PARTNER: "partner", SetKind.WARM_UP: "warm-up"}


def set_of_record(done: SetRecord, asked: Prescription, whose: str = "") -> SeenSet:
    """Return a set of the log, as it answers now.

    Parameters
    ----------
    asked
        What was asked in its session.
    whose
        Names somebody who shared the bar.
    """
    verdicts = done.verdict.reps or (None,) * len(done.reps)
    kind = _KINDS.get(done.kind, "")
    held_s = done.verdict.tut_s if done.verdict.held else None
    return SeenSet(
        label=" ".join(part for part in (whose, kind, str(done.number)) if part),
        start_s=done.start_s,
        end_s=done.end_s,
        reps=_reps(done.reps, set_hills(done), verdicts) if held_s is None else (_hold(done),),
        words=f"{kind} {done.number}: {done.verdict.count}" if kind else set_line(done.number, done.verdict),
        exercise=" ".join(part for part in (whose, kind, _exercise(done, asked)) if part),
        measured=done.measured,
        held_s=held_s,
    )


def _hold(done: SetRecord) -> SeenRep:
    """Return a hold as a rep of which only the top is known; its set says in words what it was."""
    edges = (Edge(Phase.TOP, done.start_s, EDGE_SD_S), Edge(Phase.BOTTOM, done.end_s, EDGE_SD_S))
    return SeenRep(
        number=1,
        start_s=done.start_s,
        end_s=done.end_s,
        until_s=done.end_s,
        hill=hold_hill(done.verdict),
        edges=edges,
        outcome=done.verdict.outcome,
        words="",
    )


def _exercise(done: SetRecord, asked: Prescription) -> str:
    if done.given and done.given.prescription:
        asked = done.given.prescription
    partner = asked.partner if done.kind is SetKind.PARTNER else None
    return (partner or asked.exercise).name


def set_of_bout(number: int, bout: Bout) -> SeenSet:
    """Return a set of a file, which nobody prescribed."""
    none = (None,) * len(bout.reps)
    doubt = "" if bout.measured or bout.why is None else f" · not to be relied on: {WHY_WORDS[bout.why]}"
    return SeenSet(
        label=str(number),
        start_s=bout.start_s,
        end_s=bout.end_s,
        reps=_reps(bout.reps, rep_hills(bout.reps, none), none),
        words=f"set {number}: {bout.count} reps{doubt}",
        measured=bout.measured,
    )


def _reps(reps: Sequence[Rep], hills: Sequence[Hill], verdicts: Sequence[RepVerdict | None]) -> tuple[SeenRep, ...]:
    return tuple(
        SeenRep(
            number=number,
            start_s=rep.start_s,
            end_s=rep.end_s,
            until_s=rep.end_s + (rep.bottom_pause_s or 0.0),
            hill=hill,
            edges=tuple(_edges(rep)),
            outcome=verdict.outcome if verdict else None,
            words=rep_line(number, rep, verdict),
        )
        for number, (rep, hill, verdict) in enumerate(zip(reps, hills, verdicts, strict=True), start=1)
    )


def _edges(rep: Rep) -> Iterator[Edge]:
    sd = rep.timing_sd
    boundaries = (
        (Phase.UP, rep.start_s, sd.start_s),
        (Phase.TOP, rep.top_s, sd.top_s),
        (Phase.DOWN, rep.down_s, sd.down_s),
        (Phase.BOTTOM, rep.end_s, sd.end_s),
    )
    yield from (Edge(step, at_s, sd_s) for step, at_s, sd_s in boundaries if at_s is not None)


def faults_of(spans: Iterable[Unmeasurable]) -> tuple[Fault, ...]:
    """Return what could not be measured."""
    return tuple(Fault(span.start_s, span.end_s, f"not measurable: {WHY_WORDS[span.why]}") for span in spans)


def unmeasurable_in(events: Iterable[Event]) -> tuple[Unmeasurable, ...]:
    """Return the stretches of which nothing can be said."""
    return tuple(event.span for event in events if isinstance(event, SpanUnmeasurable))
