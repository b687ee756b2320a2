"""Words said by a voice: made once, cut to size, left out where they cannot be had."""

from __future__ import annotations

import wave
from collections.abc import Sequence
from pathlib import Path
from shutil import which

import numpy as np
import pytest

from tui.sound.tones import LEVEL, RATE_HZ
from tui.sound.voice import WORDS, spoken_words


def voice_of(
    folder: Path, samples: np.ndarray, monkeypatch: pytest.MonkeyPatch, names: Sequence[str] = ()
) -> dict[str, np.ndarray]:
    """Numbers of a made-up voice that says the same for each, at half our rate."""

    def speak(program: str, word: str, path: Path) -> None:
        path.parent.mkdir(exist_ok=True)
        with wave.open(str(path), "wb") as out:
            out.setnchannels(1)
            out.setsampwidth(2)
            out.setframerate(RATE_HZ // 2)
            out.writeframes(samples.astype("<i2").tobytes())

    monkeypatch.setattr("tui.sound.voice.which", lambda name: f"/bin/{name}" if name == "espeak-ng" else None)
    monkeypatch.setattr("tui.sound.voice._speak", speak)
    return dict(spoken_words(folder, names))


def test_a_spoken_number_is_cut_from_its_silence_at_our_rate_and_level(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Twice as many samples at twice the rate; a peak of twice the tones' (as `voice` says)."""
    word = np.concatenate([np.zeros(2000), 900 * np.cos(np.linspace(0, 40 * np.pi, 1000)), np.zeros(500)])
    spoken = voice_of(tmp_path / "voice", word, monkeypatch)
    assert tuple(spoken) == WORDS
    assert spoken["3"].size == pytest.approx(2000, abs=4)
    assert np.abs(spoken["3"].astype(int)).max() == pytest.approx(2 * LEVEL * 32767, rel=0.01)


def test_a_number_that_cannot_be_read_is_left_out(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "voice"
    folder.mkdir()
    (folder / "espeak-ng-2.wav").write_bytes(b"no sound")
    (folder / "espeak-ng-3.wav").write_bytes(b"")
    spoken = voice_of(folder, np.full(100, 900.0), monkeypatch)
    assert set(WORDS) - set(spoken) == {"2", "3"}


def test_names_are_said_first_and_kept_under_a_name_that_tells_nobody(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    names = ("Mara", "../Zoë", "-w")
    spoken = voice_of(tmp_path / "voice", np.full(100, 900.0), monkeypatch, names)
    assert tuple(spoken) == (*names, *WORDS)
    kept = {path.name for path in (tmp_path / "voice").iterdir()}
    assert len(kept) == len(spoken)
    assert not any(name in file for name in ("Mara", "Zo", "..") for file in kept)


def test_silence_is_no_number(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert voice_of(tmp_path / "voice", np.zeros(100), monkeypatch) == {}


def test_without_a_voice_there_are_none(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tui.sound.voice.which", lambda _: None)
    assert dict(spoken_words(tmp_path / "voice")) == {}
    assert not (tmp_path / "voice").exists()


@pytest.mark.skipif(not (which("espeak-ng") or which("espeak") or which("say")), reason="no voice on this computer")
def test_the_voice_of_this_computer_says_each_word_once(tmp_path: Path) -> None:
    names = ("Mara", "Zoë Hartl")
    first = dict(spoken_words(tmp_path / "voice", names))
    assert tuple(first) == (*names, *WORDS)
    assert all(0.1 * RATE_HZ < word.size < 2.0 * RATE_HZ for word in first.values())
    times = {path: path.stat().st_mtime_ns for path in (tmp_path / "voice").iterdir()}
    again = dict(spoken_words(tmp_path / "voice", names))
    assert times == {path: path.stat().st_mtime_ns for path in (tmp_path / "voice").iterdir()}
    assert all(np.array_equal(first[word], again[word]) for word in first)
