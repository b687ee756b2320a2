"""`rungwise replay`: what is asked of a recording, and by which way it is shown."""

from __future__ import annotations

from pathlib import Path

import click

from analysis.logbook.book import Logbook
from analysis.motion.mounts import Mount
from sensor.recording import Recording
from tui.book.moments import here_now
from tui.home import Home
from tui.replay import ReplayRun, as_written, recomputed_events, stored_events
from tui.retrace.room import file_enter
from tui.rooms import Library, Room, rooms_of
from tui.running import run_as_text, run_in_dashboard, wants_text
from tui.stored import encode_event
from tui.trouble import Trouble, clear_errors


def run_replay(
    folder: Path, recording: Path, *, speed: float, headless: bool, recompute: bool, as_shown: bool, mount: Mount | None
) -> None:
    """Open the replay of a recording or of a table of motion, play it as text, or compare it with a new analysis.

    Parameters
    ----------
    folder
        Home, where a session's id is looked up.
    recording
        A file, the first letters of a session's id, or with `mount` a table of motion.
    speed
        Seconds of the recording in one real second.
    headless
        Print text.
    recompute
        Analyse the raw packets again and say whether the events are the same.
    as_shown
        Show the live screen as it was then.
    mount
        Where the sensor of a table sat; None for a recording.
    """
    home = Home(folder)
    if mount is not None:
        _check_screen(headless)
        _open(home, recording, mount, speed)
        return
    path = recording_path(home, recording)
    if not (recompute or as_shown or wants_text(headless)):
        _open(home, path, None, speed)
        return
    with clear_errors(), Recording.open(path) as opened, as_written(opened.path):
        if recompute:
            _compare(opened)
        elif wants_text(headless):
            run_as_text(ReplayRun(opened, speed=speed, stay=False).run)
        else:
            replay = ReplayRun(opened, speed=speed, stay=True)
            run_in_dashboard(replay.run, home=home, replay=replay)


def _check_screen(headless: bool) -> None:
    if wants_text(headless):
        raise Trouble("A table of motion is replayed on a screen; `rungwise analyse` prints what is in it")


def _open(home: Home, named: Path, mount: Mount | None, speed: float) -> None:
    """Open the dashboard in the replay."""
    with clear_errors(), Logbook.open(home.logbook) as logbook:
        library = Library(home=home, logbook=logbook, who=lambda: _last(logbook), today=lambda: here_now().date())
        here = Room("r", "replay", named.name, file_enter(library, named, mount, speed=speed))
        others = [room for room in rooms_of(library) if room.key != here.key]
        run_in_dashboard(None, home=home, rooms=[*others, here], first=here.key)


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
    many = "more than one session begins" if matches else "no recorded session begins"
    raise Trouble(f"{many} with {named}: give more letters of the id that `rungwise log` shows, or a file")


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
