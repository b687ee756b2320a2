"""The process that plays: one line on its standard input is one note. It ends as its input does, so with its parent.

    <seconds from now> <sound> <number> <words>

Its arguments: where to play, the folder of the spoken words, names that a voice shall say.

Status 3: there is nothing to play on (no miniaudio, or no audio device).
"""

from __future__ import annotations

import sys
from collections.abc import Generator, Iterable, Sequence
from contextlib import suppress
from pathlib import Path
from threading import Thread

from tui.sound.mixer import Mixer
from tui.sound.score import Note, Sound
from tui.sound.tones import Samples, rendered
from tui.sound.voice import spoken_words

NOTHING_TO_PLAY_ON = 3
BUFFER_MS = 20
"""What the device plays at a time: with it grows the time until a sound is heard."""


def serve(
    lines: Iterable[bytes], mixer: Mixer, voice: Path | None, names: Sequence[str] = (), *, silent: bool = False
) -> int:
    """Play what is asked for until there is no more.

    Parameters
    ----------
    lines
        Notes; what is none is passed over.
    mixer
        What the device reads.
    voice
        Where spoken words are kept; None: the count is told by pitch.
    names
        Said by the voice, too.
    silent
        Play on a device that is none, in real time (miniaudio's null backend): for tests.

    Returns
    -------
    int
        The status of the process.
    """
    try:
        import miniaudio
    except ImportError:
        return NOTHING_TO_PLAY_ON
    own = miniaudio.Backend
    try:
        device = miniaudio.PlaybackDevice(
            output_format=miniaudio.SampleFormat.SIGNED16,
            nchannels=1,
            sample_rate=44_100,
            buffersize_msec=BUFFER_MS,
            backends=[own.NULL] if silent else [one for one in own if one not in (own.CUSTOM, own.NULL)],
            app_name="Rungwise",
        )
    except miniaudio.MiniaudioError:
        return NOTHING_TO_PLAY_ON
    spoken: dict[str, Samples] = {}
    if voice:
        Thread(target=lambda: spoken.update(spoken_words(voice, names)), daemon=True).start()
    with device:
        device.start(_stream(mixer))
        for line in lines:
            with suppress(ValueError):
                note = decoded(line)
                mixer.add(rendered(note, spoken), note.at_s)
    return 0


def encoded(note: Note) -> bytes:
    """Return a note as a line; its time counts from now."""
    return f"{note.at_s:.4f} {note.sound} {note.number} {note.words}\n".encode(errors="replace")


def decoded(line: bytes) -> Note:
    """Return the note of a line.

    Raises
    ------
    ValueError
        When it is none.
    """
    in_s, sound, number, words = line.decode().split(" ", 3)
    return Note(float(in_s), Sound(sound), int(number), words.strip())


def _stream(mixer: Mixer) -> Generator[bytes, int, None]:
    """Return the device's reader, ready to be sent how many samples it wants."""

    def reading() -> Generator[bytes, int, None]:
        wanted = yield b""
        while True:
            wanted = yield mixer.read(wanted).tobytes()

    stream = reading()
    next(stream)
    return stream


if __name__ == "__main__":
    _, backend, folder, *named = sys.argv
    kept = Path(folder) if folder else None
    raise SystemExit(serve(sys.stdin.buffer, Mixer(), kept, named, silent=backend == "null"))
