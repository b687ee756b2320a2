"""`rungwise replay`: what is asked of a recording, and by which way it is shown."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path

import click

from analysis.logbook.book import Logbook
from analysis.motion.mounts import Mount
from sensor.recording import Recording
from tui.book.moments import here_now
from tui.home import Home
from tui.occasion import Occasion
from tui.replay.replay import ReplayRun, as_written, recomputed_events, stored_events
from tui.retrace.room import file_enter
from tui.rooms import Library, Room, rooms_of
from tui.running import run_as_text
from tui.session.stored import encode_event
from tui.trouble import Trouble, clear_errors


def tell_replay(home: Home, named: Path, *, speed: float) -> None:
    """Tell a recorded session again as text, with the events as they were.

    Parameters
    ----------
    named
        A file, or the first letters of a session's id.
    speed
        Seconds of the recording in one real second.
    """
    with clear_errors(), Recording.open(recording_path(home, named)) as opened, as_written(opened.path):
        run_as_text(ReplayRun(opened, speed=speed, stay=False).run)


def compare_replay(home: Home, named: Path) -> None:
    """Analyse the raw packets again and say whether the events are the same; status 1 where they are not."""
    with clear_errors(), Recording.open(recording_path(home, named)) as opened, as_written(opened.path):
        _compare(opened)


def open_replay(held: ExitStack, home: Home, named: Path, mount: Mount | None, speed: float) -> Occasion:
    """Make ready the dashboard with a recording or, where it is said where the sensor sat, a table of motion."""
    path = named if mount else recording_path(home, named)
    logbook = held.enter_context(Logbook.open(home.logbook))
    library = Library(home=home, logbook=logbook, who=lambda: _last(logbook), today=lambda: here_now().date())
    here = Room("r", "replay", path.name, file_enter(library, path, mount, speed=speed))
    others = [room for room in rooms_of(library) if room.key != here.key]
    return Occasion(rooms=(*others, here), first=here.key)


def open_as_shown(held: ExitStack, home: Home, named: Path, speed: float) -> Occasion:
    """Make ready the dashboard with the live screen of a recording as it was."""
    opened = held.enter_context(Recording.open(recording_path(home, named)))
    held.enter_context(as_written(opened.path))
    replay = ReplayRun(opened, speed=speed, stay=True)
    return Occasion(replay.run, replay=replay)


def _last(logbook: Logbook) -> str:
    last = logbook.last_trainee()
    return last.name if last else ""


def recording_path(home: Home, named: Path) -> Path:
    """Return the file of a recording: itself, or the one whose session's id begins with these letters."""
    if named.exists() or named.suffix or len(named.parts) > 1:
        return named
    matches = home.recordings_of(str(named))
    if len(matches) == 1:
        return matches[0]
    if matches:
        raise Trouble(f"more than one session begins with {named}: give more letters of its id, or a file")
    raise Trouble(
        f"{named} is neither a file nor the first letters of a recorded session's id (`rungwise log` has them)"
    )


def _compare(recording: Recording) -> None:
    """Print whether a new analysis says the same; status 1 where it does not."""
    stored = [encode_event(event) for event in stored_events(recording)]
    again = [encode_event(event) for event in recomputed_events(recording)]
    broke_off = _broke_off(recording)  # then what the end of the stream causes was never said
    if stored == (again[: len(stored)] if broke_off else again):
        there = "; the recording breaks off there" if broke_off else ""
        click.echo(f"{len(stored)} events, the same to the last digit{there}")
        return
    differing = sum(one != other for one, other in zip(stored, again, strict=False)) + abs(len(stored) - len(again))
    click.echo(f"{len(stored)} events stored, {len(again)} computed now, {differing} differ")
    raise SystemExit(1)


def _broke_off(recording: Recording) -> bool:
    """Whether nobody closed the file: closing it sets an anchor after everything else."""
    return recording.anchors()[-1].at_s < recording.span_s[1]
