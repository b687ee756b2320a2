"""The live screen in a real (pseudo-)terminal: with NO_COLOR, and with a terminal that can do little."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

if sys.platform == "win32":
    pytest.skip("pseudo-terminals are a thing of POSIX", allow_module_level=True)

import fcntl
import pty
import struct
import termios

SCRIPT = """
import asyncio
from screen_feed import snapshot
from tui.app import RungwiseApp
from tui.occasion import Occasion
from tui.session.messages import Stage

async def session(feed):
    feed.post_snapshot(snapshot(Stage.SET))
    while "7" not in [number.text for number in app.screen.query("#number")]:
        await asyncio.sleep(0.01)
    app.screen.call_after_refresh(app.exit)

app = RungwiseApp(Occasion(session))
app.run(mouse=False)
raise SystemExit(app.failure or app.return_code)
"""


def run_in_terminal(**environ: str) -> str:
    """Run the script in a terminal of 80 × 24; return what it sent there."""
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
    here = Path(__file__).parent
    kept = {name: value for name, value in os.environ.items() if name not in ("NO_COLOR", "COLORTERM")}
    path = os.pathsep.join((str(here), str(here.parent.parent)))
    child = subprocess.Popen(
        [sys.executable, "-c", SCRIPT],
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
        env={**kept, "TERM": "xterm-256color", **environ, "PYTHONPATH": path},
    )
    os.close(theirs)
    sent = bytearray()
    try:
        while part := os.read(ours, 65536):
            sent += part
    except OSError:
        pass  # Linux says so when the other end is closed
    finally:
        os.close(ours)
    assert child.wait() == 0, sent.decode(errors="replace")
    return sent.decode(errors="replace")


def colours(sent: str) -> set[str]:
    """Return the colour codes among what was sent (ECMA-48 SGR 30–37, 38, 40–47, 48, 90–107; 39 and 49 are none)."""
    codes = [code for part in re.findall(r"\x1b\[([\d;]*)m", sent) for code in part.split(";")]
    return {code for code in codes if re.fullmatch(r"3[0-8]|4[0-8]|9[0-7]|10[0-7]", code)}


def test_no_colour_is_sent_where_none_is_wanted() -> None:
    sent = run_in_terminal(NO_COLOR="1")
    assert colours(sent) == set()
    assert "█" in sent
    assert "Mara Lindt" in sent


def test_colours_are_sent_where_they_are_wanted() -> None:
    assert "38" in colours(run_in_terminal(COLORTERM="truecolor"))


@pytest.mark.parametrize("term", ["dumb", "vt100", "linux"])
def test_a_terminal_that_can_do_little_is_no_reason_to_fail(term: str) -> None:
    assert "Mara Lindt" in run_in_terminal(TERM=term)
