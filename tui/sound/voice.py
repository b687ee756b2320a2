"""Words as the voice of this computer says them, made once and kept; nothing leaves the computer.

Linux: espeak-ng or espeak, where installed. macOS: say. Elsewhere there is no voice, and tones tell the count.
"""

from __future__ import annotations

import subprocess
import wave
from collections.abc import Iterable, Iterator
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from shutil import which

import numpy as np
from platformdirs import user_cache_path

from tui.sound.tones import LEVEL, RATE_HZ, Samples, as_samples
from tui.words.cues import CUES

HIGHEST = 30
"""Sets go further than this hardly ever; tones tell higher numbers."""
WORDS = (*(str(number) for number in range(1, HIGHEST + 1)), *CUES)
_SPEAKING_S = 10.0
_QUIET = 0.02
"""Of the loudest sample: what is softer before and after a word is cut off."""


def default_folder() -> Path:
    """Return where the spoken words are kept: the user's own cache of this system."""
    return user_cache_path("rungwise", appauthor=False) / "voice"


def spoken_words(folder: Path, names: Iterable[str] = ()) -> Iterator[tuple[str, Samples]]:
    """Yield each name, number and cue and how it is said, as soon as it is there; nothing where there is no voice.

    Parameters
    ----------
    folder
        Where they are kept. What is missing is made; what cannot be made or read is left out.
    names
        Of people, said first: the first thing that is told of a shared bar is who is next.
    """
    program = next((name for name in ("espeak-ng", "espeak", "say") if which(name)), None)
    for word in (*names, *WORDS) if program else ():
        path = folder / f"{program}-{_file_name(word)}.wav"
        with suppress(OSError, EOFError, wave.Error, ValueError, subprocess.SubprocessError):
            if not path.exists():
                _speak(program or "", word, path)
            yield word, _read(path)


def _file_name(word: str) -> str:
    """Return a name that any file system takes; that of a person is not read from it."""
    return word.replace(" ", "-") if word in WORDS else sha256(word.encode(errors="replace")).hexdigest()[:16]


def _speak(program: str, word: str, path: Path) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    new = path.with_suffix(".new.wav")
    how = ["-o", str(new), "--data-format=LEI16@22050"] if program == "say" else ["-v", "en", "-w", str(new)]
    subprocess.run(
        [program, *how, word.lstrip("-")],
        check=True,
        timeout=_SPEAKING_S,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    new.replace(path)


def _read(path: Path) -> Samples:
    """Return a spoken word at our rate and level, without the silence around it."""
    with wave.open(str(path), "rb") as file:
        if file.getsampwidth() != 2 or file.getnchannels() != 1:
            raise ValueError(f"{path}: not 16-bit, one channel")
        rate_hz = file.getframerate()
        heard = np.frombuffer(file.readframes(file.getnframes()), "<i2").astype(float)
    loud = np.flatnonzero(np.abs(heard) > _QUIET * np.max(np.abs(heard), initial=0.0))
    if not loud.size:
        raise ValueError(f"{path}: silence")
    word = heard[loud[0] : loud[-1] + 1]
    at = np.arange(round(word.size * RATE_HZ / rate_hz)) * rate_hz / RATE_HZ
    # A voice peaks some four times above its mean loudness, a tone not one and a half times: so twice a tone's peak.
    return as_samples(2 * LEVEL / np.max(np.abs(word)) * np.interp(at, np.arange(word.size), word))
