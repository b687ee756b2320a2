"""What a running session lets be heard (`tui.session.control.SoundControl`)."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from tui.session.messages import Snapshot
from tui.sound.player import AudioProcess, Bell, Player, audio_installed
from tui.sound.score import Score
from tui.sound.voice import default_folder
from tui.training.turns import called

NOT_INSTALLED = "Sound: the bell only; pip install 'rungwise[audio]' adds count and tempo."
NO_DEVICE = "Sound: the bell only, after a set and a rest; no audio device is there."


class Sounds:
    """Takes the snapshots of a session, and makes heard what they call for.

    Parameters
    ----------
    kept
        The file whose being there says that nothing shall be heard: the wish outlasts the session.
    names
        Who shares the bar.
    speed
        Seconds of the session in one real second.
    open_player
        Makes the player; None: the one of this computer. A session that is not opened makes none.
    """

    def __init__(
        self,
        kept: Path,
        *,
        names: Sequence[str] = (),
        speed: float = 1.0,
        open_player: Callable[[], Player] | None = None,
    ) -> None:
        self._kept = kept
        self._names = [called(name, names) for name in names]
        self._speed = speed
        self._open_player = open_player
        self._score = Score()
        self._player: Player | None = None
        self._bell: Player = Bell(lambda: None)
        self._tell: Callable[[str], None] = lambda _: None
        self.muted = kept.exists()

    def open(self, ring: Callable[[], None], tell: Callable[[str], None]) -> None:
        """Be ready to play.

        Parameters
        ----------
        ring
            Rings the terminal's bell.
        tell
            Takes, once, why there is the bell only.
        """
        self._bell, self._tell = Bell(ring), tell
        if self._open_player is None and not audio_installed():
            self._ring_only(NOT_INSTALLED)
            return
        try:
            self._player = self._open_player() if self._open_player else AudioProcess(default_folder(), self._names)
        except OSError:
            self._ring_only(NO_DEVICE)

    def hear(self, snapshot: Snapshot) -> None:
        """Play what this snapshot calls for."""
        notes = self._score.of(snapshot)
        if self.muted or self._player is None:
            return
        if not self._player.is_heard:
            self._ring_only(NO_DEVICE)
        for note in notes:
            self._player.play(replace(note, at_s=max(0.0, note.at_s - snapshot.elapsed_s) / self._speed))

    def mute(self) -> None:
        """Let nothing be heard, or let it be heard again; for this session and those to come."""
        self.muted = not self.muted
        with suppress(OSError):  # it holds for this session, at least
            if self.muted:
                self._kept.touch()
            else:
                self._kept.unlink(missing_ok=True)

    def close(self) -> None:
        """Play nothing more."""
        if self._player:
            self._player.close()

    def _ring_only(self, why: str) -> None:
        self.close()
        self._player = self._bell
        self._tell(why)
