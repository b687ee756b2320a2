"""What the program leaves behind when it breaks off: a terminal as it was, a complete log, a file that says why."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import click
import pytest

if sys.platform == "win32":
    pytest.skip("pseudo-terminals are a thing of POSIX", allow_module_level=True)

import fcntl
import pty
import struct
import termios

from tui.crash import CRASHED, Crash, crash_log
from tui.home import Home
from tui.occasion import Occasion
from tui.running import run_in_dashboard
from tui.trouble import Trouble

SCRIPT = """
import asyncio, sys
from pathlib import Path
from screen_feed import snapshot
from tui.home import Home
from tui.session.messages import Stage
from tui.occasion import Occasion
from tui.running import run_in_dashboard

folder, what = Path(sys.argv[1]), sys.argv[2]

class Control:
    stopped = asyncio.Event()
    def stop(self):
        self.stopped.set()

async def session(feed):
    try:
        feed.post_snapshot(snapshot(Stage.SET))
        await asyncio.sleep(0.3)
        if what == "draw":
            feed.post_snapshot("no snapshot")
        if what == "session":
            raise RuntimeError("no such phase")
        if what == "below":
            import ctypes
            ctypes.string_at(0)
        (folder / "running").touch()
        await Control.stopped.wait()
    finally:
        (folder / "closed").touch()

run_in_dashboard(lambda held: Occasion(session, control=Control()), home=Home(folder))
"""


def test_a_home_that_cannot_be_made_is_told_before_anything_is_shown(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(Trouble, match="Name another folder with --home"):
        run_in_dashboard(lambda held: Occasion(), home=Home(tmp_path / "file" / "home"))


class Terminal:
    """A terminal of 80 × 24 in which the script runs."""

    def __init__(self, folder: Path, what: str, script: str = SCRIPT) -> None:
        self.ours, self._theirs = pty.openpty()
        fcntl.ioctl(self._theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        self.before = termios.tcgetattr(self._theirs)
        here = Path(__file__).parent
        run = f"import sys\nfrom click import ClickException\ntry:\n    exec({script!r})\n"
        run += "except ClickException as error:\n    error.show()\n    raise SystemExit(error.exit_code)\n"
        self.child = subprocess.Popen(
            [sys.executable, "-c", run, str(folder), what],
            stdin=self._theirs,
            stdout=self._theirs,
            stderr=self._theirs,
            env={**os.environ, "TERM": "xterm-256color", "PYTHONPATH": f"{here}{os.pathsep}{here.parent.parent}"},
            start_new_session=True,
        )

    def read_for(self, lasts_s: float) -> str:
        """Return what was sent within some time."""
        sent = bytearray()
        os.set_blocking(self.ours, False)
        until_s = time.monotonic() + lasts_s
        while time.monotonic() < until_s:
            try:
                sent += os.read(self.ours, 65536)
            except BlockingIOError:
                time.sleep(0.02)
        return sent.decode(errors="replace")

    def read(self) -> str:
        """Return what was sent until the script is over."""
        sent = bytearray()
        os.set_blocking(self.ours, False)
        until_s = time.monotonic() + 60
        while time.monotonic() < until_s:
            over = self.child.poll() is not None
            try:
                sent += os.read(self.ours, 65536)
            except BlockingIOError:
                if over:
                    break
                time.sleep(0.02)
        return sent.decode(errors="replace")

    @property
    def is_as_before(self) -> bool:
        """Whether echo, line editing and all the other modes are as they were."""
        return termios.tcgetattr(self._theirs) == self.before

    def close(self) -> None:
        os.close(self.ours)
        os.close(self._theirs)


def test_where_nothing_happened_nothing_is_left(tmp_path: Path) -> None:
    with crash_log(tmp_path / "crash.log"):
        pass
    assert list(tmp_path.iterdir()) == []


def test_a_fault_is_written_behind_the_earlier_ones_and_named(tmp_path: Path) -> None:
    path = tmp_path / "crash.log"
    for fault in ("first fault", "second fault"):
        with pytest.raises(Crash, match=r"crash\.log"), crash_log(path):
            raise RuntimeError(fault)
    kept = path.read_text(encoding="utf-8")
    assert kept.index("RuntimeError: first fault") < kept.index("RuntimeError: second fault")


def test_what_was_told_clearly_is_no_fault(tmp_path: Path) -> None:
    with pytest.raises(click.ClickException, match="switch it on"), crash_log(tmp_path / "crash.log"):
        raise click.ClickException("switch it on")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(("what", "said"), [("draw", "AttributeError"), ("session", "no such phase")])
def test_a_fault_restores_the_terminal_names_the_file_and_lets_the_session_close(
    what: str, said: str, tmp_path: Path
) -> None:
    terminal = Terminal(tmp_path, what)
    sent = terminal.read()
    assert terminal.child.returncode == CRASHED, sent
    assert terminal.is_as_before
    assert "\x1b[?1049l" in sent  # back from the alternate screen (xterm's control sequences, DECRST 1049)
    told = "".join(sent[sent.rindex("\x1b[?1049l") :].split())  # in lines as wide as the terminal
    assert "crash.log" in told
    assert said in (tmp_path / "crash.log").read_text(encoding="utf-8")
    assert (tmp_path / "closed").exists()
    terminal.close()


def test_a_fault_below_python_leaves_its_trace_too(tmp_path: Path) -> None:
    terminal = Terminal(tmp_path, "below")
    terminal.read()
    assert terminal.child.returncode == -signal.SIGSEGV
    assert "in string_at" in (tmp_path / "crash.log").read_text(encoding="utf-8")
    terminal.close()


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_who_is_told_to_end_closes_the_session_first(number: signal.Signals, tmp_path: Path) -> None:
    terminal = Terminal(tmp_path, "wait")
    while not (tmp_path / "running").exists() and terminal.child.poll() is None:
        time.sleep(0.02)
    terminal.child.send_signal(number)
    terminal.read()
    assert terminal.child.returncode == 0
    assert (tmp_path / "closed").exists()
    assert terminal.is_as_before
    terminal.close()
