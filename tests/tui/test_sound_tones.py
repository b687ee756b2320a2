"""How each sound sounds. Closed forms of a sine under a raised-cosine edge are beside the checks."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from tui.sound.mixer import Mixer
from tui.sound.score import Note, Sound
from tui.sound.tones import LEVEL, RAMP_S, RATE_HZ, beats, rendered

FULL = 32767
ALL = [*((one, 0) for one in Sound if one is not Sound.COUNT), *((Sound.COUNT, number) for number in range(1, 31))]


@pytest.mark.parametrize(("sound", "number"), ALL)
def test_it_never_clicks(sound: Sound, number: int) -> None:
    """No step is larger than the steepest one of A·e(t)·sin(ωt): A·(ω + π/(2·ramp)) / rate, and half for rounding."""
    samples = rendered(Note(0.0, sound, number)).astype(float)
    steepest = max(2 * np.pi * beat.hz for beat in beats(sound, number)) + np.pi / (2 * RAMP_S)
    assert np.max(np.abs(np.diff(samples, prepend=0.0, append=0.0))) <= LEVEL * FULL * steepest / RATE_HZ + 1.0


@pytest.mark.parametrize(("sound", "number"), ALL)
def test_its_level_is_that_of_all(sound: Sound, number: int) -> None:
    samples = np.abs(rendered(Note(0.0, sound, number)).astype(int))
    assert samples.max() == pytest.approx(LEVEL * FULL, rel=0.01)


def test_a_tone_keeps_its_pitch_and_length() -> None:
    """A sine of f hertz crosses zero 2·f times a second (closed form)."""
    (beat,) = beats(Sound.COUNT, 1)
    samples = rendered(Note(0.0, Sound.COUNT, 1)).astype(float)
    assert samples.size == round(beat.lasts_s * RATE_HZ)
    signs = np.sign(samples[samples != 0])
    assert np.count_nonzero(np.diff(signs)) == pytest.approx(2 * beat.hz * beat.lasts_s, abs=2)


def rhythm(sound: Sound) -> tuple[float, ...]:
    return tuple(beat.lasts_s for beat in beats(sound, 1))


@pytest.mark.parametrize(("one", "other"), list(combinations(Sound, 2)))
def test_any_two_differ_in_rhythm_and_in_pitch(one: Sound, other: Sound) -> None:
    """In the number of beats, or one of them is a third longer: far above what is just noticed (from memory, 10–20 %).

    And in the melody: another number of tones, or one that is a semitone (6 %) or more away.
    """
    first, second = rhythm(one), rhythm(other)
    pairs = list(zip(first, second, strict=False))
    assert len(first) != len(second) or any(max(pair) / min(pair) >= 4 / 3 for pair in pairs)
    tones = [[beat.hz for beat in beats(sound, 1)] for sound in (one, other)]
    pitches = list(zip(*tones, strict=False))
    assert len(tones[0]) != len(tones[1]) or any(max(pair) / min(pair) >= 2 ** (1 / 12) * 0.999 for pair in pitches)


def test_ten_reps_can_be_told_apart() -> None:
    assert len({tuple((beat.hz, beat.lasts_s) for beat in beats(Sound.COUNT, number)) for number in range(1, 11)}) == 10


def test_a_spoken_word_takes_the_place_of_the_tones() -> None:
    word = np.ones(100, np.int16)
    assert rendered(Note(0.0, Sound.COUNT, 3), {"3": word}) is word
    assert rendered(Note(0.0, Sound.OFF, words="slower down"), {"slower down": word}) is word
    assert rendered(Note(0.0, Sound.OFF, words="slower down"), {"3": word}).size > 100
    assert rendered(Note(0.0, Sound.COUNT, 4), {"3": word}).size > 100
    assert rendered(Note(0.0, Sound.COUNT_BACK, 3), {"3": word}).size > 100


def test_who_is_next_is_told_by_as_many_short_beats_as_is_their_place() -> None:
    """Unlike any other sound it begins with a long beat and goes on with short ones of one pitch."""
    for place in range(1, 10):
        long, *short = beats(Sound.NEXT, place)
        assert len(short) == place
        assert all(long.lasts_s > 3 * beat.lasts_s for beat in short)
        assert len({beat.hz for beat in short}) == 1
        assert all(beat.then_s > 2 * short[0].then_s for beat in short[2::3])  # in threes
    name = np.ones(100, np.int16)
    assert rendered(Note(0.0, Sound.NEXT, 2, "Jonas"), {"Jonas": name}) is name
    assert rendered(Note(0.0, Sound.NEXT, 2, "Jonas"), {"2": name}).size > 100


def test_the_mixer_lays_each_at_its_time_whatever_is_read_at_once() -> None:
    """The sum of shifted signals, sample by sample (closed form)."""
    one, other = np.arange(1, 500, dtype=np.int16), np.full(300, 7, np.int16)
    for size in (1, 64, 441, 5000):
        mixer = Mixer()
        mixer.add(one, 0.001)
        mixer.add(other, 0.005)
        line = np.concatenate([mixer.read(size) for _ in range(-(-1000 // size))])[:1000]
        wanted = np.zeros(1000, int)
        wanted[44 : 44 + 499] += one
        wanted[220 : 220 + 300] += other
        assert line.tolist() == wanted.tolist()


def test_the_mixer_counts_from_what_was_read_last_and_falls_silent() -> None:
    mixer = Mixer()
    mixer.read(1000)
    mixer.add(np.full(10, 5, np.int16), -1.0)
    assert not mixer.is_silent
    assert mixer.read(20).tolist() == [5] * 10 + [0] * 10
    assert mixer.is_silent


def test_what_is_too_loud_together_is_cut_off_and_does_not_wrap_round() -> None:
    mixer = Mixer()
    for _ in range(3):
        mixer.add(np.array([30000, -30000], np.int16))
    assert mixer.read(2).tolist() == [32767, -32768]
