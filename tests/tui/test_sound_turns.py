"""What is heard of who is next on a shared bar: snapshots in, notes out, and the file of them."""

from __future__ import annotations

import wave
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from screen_feed import snapshot
from test_sound_score import heard

from tui.session.messages import Snapshot, Stage
from tui.sound.score import NAMED_S, Sound
from tui.sound.tones import RATE_HZ, beats
from tui.sound.wav import write_wav
from tui.views.turn_view import TurnsView

SHARED = ("Mara Lindt", "Jonas Reiter", "Jonas Falk")


def shared(next_one: str, at_s: float, **changes: object) -> Snapshot:
    """Between the sets on a shared bar; each person's session has seconds of its own."""
    view = TurnsView(next=next_one, names=SHARED)
    return snapshot(Stage.REST, trainee=next_one or SHARED[0], turns=view, elapsed_s=at_s, **changes)


def named(*snapshots: Snapshot) -> list[tuple[float, int, str]]:
    notes = [note for note in heard(*snapshots) if note.sound is Sound.NEXT]
    return [(round(note.at_s, 3), note.number, note.words) for note in notes]


def test_who_is_next_is_told_once_as_the_turn_passes_by_name_and_place() -> None:
    passed = [shared(SHARED[0], 9.0), shared(SHARED[1], 50.0), shared(SHARED[1], 50.1), shared(SHARED[0], 9.3)]
    assert named(*passed) == [
        (9.0 + NAMED_S, 1, "Mara"),
        (50.0 + NAMED_S, 2, "Jonas Reiter"),
        (9.3 + NAMED_S, 1, "Mara"),
    ]


def test_who_rests_is_named_as_the_rest_is_nearly_over_and_over() -> None:
    rest = [shared(SHARED[0], 50.0 + 0.1 * step, rest_left_s=10.25 - 0.1 * step) for step in range(120)]
    told = heard(*rest)
    assert [note.sound for note in told] == [
        Sound.NEXT,
        Sound.REST_NEARLY_OVER,
        Sound.NEXT,
        Sound.REST_OVER,
        Sound.NEXT,
    ]
    assert {note.words for note in told if note.sound is Sound.NEXT} == {"Mara"}
    assert [after.at_s - before.at_s for before, after in zip(told[1::2], told[2::2], strict=True)] == pytest.approx(
        [NAMED_S] * 2
    )


def test_nobody_is_named_in_a_set_or_where_one_trains_alone() -> None:
    running = snapshot(Stage.SET, turns=TurnsView(names=SHARED), elapsed_s=9.0)
    assert named(running, replace(running, elapsed_s=9.1)) == []
    assert named(snapshot(Stage.REST, rest_left_s=0.05), snapshot(Stage.REST, rest_left_s=-0.05)) == []


def test_a_name_and_the_sound_before_it_do_not_overlap() -> None:
    for sound in (Sound.SET_DONE, Sound.REST_NEARLY_OVER, Sound.REST_OVER):
        assert sum(beat.lasts_s + beat.then_s for beat in beats(sound)) <= NAMED_S


def test_in_the_file_of_a_shared_bar_a_name_stands_where_it_is_said(tmp_path: Path) -> None:
    """With the voice the name's own samples, without it beats: NAMED_S after the turn passed."""
    notes = heard(shared(SHARED[0], 2.0))
    for spoken in ({"Mara": np.full(900, 500, np.int16)}, None):
        out = tmp_path / f"{bool(spoken)}.wav"
        write_wav(out, notes, spoken)
        with wave.open(str(out), "rb") as file:
            line = np.frombuffer(file.readframes(file.getnframes()), "<i2")
        (sounding,) = np.nonzero(line)
        assert sounding[0] == pytest.approx((2.0 + NAMED_S) * RATE_HZ, abs=3)
        assert (sounding.size == 900) == bool(spoken)
