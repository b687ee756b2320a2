"""A recorded session as a replay shows it: first what was counted, then, beside the screen, the motion."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from uuid import UUID

import numpy as np

from analysis.logbook.book import Logbook
from analysis.motion.events import Event
from analysis.motion.mounts import Mount
from analysis.motion.samples import Samples
from analysis.training.prescription import Prescription
from analysis.training.records import SessionRecord, SetRecord
from analysis.training.sets import group_bouts, judged
from analysis.training.statements import standing_notes
from analysis.training.words import day
from sensor.assembly import Assembler, Block
from sensor.recording import Recording
from sensor.recording_file import RecordingError
from sensor.source import Channel
from tui.book.motion_out import recorded_blocks
from tui.home import day_of
from tui.replay.replay import known_view, stored_events
from tui.replay.spans import standing_bouts
from tui.retrace.built import faults_of, set_of_record, unmeasurable_in
from tui.retrace.live import Live, live_of
from tui.retrace.signals import Load, Signals
from tui.retrace.view import LEAST_S, Note, RetraceView, SeenSet
from tui.session.board import UNKNOWN_CLOCK
from tui.session.done import true_time
from tui.session.stored import prescription_from_json
from tui.views.hills import target_hill
from tui.words.format import prescription_line


@dataclass(frozen=True, slots=True)
class Opened:
    """A replay to be: what is known at once, and what is read beside the screen.

    Attributes
    ----------
    load
        Reads the motion.
    record
        The session in the logbook, where it is there.
    live
        Works out what would have been told live, where nobody was told; None where the view has it.
    """

    view: RetraceView
    load: Load
    live: Callable[[], Live] | None = None
    record: SessionRecord | None = None


def recorded(path: Path, logbook: Logbook | None = None) -> Opened:
    """Read a recording; of a session in the logbook the sets are as that answers now, corrections included.

    Raises
    ------
    sensor.recording.RecordingError
        When it is no recording, or holds no motion.
    """
    with Recording.open(path) as recording:
        start_s, end_s = _span(recording)
        events = stored_events(recording)
        record = logbook.session(recording.session_id) if logbook else None
        names = {one.id: one.name for one in logbook.trainees()} if logbook else {}
        asked = prescription_from_json(recording.meta["prescription"])
        sets = _sets(record) if record else _judged(recording, events, asked)
        view = RetraceView(
            who=recording.meta.get("trainee", ""),
            title=_title(recording, record),
            asked=prescription_line(asked),
            start_s=start_s,
            end_s=max(end_s, *(one.end_s for one in sets), start_s + LEAST_S),
            target=target_hill(asked) if asked.sets else None,
            sets=tuple(set_of_record(done, asked, _other(done, record, names)) for done in sets),
            live=live_of(events),
            faults=faults_of(unmeasurable_in(events)),
            notes=notes_of(logbook, record) if logbook and record else (),
        )
        mount = Mount(recording.meta["mount"])
    return Opened(view, lambda: _motion(path, mount, sets), record=record)


def _span(recording: Recording) -> tuple[float, float]:
    """Return when the motion begins and, as far as the arrivals tell, ends; without reading all of it."""
    assembler: Assembler | None = None
    for arrival in recording.arrivals():
        if assembler is None and arrival.channel is Channel.INFO:
            assembler = Assembler(arrival.sensor_id)
        if assembler is None or arrival.sensor_id != assembler.sensor_id:
            continue
        for item in assembler.push(arrival):
            if isinstance(item, Block):
                start_s = float(item.t_s[0])
                return start_s, start_s + recording.span_s[1] - item.arrival_s
    raise RecordingError(f"{recording.path}: holds no motion; the session ended before a sensor was found")


def _title(recording: Recording, record: SessionRecord | None) -> str:
    when = record.day if record else day_of(recording.anchors()[0].utc_us)
    return " · ".join(part for part in (recording.meta.get("trainee", ""), day(when)) if part)


def _other(done: SetRecord, record: SessionRecord | None, names: Mapping[UUID, str]) -> str:
    """Return whose a set is, where two shared the bar and it is not the session's own trainee's; else nothing."""
    whose = done.trainee
    return names.get(whose, "somebody else") if record and whose and whose != record.trainee else ""


def seen_sets(record: SessionRecord) -> tuple[SeenSet, ...]:
    """Return the sets of a session's own trainee as they answer now."""
    return tuple(set_of_record(done, record.prescription) for done in record.sets)


def notes_of(logbook: Logbook, record: SessionRecord) -> tuple[Note, ...]:
    """Return what was noted beside a session and stands, in order of its time."""
    stands = standing_notes(logbook.statements(record.trainee), str(record.session_id))
    return tuple(Note(one.at_s, one.text, one.by, day(one.day)) for one in stands)


def _sets(record: SessionRecord) -> Sequence[SetRecord]:
    every = [*record.sets, *record.partners, *record.warm_ups, *record.others]
    return sorted(every, key=lambda one: one.start_s)


def _judged(recording: Recording, events: Sequence[Event], asked: Prescription) -> Sequence[SetRecord]:
    """Return the sets that the stored events give, judged at once; the clock is not known better than its own."""
    groups = group_bouts(standing_bouts(events), asked, ())
    clock, view = true_time(UNKNOWN_CLOCK), known_view(recording)
    return [judged(group, asked, clock, view) for group in groups]


def _motion(path: Path, mount: Mount, sets: Sequence[SetRecord]) -> Signals:
    with Recording.open(path) as recording:
        samples = _samples(list(recorded_blocks(recording)))
    return Signals(samples, mount, [(one.start_s, one.end_s, one.reps) for one in sets]).read_sets()


def _samples(blocks: Sequence[Block]) -> Samples:
    turning = all(block.rate_rad_s is not None for block in blocks)
    rates = [block.rate_rad_s for block in blocks if block.rate_rad_s is not None]
    return Samples(
        np.concatenate([block.t_s for block in blocks]),
        np.concatenate([block.force_m_s2 for block in blocks]),
        np.concatenate(rates) if turning else None,
    )
