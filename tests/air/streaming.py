"""A sensor that streams, and what it means that it does so again after a fault."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import numpy as np

from sensor.radio import RadioSettings
from sensor.source import SystemClock
from sensor.virtual.process_setup import Setup
from tests.air.listener import Listener, listening
from tests.air.routes import Place, Route

SPEED = 5.0
SETTINGS = RadioSettings(stall_s=5.0, retry_s=0.5, gather_s=0)


@asynccontextmanager
async def streaming(
    route: Route, setup: Setup, settings: RadioSettings = SETTINGS
) -> AsyncIterator[tuple[Place, Listener]]:
    """Have a sensor whose packets come."""
    async with route.sensors(setup) as there, listening(SystemClock(SPEED), settings, there.backends) as heard:
        await heard.until_packets()
        yield there, heard


async def assert_recovered(heard: Listener) -> None:
    """The sensor is connected again, every sample is there, and no live packet came twice."""
    await heard.until_link("connected", times=2)
    await heard.until_packets()
    await heard.until_whole()
    assert heard.repeated == []


def write_turning(path: Path, rate_hz: float, duration_s: float) -> None:
    """Write the table of a sensor that turns on the spot, one radian a second."""
    t_s = np.arange(round(duration_s * rate_hz)) / rate_hz
    force_g = np.column_stack([np.sin(t_s), np.cos(t_s), 0 * t_s])
    table = np.column_stack([t_s, force_g, np.zeros((len(t_s), 2)), np.full(len(t_s), np.degrees(1.0))])
    header = "t_s,ax_g,ay_g,az_g,gx_dps,gy_dps,gz_dps"
    np.savetxt(path, table, fmt="%.4f", delimiter=",", header=header, comments="")
