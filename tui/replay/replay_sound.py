"""`rungwise replay SESSION --wav FILE`: what is heard of a session, without waiting for it."""

from __future__ import annotations

import asyncio
from pathlib import Path

import click

from sensor.recording import Recording
from tui.home import Home
from tui.replay.replay import ReplayRun
from tui.replay.replay_command import recording_path
from tui.session.messages import Moment, Snapshot
from tui.sound.score import Note, Score
from tui.sound.voice import default_folder, spoken_words
from tui.sound.wav import write_wav
from tui.trouble import Trouble, clear_errors

_AT_ONCE = 1e6
"""Seconds of the recording in one real second: the replay's clock stamps everything as it would at any speed."""


class Listener:
    """A feed that keeps the notes of what it is shown."""

    def __init__(self) -> None:
        self._score = Score()
        self.notes: list[Note] = []

    def post_snapshot(self, snapshot: Snapshot) -> None:
        """Keep what is heard at this snapshot."""
        self.notes += self._score.of(snapshot)

    def post_moment(self, moment: Moment) -> None:
        """Keep nothing: a text is not heard."""


def notes_of(recording: Recording) -> list[Note]:
    """Return what is heard of a recorded session."""
    listener = Listener()
    asyncio.run(ReplayRun(recording, speed=_AT_ONCE, stay=False).run(listener))
    return listener.notes


def write_sound(folder: Path, recording: Path, out: Path) -> None:
    """Write what is heard of a recorded session to a file, with the voice of this computer, where it has one.

    Parameters
    ----------
    folder
        Home, where a session's id is looked up.
    recording
        A file, or the first letters of a session's id.
    out
        The file; one that is there already is left as it is.
    """
    with clear_errors(), Recording.open(recording_path(Home(folder), recording)) as opened:
        notes = notes_of(opened)
        try:
            write_wav(out, notes, dict(spoken_words(default_folder())))
        except FileExistsError as error:
            raise Trouble(f"{out} is there already and left as it is: name a new one with --wav") from error
        except OSError as error:
            raise Trouble(f"{out} cannot be written ({error.strerror}): name another place with --wav") from error
    click.echo(f"{out}: {len(notes)} sounds; second 0 is where the sensor was found")
