"""The sounds of a session as a file."""

from __future__ import annotations

import wave
from collections.abc import Iterable, Iterator
from pathlib import Path

from tui.sound.mixer import Mixer
from tui.sound.score import Note
from tui.sound.tones import RATE_HZ, Samples, rendered

_BLOCK_S = 1.0


def write_wav(path: Path, notes: Iterable[Note], spoken: dict[str, Samples] | None = None) -> None:
    """Write notes at their times, from second 0 of the session to the end of the last one: 16-bit PCM, one channel.

    Raises
    ------
    OSError
        When the file cannot be written, or is there already.
    """
    with path.open("xb") as file, wave.open(file, "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(RATE_HZ)
        for block in _blocks(sorted(notes, key=lambda note: note.at_s), spoken):
            out.writeframes(block.astype("<i2").tobytes())


def _blocks(notes: list[Note], spoken: dict[str, Samples] | None) -> Iterator[Samples]:
    """Yield the line a second at a time: a session of an hour would take 300 MB at once."""
    mixer, due = Mixer(), 0
    while due < len(notes) or not mixer.is_silent:
        while due < len(notes) and notes[due].at_s < mixer.at_s + _BLOCK_S:
            mixer.add(rendered(notes[due], spoken), notes[due].at_s - mixer.at_s)
            due += 1
        yield mixer.read(round(_BLOCK_S * RATE_HZ))
