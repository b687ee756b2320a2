"""A terminal that takes nothing, or is gone, while a session goes on (POSIX.1-2017, 11.1.10: then writing is EIO)."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

if sys.platform == "win32":
    pytest.skip("pseudo-terminals are a thing of POSIX", allow_module_level=True)

from test_crash import Terminal

SCRIPT = """
import asyncio, sys
from pathlib import Path
from screen_feed import snapshot
from tui.home import Home
from tui.session.messages import Stage
from tui.occasion import Occasion
from tui.running import run_in_dashboard

folder = Path(sys.argv[1])

class Control:
    stopped = asyncio.Event()
    def stop(self):
        self.stopped.set()

async def session(feed):
    count = 0
    try:
        while not Control.stopped.is_set():
            count += 1
            name = f"Recruit {count % 10} " + "x" * (count % 40)
            feed.post_snapshot(snapshot(Stage.SET, count=count % 50, trainee=name))
            (folder / "beat").write_text(str(count))
            await asyncio.sleep(0.02)
        await asyncio.sleep(3.0)  # longer than the pictures that may wait take
    finally:
        (folder / "closed").touch()

run_in_dashboard(lambda held: Occasion(session, control=Control()), home=Home(folder))
"""


KEYS = "help"
"""In the last line of the screen, which is sent anew with a whole picture alone."""


def until(is_so: Callable[[], bool], within_s: float = 60.0) -> None:
    end_s = time.monotonic() + within_s
    while not is_so():
        assert time.monotonic() < end_s
        time.sleep(0.05)


def beats(folder: Path) -> int:
    said = (folder / "beat").read_text() if (folder / "beat").exists() else ""
    return int(said or 0)


@contextmanager
def started(folder: Path) -> Iterator[Terminal]:
    terminal = Terminal(folder, "draw", SCRIPT)
    try:
        until(lambda: beats(folder) > 5)
        yield terminal
    finally:
        terminal.child.kill()
        terminal.child.wait()


def test_a_terminal_that_is_gone_ends_the_session_whole(tmp_path: Path) -> None:
    with started(tmp_path) as terminal:
        terminal.close()
        until(lambda: terminal.child.poll() is not None)
        assert (tmp_path / "closed").exists()


def test_a_terminal_that_stands_still_holds_up_no_session_and_is_drawn_whole_afterwards(tmp_path: Path) -> None:
    with started(tmp_path) as terminal:
        assert KEYS in terminal.read_for(3.0)
        before = beats(tmp_path)  # from here nobody reads: what the terminal holds is soon full
        until(lambda: beats(tmp_path) > before + 400)
        assert terminal.read_for(3.0).count(KEYS) == 1
        terminal.child.terminate()
        terminal.read()
        assert terminal.child.returncode == 0
        assert (tmp_path / "closed").exists()
        assert terminal.is_as_before
        terminal.close()
