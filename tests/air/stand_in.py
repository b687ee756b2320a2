"""The stand-in's process as a test holds it: start it, tell it what shall go wrong, be sure that it ends."""

from __future__ import annotations

import asyncio
import json
import os
import select
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from tests.air.bus import ADDRESS_VARIABLE

ROOT = Path(__file__).resolve().parents[2]
ANSWERING_S = 60.0
ENDING_S = 5.0


class StandIn:
    """A running stand-in on a bus; `tell` it what to do (`tests.air.bluez.Daemon`)."""

    def __init__(self, bus_address: str) -> None:
        self.bus_address = bus_address
        self.start()

    def start(self) -> None:
        """Start it, for the first time or after it was killed; return when it is up."""
        self._process = subprocess.Popen(
            [sys.executable, "-m", "tests.air.bluez"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            bufsize=0,
            cwd=ROOT,
            env=os.environ | {ADDRESS_VARIABLE: self.bus_address, "PYTHONPATH": str(ROOT)},
        )
        self._answered()

    async def tell(self, what: str, **how: Any) -> None:
        """Have one of its methods called; return when it is done."""
        assert self._process.stdin is not None
        self._process.stdin.write(json.dumps({"do": what, **how}).encode() + b"\n")
        await asyncio.to_thread(self._answered)

    def kill(self) -> None:
        """Kill it: it says goodbye to nobody."""
        self._process.kill()
        self.end()

    def end(self) -> None:
        """End it by closing its stdin, however it is."""
        try:
            self._process.communicate(timeout=ENDING_S)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.communicate()

    def _answered(self) -> None:
        assert self._process.stdout is not None
        ready, _, _ = select.select([self._process.stdout], [], [], ANSWERING_S)
        answer = self._process.stdout.readline().decode().strip() if ready else "no answer"
        if answer != "ok":
            raise RuntimeError(f"the stand-in for the Bluetooth daemon: {answer or 'it has ended'}")


@contextmanager
def stand_in(bus_address: str) -> Iterator[StandIn]:
    """Run a stand-in on a bus for as long as the block lasts."""
    daemon = StandIn(bus_address)
    try:
        yield daemon
    finally:
        daemon.end()
