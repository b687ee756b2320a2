"""What is heard of the demonstration's session, against what the virtual trainee really did, and as a file."""

from __future__ import annotations

import wave
from collections.abc import Iterable
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from numpy.typing import NDArray
from virtual_session import Gym

from sensor.recording import Recording
from sensor.virtual.motion import TraineeFeed
from sensor.virtual.plan import RepTruth
from sensor.virtual.trainee import perform
from tui.cli import main
from tui.replay.replay_sound import notes_of
from tui.sound.score import Note, Score, Sound
from tui.sound.tones import RATE_HZ, beats
from tui.sound.wav import write_wav

TOP_S, DOWN_S = 1.0, 2.0
"""What the demonstration asks for."""
TOLERANCE_S = 0.3
"""By how much the verdict lets a phase be off: a tick that errs by less teaches no wrong tempo."""


@pytest.fixture(scope="module")
def heard(done: Gym) -> list[Note]:
    score = Score()
    return [note for one in done.book.snapshots for note in score.of(one)]


@pytest.fixture(autouse=True)
def _voice_kept_apart(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Leave the user's own cache alone."""
    monkeypatch.setattr("tui.replay.replay_sound.default_folder", lambda: tmp_path / "voice")


@pytest.fixture(scope="module")
def truth() -> tuple[RepTruth, ...]:
    feed = TraineeFeed()
    return tuple(rep for reps in perform(feed.script, feed.seed, feed.rate_hz).truth for rep in reps)


def times(notes: Iterable[Note], sound: Sound) -> NDArray[np.float64]:
    return np.array([note.at_s for note in notes if note.sound is sound])


def test_each_rep_is_heard_at_its_top_and_counted_at_its_end(heard: list[Note], truth: tuple[RepTruth, ...]) -> None:
    """Three sets of five; the live answer comes within half a second (README)."""
    assert [note.number for note in heard if note.sound is Sound.COUNT] == [1, 2, 3, 4, 5] * 3
    tops = times(heard, Sound.TOP) - [rep.top_s for rep in truth]
    counts = times(heard, Sound.COUNT) - [rep.end_s for rep in truth]
    assert np.all((tops >= 0.0) & (tops <= 0.6))
    assert np.all((counts >= 0.0) & (counts <= 0.6))


def test_the_end_of_the_hold_is_heard_when_the_hold_has_lasted(heard: list[Note], truth: tuple[RepTruth, ...]) -> None:
    held = times(heard, Sound.HELD) - [rep.top_s + TOP_S for rep in truth]
    assert np.max(np.abs(held)) <= TOLERANCE_S


def test_the_end_of_the_lowering_is_heard_in_time_and_never_of_a_quick_one(
    heard: list[Note], truth: tuple[RepTruth, ...]
) -> None:
    due = np.array([rep.down_s + DOWN_S for rep in truth])
    nearest = [np.argmin(np.abs(due - at_s)) for at_s in times(heard, Sound.LOWERED)]
    assert np.max(np.abs(due[nearest] - times(heard, Sound.LOWERED))) <= TOLERANCE_S
    quick = [rep.end_s - rep.down_s < DOWN_S - TOLERANCE_S for rep in truth]
    assert sum(quick) == 2  # the script's: the last two of the last set
    assert not set(np.flatnonzero(quick)) & set(nearest)
    assert len(nearest) >= 10  # of 13: one that ends a moment before its time is over has none


def test_what_was_off_is_heard_of_the_two_quick_lowerings_only(heard: list[Note]) -> None:
    """The script's: the last two reps of the last set."""
    assert [note.words for note in heard if note.sound is Sound.OFF] == ["slower down"] * 2
    counts = times(heard, Sound.COUNT)
    assert times(heard, Sound.OFF) == pytest.approx(counts[-2:] + 0.7, abs=0.01)


def test_sets_and_rests_are_heard(heard: list[Note]) -> None:
    told = [note.sound for note in heard if note.sound in (Sound.SET_DONE, Sound.REST_NEARLY_OVER, Sound.REST_OVER)]
    rest = [Sound.REST_NEARLY_OVER, Sound.REST_OVER]
    assert told == [Sound.SET_DONE, *rest, Sound.SET_DONE, *rest, Sound.SET_DONE]
    nearly, over = times(heard, Sound.REST_NEARLY_OVER), times(heard, Sound.REST_OVER)
    assert over - nearly == pytest.approx(10.0, abs=0.2)


def test_a_replay_sounds_the_same(done: Gym, heard: list[Note]) -> None:
    """At the same times within a packet of 0.1 s and a tick of the replay."""
    (path,) = done.recordings()
    with Recording.open(path) as recording:
        again = notes_of(recording)
    for sound in Sound:
        then, now = times(heard, sound), times(again, sound)
        # One that is due as its phase ends may be heard in one of the two only.
        assert abs(then.size - now.size) <= (sound is Sound.LOWERED)
        if then.size == now.size:
            assert now == pytest.approx(then, abs=0.21)
    assert [note.number for note in again if note.number] == [note.number for note in heard if note.number]


def power(samples: NDArray[np.float64], hz: float) -> float:
    """Power of one frequency (Goertzel 1958, Am. Math. Monthly 65:34; here as the same sum, not recursive)."""
    turns = np.exp(-2j * np.pi * hz / RATE_HZ * np.arange(samples.size))
    return float(np.abs(samples @ turns) ** 2) / samples.size


def test_the_file_holds_each_tone_at_its_time(heard: list[Note], tmp_path: Path) -> None:
    """The strongest frequency of each beat is its own, within a bin of the Fourier transform (1 / its length)."""
    path = tmp_path / "session.wav"
    write_wav(path, heard)
    line = read(path)
    alone = [note for note in heard if not any(_overlap(note, one) for one in heard if one is not note)]
    assert len(alone) > 40
    assert {note.sound for note in alone} > {Sound.TOP, Sound.HELD, Sound.COUNT, Sound.LOWERED, Sound.REST_OVER}
    for note in alone:
        begin_s = note.at_s
        for beat in beats(note.sound, note.number):
            part = line[round(begin_s * RATE_HZ) :][: round(beat.lasts_s * RATE_HZ)]
            bins = np.fft.rfftfreq(part.size, 1 / RATE_HZ)
            peak_hz = bins[np.argmax(np.abs(np.fft.rfft(part)))]
            assert abs(peak_hz - beat.hz) <= 1 / beat.lasts_s, note
            assert power(part, beat.hz) > 10 * power(part, beat.hz * 2 ** (4 / 12)) or beat.lasts_s < 0.1
            begin_s += beat.lasts_s + beat.then_s


def _overlap(one: Note, other: Note) -> bool:
    first, last = sorted((one, other), key=lambda note: note.at_s)
    lasts_s = sum(beat.lasts_s + beat.then_s for beat in beats(first.sound, first.number))
    return last.at_s <= first.at_s + lasts_s


def test_the_file_is_silent_where_nothing_sounds(heard: list[Note], tmp_path: Path) -> None:
    path = tmp_path / "session.wav"
    write_wav(path, heard)
    line = read(path)
    for note in heard:  # no sound lasts longer than 1.6 s
        line[round(note.at_s * RATE_HZ) : round((note.at_s + 1.6) * RATE_HZ)] = 0
    assert not line.any()


def read(path: Path) -> NDArray[np.float64]:
    with wave.open(str(path), "rb") as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (1, 2, RATE_HZ)
        return np.frombuffer(file.readframes(file.getnframes()), "<i2").astype(float)


def test_the_command_writes_a_file_as_long_as_the_session(done: Gym, heard: list[Note], tmp_path: Path) -> None:
    out = tmp_path / "session.wav"
    session = done.recordings()[0].stem[:8]
    result = CliRunner().invoke(main, ["--home", str(done.home.folder), "replay", session, "--wav", str(out)])
    assert result.exit_code == 0, result.output
    assert "second 0 is where the sensor was found" in result.output
    assert read(out).size / RATE_HZ == pytest.approx(heard[-1].at_s + 1.0, abs=1.5)
    again = CliRunner().invoke(main, ["--home", str(done.home.folder), "replay", session, "--wav", str(out)])
    assert again.exit_code != 0
    assert "is there already and left as it is" in again.output


@pytest.mark.parametrize(
    ("extra", "says"),
    [(["--recompute"], "by itself"), ([], "name another place")],
    ids=["two wishes", "no folder"],
)
def test_a_file_that_cannot_be_written_is_said(done: Gym, extra: list[str], says: str, tmp_path: Path) -> None:
    out = tmp_path / "nowhere" / "session.wav"
    session = done.recordings()[0].stem[:8]
    result = CliRunner().invoke(main, ["--home", str(done.home.folder), "replay", session, "--wav", str(out), *extra])
    assert result.exit_code != 0
    assert says in result.output
    assert not out.exists()
    assert "Traceback" not in result.output
