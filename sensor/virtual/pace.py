"""A virtual sensor's packets when they are due, on the session's clock."""

from __future__ import annotations

import math
from collections.abc import AsyncGenerator, Iterator

from sensor.source import HostClock
from sensor.virtual.core import PACKET_S, SensorCore

LINGER_S = 2.0


async def paced(core: SensorCore, clock: HostClock) -> AsyncGenerator[tuple[float, bytes], None]:
    """Yield each packet when it is due, with that time, until the sensor is stopped or its motion is over.

    After the last packet the sensor stays silent but present for `LINGER_S`, so that the host can still ask for what
    it missed. Whoever falls behind the clock gets all the packets due at once; none is left out.
    """
    last_s = clock.now_s()
    while core.streaming:
        if core.finished and clock.now_s() - last_s >= LINGER_S:
            return
        await clock.sleep(PACKET_S if core.finished else core.next_due_s() - clock.now_s())
        for due_s, packet in _due(core, clock.now_s()):
            yield due_s, packet
            last_s = clock.now_s()


def _due(core: SensorCore, now_s: float) -> Iterator[tuple[float, bytes]]:
    """Yield what is due by now, one packet's time after the other."""
    while (due_s := core.next_due_s()) <= now_s and not core.finished:
        at_s = now_s if math.isinf(due_s) else due_s
        yield from ((at_s, packet) for packet in core.due(at_s) or core.due(now_s))
