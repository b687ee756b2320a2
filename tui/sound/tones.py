"""How each sound sounds: beats of a pure tone, told apart by their rhythm and by their pitch.

Pitches are of the equal temperament (A4 = 440 Hz), from 311 Hz to 1760 Hz: what the loudspeaker of a laptop gives well.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tui.sound.score import Note, Sound

RATE_HZ = 44_100
LEVEL = 0.25
"""Peak of a tone, of full scale (-12 dB): heard across a room, and far from the limit where two overlap (no source)."""
RAMP_S = 0.004
"""A tone swells and fades over so long (half a cosine): an edge would be heard as a click."""

Samples = NDArray[np.int16]


@dataclass(frozen=True, slots=True)
class Beat:
    """One tone: pitch in hertz, seconds that it lasts, seconds of silence after it."""

    hz: float
    lasts_s: float
    then_s: float = 0.0


_D4_SHARP, _F4_SHARP, _G4, _A4, _B4 = 311.1, 370.0, 392.0, 440.0, 493.9
_C5, _D5, _E5, _G5, _A5, _B5 = 523.3, 587.3, 659.3, 784.0, 880.0, 987.8

_BEATS = {
    # The tempo: high at the top, low at the bottom; one beat as something begins, more as its time is over.
    Sound.UP: (Beat(_E5, 0.04),),
    Sound.TOP: (Beat(_B5, 0.08),),
    Sound.HELD: (Beat(_B5, 0.04, 0.04), Beat(_B5, 0.04)),
    Sound.LOWERED: (Beat(_D5, 0.08, 0.05), Beat(_D5, 0.08)),
    Sound.PAUSED: (Beat(_B4, 0.04, 0.04), Beat(_B4, 0.04, 0.04), Beat(_B4, 0.04)),
    Sound.COUNT_BACK: (Beat(_A4, 0.12, 0.02), Beat(_D4_SHARP, 0.3)),
    Sound.OFF: (Beat(_D4_SHARP, 0.24),),
    Sound.SET_DONE: (Beat(_C5, 0.14, 0.03), Beat(_E5, 0.14, 0.03), Beat(_G5, 0.4)),
    Sound.REST_NEARLY_OVER: (Beat(_A4, 0.2, 0.2), Beat(_A4, 0.2)),
    Sound.REST_OVER: (Beat(_A5, 0.12, 0.08), Beat(_A5, 0.12, 0.08), Beat(_A5, 0.12, 0.08), Beat(_A5, 0.4)),
    Sound.COACH: (Beat(_G5, 0.15, 0.05), Beat(_C5, 0.3, 0.15), Beat(_G5, 0.15, 0.05), Beat(_C5, 0.3)),
    Sound.SENSOR_LOST: (Beat(_F4_SHARP, 0.3, 0.1), Beat(_F4_SHARP, 0.3, 0.1), Beat(_D4_SHARP, 0.6)),
    Sound.SENSOR_THERE: (Beat(_G4, 0.1, 0.02), Beat(_D5, 0.2)),
}
_NEXT, _PLACE, _THIRD = Beat(_C5, 0.4, 0.25), Beat(_G5, 0.1, 0.12), Beat(_G5, 0.1, 0.32)
"""Who is next: a long beat, then as many short ones as is their place, in threes."""
_TEN = (_C5, _D5, _E5, _G5, _A5, 2 * _C5, 2 * _D5, 2 * _E5, 2 * _G5, 2 * _A5)
"""Reps rise through these ten and begin again; the fifth is a double beat, the tenth a triple one."""


def beats(sound: Sound, number: int = 0) -> tuple[Beat, ...]:
    """Return the beats of a sound; of a count and of who is next, those of the number (1 or more)."""
    if sound is Sound.NEXT:
        return (_NEXT, *(_PLACE if place % 3 else _THIRD for place in range(1, number + 1)))
    if sound is not Sound.COUNT:
        return _BEATS[sound]
    times = 3 if number % 10 == 0 else 2 if number % 5 == 0 else 1
    hz = _TEN[(number - 1) % len(_TEN)]
    return (*(Beat(hz, 0.16, 0.06) for _ in range(times - 1)), Beat(hz, 0.16))


def rendered(note: Note, spoken: dict[str, Samples] | None = None) -> Samples:
    """Return a note as samples at `RATE_HZ`, one channel.

    Parameters
    ----------
    spoken
        Words as a voice says them; one takes the place of the beats of a count, of what is off and of who is next.
    """
    word = str(note.number) if note.sound is Sound.COUNT else note.words
    if spoken and word in spoken:
        return spoken[word]
    parts = [part for beat in beats(note.sound, note.number) for part in (_tone(beat), _silence(beat.then_s))]
    return np.concatenate(parts)


def as_samples(wave: NDArray[np.float64]) -> Samples:
    """Return a wave between -1 and 1 as samples."""
    whole: Samples = np.round(np.iinfo(np.int16).max * wave).astype(np.int16)
    return whole


def _tone(beat: Beat) -> Samples:
    count = round(beat.lasts_s * RATE_HZ)
    ramp = np.sin(np.linspace(0.0, np.pi / 2, round(RAMP_S * RATE_HZ))) ** 2
    envelope = np.ones(count)
    envelope[: ramp.size], envelope[-ramp.size :] = ramp, ramp[::-1]
    wave = np.sin(2 * np.pi * beat.hz / RATE_HZ * np.arange(count))
    return as_samples(LEVEL * envelope * wave)


def _silence(lasts_s: float) -> Samples:
    return np.zeros(round(lasts_s * RATE_HZ), np.int16)
