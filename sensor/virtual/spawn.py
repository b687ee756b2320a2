"""Start the virtual sensor's process and be sure that it ends."""

from __future__ import annotations

import asyncio
import os
import sys
import tempfile
from asyncio.subprocess import PIPE, Process
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress
from pathlib import Path
from typing import IO

from sensor.virtual.process_setup import Setup

PROCESS = "sensor.virtual.process"
STARTING_S = 60.0
ENDING_S = 2.0
SHOWN_OF_STDERR = 2000
PACKAGE_ROOT = Path(__file__).resolve().parents[2]


class VirtualSensorError(RuntimeError):
    """The virtual sensor could not start, or broke down; the message holds what its process said."""


@asynccontextmanager
async def virtual_sensor(setup: Setup, over: asyncio.Event | None = None) -> AsyncIterator[int]:
    """Run a virtual sensor in a process of its own, for as long as the block lasts.

    Nothing of it reaches the terminal: stderr is kept aside, and shown in the error if the process breaks down.

    Parameters
    ----------
    setup
        What it is told.
    over
        Set when its motion is over and the process has ended well.

    Yields
    ------
    int
        The port on the loopback interface where its virtual Bluetooth adapter is served.

    Raises
    ------
    VirtualSensorError
        When it does not start, or has broken down by the end of the block.
    """
    with tempfile.TemporaryFile() as stderr:
        process = await _spawn(stderr)
        watching = asyncio.create_task(_watch(process, over or asyncio.Event()))
        try:
            yield await _ready(process, setup, stderr)
        finally:
            watching.cancel()
            status = await _end(process)
        if status != 0:
            raise VirtualSensorError(f"the virtual sensor broke down (status {status}): {_said(stderr)}")


async def _spawn(stderr: IO[bytes]) -> Process:
    path = os.pathsep.join([str(PACKAGE_ROOT), *filter(None, [os.environ.get("PYTHONPATH")])])
    command = [sys.executable, "-P", "-m", PROCESS]
    return await asyncio.create_subprocess_exec(
        *command,
        stdin=PIPE,
        stdout=PIPE,
        stderr=stderr,
        env=os.environ | {"PYTHONPATH": path},
        start_new_session=True,  # Ctrl-C in the terminal is for the parent, which then ends this process
    )


async def _watch(process: Process, over: asyncio.Event) -> None:
    if await process.wait() == 0:
        over.set()


async def _ready(process: Process, setup: Setup, stderr: IO[bytes]) -> int:
    assert process.stdin is not None
    assert process.stdout is not None
    with suppress(ConnectionError):  # it ended at once: the reason is read below
        process.stdin.write(setup.to_json().encode() + b"\n")
        await process.stdin.drain()
    try:
        line = await asyncio.wait_for(process.stdout.readline(), STARTING_S)
    except TimeoutError:
        raise VirtualSensorError(f"the virtual sensor did not start within {STARTING_S:g} s") from None
    word, _, rest = line.decode().strip().partition(" ")
    match word:
        case "ready":
            return int(rest)
        case "failed":
            raise VirtualSensorError(rest)
        case _:
            await process.wait()
            raise VirtualSensorError(f"the virtual sensor did not start: {_said(stderr)}")


async def _end(process: Process) -> int:
    """Ask the process to end by closing its stdin and return its status; 0 also where it had to be killed for that."""
    assert process.stdin is not None
    process.stdin.close()
    try:
        return await asyncio.wait_for(process.wait(), ENDING_S)
    except TimeoutError:
        await _kill(process)
        return 0
    except asyncio.CancelledError:
        await _kill(process)
        raise


async def _kill(process: Process) -> None:
    with suppress(ProcessLookupError):
        process.kill()
    await process.wait()


def _said(stderr: IO[bytes]) -> str:
    """Return the end of what the process wrote to stderr."""
    stderr.seek(0)
    return stderr.read().decode(errors="replace").strip()[-SHOWN_OF_STDERR:] or "it said nothing"
