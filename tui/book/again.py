"""An old recording analysed again by the analysis of today; what was found before stays beside it."""

from __future__ import annotations

from collections.abc import Sequence
from importlib.metadata import version

from analysis.logbook.book import Logbook
from analysis.logbook.entries import AnalysisRun, RunKind
from analysis.motion.events import BoutClosed, BoutRefined, Event
from analysis.motion.in_session import IN_A_SESSION
from analysis.motion.mounts import Mount
from analysis.motion.parameters import parameters_sha
from analysis.training.prescription import Prescription
from analysis.training.records import SessionRecord, SetRecord
from analysis.training.sharing import all_sets
from sensor.recording import Recording
from tui.home import Home
from tui.replay.replay import applied_to, known_view
from tui.session.done import Done
from tui.session.track import Track, motion_for
from tui.trouble import Trouble


def analyse_again(home: Home, logbook: Logbook, record: SessionRecord) -> AnalysisRun | None:
    """Analyse a session again and write what was found as a run of its own.

    None where this analysis did it before and finds the same.

    Raises
    ------
    Trouble
        When there is no recording of it.
    """
    path = home.recording(record.session_id)
    if not path.exists():
        raise Trouble("there is no recording of this session: what was typed in, or recorded elsewhere, stays as it is")
    found = logbook.session_found(record.session_id)
    asked = record.prescription if found is None else found.prescription
    with Recording.open(path) as recording:
        done, track = _found(recording, asked)
    known = (RunKind.REANALYSIS, version("rungwise"), parameters_sha(IN_A_SESSION))
    last = logbook.runs(record.session_id)[-1:]
    if [(one.kind, one.version, one.parameters_sha) for one in last] == [known] and _same(found, done.measured):
        return None
    run = logbook.start_run(
        record.session_id,
        kind=known[0],
        version=known[1],
        parameters_sha=known[2],
        clock_ratio=track.clock.ratio,
        clock_sd_ppm=track.clock.sd_ppm,
        moment_sd_s=track.clock.moment_sd_s,
    )
    for one in done.measured:
        logbook.record_set(record.session_id, run, one)
    return logbook.runs(record.session_id)[-1]


def _same(found: SessionRecord | None, sets: Sequence[SetRecord]) -> bool:
    """Tell whether the answer in use holds the same sets of the same reps."""
    if found is None:
        return False
    there = sorted((*all_sets(found), *found.others), key=lambda one: one.start_s)
    return [(one.kind, one.reps) for one in there] == [(one.kind, one.reps) for one in sets]


def _found(recording: Recording, asked: Prescription) -> tuple[Done, Track]:
    """Fold the raw packets, in the order in which they arrived, with the calibration applied then."""
    track = Track(motion_for(Mount(recording.meta["mount"]), asked), applied_to(recording))
    done = Done(asked, known_view(recording))
    for arrival in recording.arrivals():
        _fold(track.push(arrival), track, done)
    _fold(track.finish(), track, done)
    return done, track


def _fold(events: list[Event], track: Track, done: Done) -> None:
    for event in events:
        match event:
            case BoutClosed():
                done.closed(event.bout, track.clock)
            case BoutRefined():
                done.refined(event.bout, done.superseded(event.supersedes), track.clock)
