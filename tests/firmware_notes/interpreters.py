"""Runs a script of `board/` on CPython or on MicroPython's unix port, which comes as a wheel (extra `test`)."""

from __future__ import annotations

import importlib.util
import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

NOTES = Path(__file__).parents[2] / "firmware_notes"
_BOARD = Path(__file__).parent / "board"
BOTH = ("cpython", "micropython")


def run(interpreter: str, script: str, argument: str, folder: Path, heap: str = "64M") -> Any:
    """What the script printed, read as JSON; `folder` is its working directory.

    The heap (MicroPython only) is large for the simulated world around the firmware, not for the firmware.
    """
    if interpreter == "micropython" and importlib.util.find_spec("micropython_unix") is None:
        pytest.skip("no wheel of MicroPython's unix port for this platform")
    options = ["-m", "micropython_unix", "-X", f"heapsize={heap}"] if interpreter == "micropython" else []
    command = [sys.executable, *options, str(_BOARD / script), argument, str(NOTES)]
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, timeout=300, check=False)
    lines = done.stdout.splitlines()
    assert lines, done.stderr
    assert lines[-1][0] in "[{", done.stdout + done.stderr
    return json.loads(lines[-1])
