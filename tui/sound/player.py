"""Who makes a note heard: a process of its own where it can play, else the terminal's bell."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Sequence
from contextlib import suppress
from importlib.util import find_spec
from pathlib import Path
from queue import Full, Queue
from threading import Thread
from typing import Protocol

from tui.sound.process import encoded
from tui.sound.score import Note, Sound

PROCESS = "tui.sound.process"
PACKAGE_ROOT = Path(__file__).resolve().parents[2]
_ENDING_S = 1.0
_WAITING = 64
"""So many notes may wait for the process; one that takes none any more is not waited for."""


class Player(Protocol):
    """Makes notes heard. No call may block or fail."""

    @property
    def is_heard(self) -> bool:
        """Whether it can make anything heard, as far as is known."""
        ...

    def play(self, note: Note) -> None:
        """Make a note heard; its time counts from now."""
        ...

    def close(self) -> None:
        """Nothing more is played."""
        ...


class Bell:
    """The terminal's bell: only for what nobody should miss while not looking."""

    is_heard = True
    _RINGS = (Sound.SET_DONE, Sound.REST_OVER)

    def __init__(self, ring: Callable[[], None]) -> None:
        self._ring = ring

    def play(self, note: Note) -> None:
        """Ring, or leave it."""
        if note.sound in self._RINGS:
            self._ring()

    def close(self) -> None:
        """Do nothing: there is nothing to close."""


class AudioProcess:
    """Plays in a process of its own, which ends with this one and never touches the terminal.

    Parameters
    ----------
    voice
        Where spoken words are kept; None: the count is told by pitch.
    names
        Of those who share the bar, as they are called: said by the voice, too.
    silent
        Play on no device, for tests.
    """

    def __init__(self, voice: Path | None, names: Sequence[str] = (), *, silent: bool = False) -> None:
        path = os.pathsep.join([str(PACKAGE_ROOT), *filter(None, [os.environ.get("PYTHONPATH")])])
        self._lines: Queue[bytes | None] = Queue(_WAITING)
        self._process = subprocess.Popen(
            [sys.executable, "-P", "-m", PROCESS, "null" if silent else "device", str(voice or ""), *names],
            stdin=subprocess.PIPE,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,  # audio libraries talk there, and it is the dashboard's
            env=os.environ | {"PYTHONPATH": path},
            start_new_session=True,  # Ctrl-C in the terminal is for the parent
        )
        self._writer = Thread(target=self._write, daemon=True)
        self._writer.start()

    @property
    def pid(self) -> int:
        """Number of the process."""
        return self._process.pid

    @property
    def is_heard(self) -> bool:
        """Whether the process is there."""
        return self._process.poll() is None

    def play(self, note: Note) -> None:
        """Ask for a note; one that nobody takes is lost."""
        with suppress(Full):
            self._lines.put_nowait(encoded(note))

    def close(self) -> None:
        """End the process once it has what is on its way; one that does not end is ended."""
        with suppress(Full):
            self._lines.put_nowait(None)
        try:
            self._process.wait(_ENDING_S)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()

    def _write(self) -> None:
        """Pass lines on in a thread: a pipe that is full would stop the session."""
        assert self._process.stdin is not None
        with suppress(OSError), self._process.stdin as pipe:  # it is gone: nothing is heard, and nothing else changes
            while (line := self._lines.get()) is not None:
                pipe.write(line)
                pipe.flush()


def audio_installed() -> bool:
    """Whether the extra `audio` is there."""
    return find_spec("miniaudio") is not None
