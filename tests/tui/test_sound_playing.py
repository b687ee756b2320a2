"""Who plays: a process of its own on miniaudio's null backend, the bell, and what a session does without either."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from screen_feed import GOOD, snapshot

from analysis.motion.events import Phase
from sensor.source import LinkState
from tui.session.messages import Link, Snapshot, Stage
from tui.sound import sounds
from tui.sound.mixer import Mixer
from tui.sound.player import AudioProcess, Bell
from tui.sound.process import NOTHING_TO_PLAY_ON, decoded, encoded, serve
from tui.sound.score import Note, Sound
from tui.sound.sounds import NO_DEVICE, NOT_INSTALLED, Sounds

PATIENCE_S = 20.0
POSIX = pytest.mark.skipif(sys.platform == "win32", reason="signals are a thing of POSIX")


def wait_until(holds: Callable[[], bool]) -> None:
    until_s = time.monotonic() + PATIENCE_S
    while not holds():
        assert time.monotonic() < until_s
        time.sleep(0.02)


class Remembering:
    """A player that only remembers."""

    def __init__(self) -> None:
        self.notes: list[Note] = []
        self.is_heard = True
        self.closed = False

    def play(self, note: Note) -> None:
        self.notes.append(note)

    def close(self) -> None:
        self.closed = True


RESTING = (
    snapshot(Stage.REST, rest_left_s=0.05, elapsed_s=50.0),
    snapshot(Stage.REST, rest_left_s=-0.05, elapsed_s=50.1),
)


def opened(
    tmp_path: Path, player: Remembering | None = None, *, speed: float = 1.0
) -> tuple[Sounds, list[str], list[str]]:
    rung: list[str] = []
    told: list[str] = []
    heard = Sounds(tmp_path / "quiet", speed=speed, open_player=(lambda: player) if player else None)
    heard.open(lambda: rung.append("ring"), told.append)
    return heard, rung, told


def let_hear(heard: Sounds, *shown: Snapshot) -> None:
    for one in shown:
        heard.hear(one)


@pytest.mark.parametrize("sound", Sound)
def test_a_note_comes_through_the_pipe_as_it_was(sound: Sound) -> None:
    for words in ("hold the top", "Zoë Hartl", ""):
        note = Note(0.1234, sound, 7, words)
        assert decoded(encoded(note)) == note


@pytest.mark.parametrize(
    ("names", "note"),
    [((), Note(0.0, Sound.UP)), (("Mara", "Zoë"), Note(0.0, Sound.NEXT, 2, "Zoë"))],
    ids=["alone", "with the names of a shared bar"],
)
def test_a_process_plays_and_ends_when_told(names: tuple[str, ...], note: Note, tmp_path: Path) -> None:
    player = AudioProcess(tmp_path if names else None, names, silent=True)
    player.play(note)
    assert player.is_heard
    player._lines.put(None)
    assert player._process.wait(30.0) == 0
    player.close()
    assert not player.is_heard


def test_what_is_no_note_is_passed_over() -> None:
    """The note after it is played: the line that the device reads is not silent any more."""
    mixer = Mixer()
    nonsense = [b"nonsense\n", b"\xff\xfe 1 2\n", b"soon up 0 \n", b"0.0 up\n", b"0.0 trumpet 0 \n"]
    assert serve([*nonsense, encoded(Note(600.0, Sound.UP))], mixer, None, silent=True) == 0
    assert not mixer.is_silent


def test_the_device_reads_in_real_time() -> None:
    mixer, began_s = Mixer(), time.monotonic()

    def no_lines() -> Iterator[bytes]:
        time.sleep(0.3)
        yield from ()

    assert serve(no_lines(), mixer, None, silent=True) == 0
    assert 0.1 < mixer.at_s <= time.monotonic() - began_s + 0.3


@POSIX
def test_it_ends_with_its_parent_however_that_ends() -> None:
    script = (
        "import time; from tui.sound.player import AudioProcess;"
        "print(AudioProcess(None, silent=True).pid, flush=True); time.sleep(600)"
    )
    parent = subprocess.Popen([sys.executable, "-c", script], stdout=subprocess.PIPE, text=True)
    assert parent.stdout is not None
    with parent.stdout:
        pid = int(parent.stdout.readline())
        parent.send_signal(signal.SIGKILL)
        parent.wait()
    wait_until(lambda: _is_gone(pid))


def _is_gone(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return True
    stat = Path(f"/proc/{pid}/stat")  # one that nobody has waited for yet is gone, too
    return stat.exists() and stat.read_text().rsplit(")", 1)[1].split()[0] == "Z"


@POSIX
def test_one_that_breaks_down_disturbs_nothing(tmp_path: Path) -> None:
    player = AudioProcess(None, silent=True)
    os.kill(player.pid, signal.SIGKILL)
    wait_until(lambda: not player.is_heard)
    for _ in range(1000):
        player.play(Note(0.0, Sound.COUNT, 1))
    player.close()


@POSIX
def test_one_that_hangs_holds_up_nothing() -> None:
    player = AudioProcess(None, silent=True)
    os.kill(player.pid, signal.SIGSTOP)
    began_s = time.monotonic()
    for _ in range(100_000):  # far more than a pipe holds
        player.play(Note(0.0, Sound.COUNT, 1))
    player.close()
    assert not player.is_heard
    assert time.monotonic() - began_s < PATIENCE_S


def test_without_miniaudio_the_process_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "miniaudio", None)
    assert serve([], Mixer(), None) == NOTHING_TO_PLAY_ON


def test_a_note_sounds_at_its_time(tmp_path: Path) -> None:
    player = Remembering()
    heard, _, told = opened(tmp_path, player)
    let_hear(heard, *RESTING)
    assert player.notes == [Note(0.0, Sound.SENSOR_THERE), Note(0.0, Sound.REST_OVER)]
    assert told == []


def test_a_quicker_session_waits_less(tmp_path: Path) -> None:
    player = Remembering()
    heard, *_ = opened(tmp_path, player, speed=4.0)
    pause = {"phase": Phase.DOWN, "count": 7}
    let_hear(heard, snapshot(Stage.SET, elapsed_s=10.0, phase_s=1.5, **pause))
    let_hear(heard, snapshot(Stage.SET, elapsed_s=10.4, phase_s=1.9, **pause))
    assert player.notes[-1].sound is Sound.LOWERED
    assert player.notes[-1].at_s == pytest.approx(0.1 / 4.0)


def test_without_the_extra_the_bell_rings_as_a_rest_is_over_and_it_is_said_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sounds, "audio_installed", lambda: False)
    heard, rung, told = opened(tmp_path)
    let_hear(heard, *RESTING)
    assert (rung, told) == (["ring"], [NOT_INSTALLED])


def test_without_a_device_the_bell_rings_instead_and_it_is_said_once(tmp_path: Path) -> None:
    player = Remembering()
    heard, rung, told = opened(tmp_path, player)
    player.is_heard = False
    let_hear(heard, *RESTING, *RESTING)
    assert (rung, told, player.closed) == (["ring"] * 2, [NO_DEVICE], True)


def test_a_process_that_cannot_be_started_leaves_the_bell(tmp_path: Path) -> None:
    def fails() -> Remembering:
        raise OSError("no more processes")

    rung: list[str] = []
    told: list[str] = []
    heard = Sounds(tmp_path / "quiet", open_player=fails)
    heard.open(lambda: rung.append("ring"), told.append)
    let_hear(heard, *RESTING)
    assert (rung, told) == (["ring"], [NO_DEVICE])


@pytest.mark.parametrize("sound", Sound)
def test_the_bell_rings_for_two_things_only(sound: Sound) -> None:
    rung: list[str] = []
    Bell(lambda: rung.append("ring")).play(Note(0.0, sound))
    assert len(rung) == (sound in (Sound.SET_DONE, Sound.REST_OVER))


def test_what_is_muted_is_not_heard_now_or_next_time(tmp_path: Path) -> None:
    player = Remembering()
    heard, *_ = opened(tmp_path, player)
    heard.mute()
    let_hear(heard, *RESTING)
    assert player.notes == []
    assert Sounds(tmp_path / "quiet").muted
    heard.mute()
    let_hear(heard, *RESTING)
    assert [note.sound for note in player.notes] == [Sound.REST_OVER]
    assert not Sounds(tmp_path / "quiet").muted


def test_a_home_that_cannot_be_written_to_is_muted_for_now(tmp_path: Path) -> None:
    heard = Sounds(tmp_path / "nowhere" / "quiet")
    heard.mute()
    assert heard.muted


def test_a_session_that_never_began_has_nothing_to_close(tmp_path: Path) -> None:
    heard = Sounds(tmp_path / "quiet")
    heard.hear(snapshot(Stage.READY, link=Link(state=LinkState.SEARCHING)))
    heard.hear(snapshot(Stage.READY, link=GOOD))
    heard.close()
