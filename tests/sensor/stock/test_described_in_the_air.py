"""A described sensor over both routes: found by its name, started, recorded, and read as described."""

from __future__ import annotations

import struct
from dataclasses import replace
from pathlib import Path
from uuid import UUID

import numpy as np

from sensor.assembly import Assembler, Block
from sensor.own.loading import parse
from sensor.radio_sort import sort_of
from sensor.recording import Recording
from sensor.source import Channel, SystemClock
from sensor.virtual.process_setup import SENSOR_ADDRESS, Setup
from tests.air.described import NAME, TEXT
from tests.air.listener import Listener, listening
from tests.air.routes import Route
from tests.air.streaming import SETTINGS, SPEED
from tests.sensor.own.tags import N

G_M_S2 = 9.80665  # exact: 3rd CGPM (1901)
HEAD = 3
"""Bytes before the samples: sequence and time."""
MORE = 60
"""Notifications before the link is lost, and after it."""


async def more(heard: Listener) -> None:
    enough = len(heard.payloads(Channel.DATA)) + MORE
    await heard.until(lambda: len(heard.payloads(Channel.DATA)) >= enough)


def recorded(path: Path, heard: Listener) -> list[Block]:
    """Keep what came, open it again, and assemble it."""
    with Recording.create(path, session_id=UUID(int=1), clock=SystemClock(), meta={}) as recording:
        for arrival in heard.arrivals:
            recording.append(arrival)
    assembler = Assembler(SENSOR_ADDRESS)
    with Recording.open(path) as recording:
        items = [item for arrival in recording.in_order() for item in assembler.push(arrival)]
    return [item for item in (*items, *assembler.finish()) if isinstance(item, Block)]


async def test_its_samples_are_recorded_whole_and_in_order(route: Route, setup: Setup, tmp_path: Path) -> None:
    """Each sample says its own number; what was sent while the link was lost is a gap, for it sends nothing again."""
    settings = replace(SETTINGS, name=NAME, sort=sort_of(parse(TEXT)))
    async with route.described(setup) as there, listening(SystemClock(SPEED), settings, there.backends) as heard:
        await more(heard)
        before = len(heard.payloads(Channel.DATA))
        await there.disturb("lose")
        await more(heard)
        assert heard.links == ["searching", "connected", "lost", "searching", "connected"]
        assert heard.payloads(Channel.INFO) == [TEXT.encode()] * 2
    blocks = recorded(tmp_path / "a.rungwise", heard)
    index = np.concatenate([np.arange(block.first_index, block.first_index + len(block)) for block in blocks])
    index -= index[0]
    counts = np.concatenate([block.force_m_s2[:, 0] for block in blocks]) / (G_M_S2 / 1000)
    (first,) = struct.unpack_from("<h", heard.payloads(Channel.DATA)[0], HEAD)
    np.testing.assert_allclose(counts, (first + 30000 + 31 * index) % 60000 - 30000, atol=0.01)  # `tags.Tag.sends`
    assert np.array_equal(index[: N * before], np.arange(N * before))
    assert len(index) == N * len(heard.payloads(Channel.DATA))
    steps = np.diff(index)
    assert (steps >= 1).all()
    assert (steps > 1).sum() <= 1
