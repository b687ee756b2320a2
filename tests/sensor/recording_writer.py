"""A process to be killed: writes a recording and says on stdout what it did, on a clock of its own.

The clock steps 20 ms at each arrival, so that what a kill loses is measured in the writer's own seconds, however slow
the machine is. Lines: `a NUMBER` after arrival NUMBER was handed over (it came at NUMBER × 0.02 s).
"""

import asyncio
import sys
from pathlib import Path
from uuid import UUID

from stepclock import StepClock

from sensor.recording import Recording
from sensor.source import Arrival, Channel

STEP_S = 0.02
SESSION = UUID("00000000-0000-4000-8000-000000000001")


async def write(path: Path) -> None:
    clock = StepClock()
    recording = Recording.create(path, session_id=SESSION, clock=clock, meta={"mount": "body"})
    for number in range(1_000_000):
        payload = number.to_bytes(4, "little") * 50
        recording.append(Arrival("clip", number * STEP_S, Channel.DATA, payload))
        print("a", number, flush=True)  # noqa: T201
        await clock.advance(STEP_S)


if __name__ == "__main__":
    asyncio.run(write(Path(sys.argv[1])))
