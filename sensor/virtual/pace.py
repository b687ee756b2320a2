"""A virtual sensor's packets when they are due, on the session's clock."""

from __future__ import annotations

from collections.abc import AsyncGenerator

from sensor.source import HostClock
from sensor.virtual.core import PACKET_S, SensorCore

LINGER_S = 2.0


async def paced(core: SensorCore, clock: HostClock) -> AsyncGenerator[bytes, None]:
    """Yield each packet when it is due, until the sensor is stopped, or for a while after its motion is over.

    After the last packet the sensor stays silent but present for `LINGER_S`, so that the host can still ask for what
    it missed. Whoever falls behind the clock gets all the packets due at once; none is left out.
    """
    last_s = clock.now_s()
    while core.streaming:
        if core.finished and clock.now_s() - last_s >= LINGER_S:
            return
        await clock.sleep(PACKET_S if core.finished else core.next_due_s() - clock.now_s())
        for packet in core.due(clock.now_s()):
            yield packet
            last_s = clock.now_s()
