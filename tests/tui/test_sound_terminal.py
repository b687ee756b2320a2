"""A session that is heard, in a real (pseudo-)terminal: the process that plays leaves with the screen."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

if sys.platform == "win32":
    pytest.skip("pseudo-terminals are a thing of POSIX", allow_module_level=True)

import fcntl
import pty
import struct
import termios

SCRIPT = """
import asyncio, sys
from contextlib import closing
from pathlib import Path
from screen_feed import snapshot
from tui.home import Home
from tui.session.messages import Stage
from tui.occasion import Occasion
from tui.running import run_in_dashboard
from tui.sound.player import AudioProcess
from tui.sound.sounds import Sounds

folder = Path(sys.argv[1])

def player():
    process = AudioProcess(None, silent=True)
    (folder / "pid").write_text(str(process.pid))
    return process

async def session(feed):
    for tick in range(10**6):
        feed.post_snapshot(snapshot(Stage.REST, rest_left_s=5.0 - tick / 10, elapsed_s=tick / 10))
        await asyncio.sleep(0.01)
        if tick == 100:
            (folder / "running").touch()

def prepare(held):
    return Occasion(session, sound=held.enter_context(closing(Sounds(folder / "quiet", open_player=player))))

run_in_dashboard(prepare, home=Home(folder))
"""
PATIENCE_S = 60.0


def is_gone(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return True
    return False


@pytest.mark.parametrize("key", [b"q", b"\x03"], ids=["q", "ctrl+c"])
def test_it_leaves_with_the_screen(key: bytes, tmp_path: Path) -> None:
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
    here = Path(__file__).parent
    child = subprocess.Popen(
        [sys.executable, "-c", SCRIPT, str(tmp_path)],
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
        env={**os.environ, "TERM": "xterm-256color", "PYTHONPATH": f"{here}{os.pathsep}{here.parent.parent}"},
        start_new_session=True,
    )
    os.close(theirs)
    sent = bytearray()
    os.set_blocking(ours, False)
    until_s, pressed = time.monotonic() + PATIENCE_S, False
    try:
        while child.poll() is None:
            assert time.monotonic() < until_s, sent.decode(errors="replace")[-2000:]
            try:
                sent += os.read(ours, 65536)
            except (BlockingIOError, OSError):
                time.sleep(0.02)
            if (tmp_path / "running").exists() and not pressed:
                assert not is_gone(int((tmp_path / "pid").read_text()))
                pressed = os.write(ours, key) > 0
    finally:
        child.kill()
        child.wait()
        os.close(ours)
    assert pressed
    assert child.returncode == 0
    assert is_gone(int((tmp_path / "pid").read_text()))
    assert b"Traceback" not in sent
    assert not (tmp_path / "crash.log").exists()
