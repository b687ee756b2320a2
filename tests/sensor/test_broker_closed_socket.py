"""A socket that is closed before the event loop comes to watch it; from memory: seen once in half an hour of faults."""

import asyncio
import gc
import logging
import os
from pathlib import Path

import pytest
from aiomqtt import MqttError

from sensor.broker import Access, Address, Broker
from sensor.source import SystemClock
from tests.brokers.process import BrokerProcess


async def test_what_the_library_wishes_of_a_closed_socket_is_told_nobody(
    broker: BrokerProcess, caplog: pytest.LogCaptureFixture
) -> None:
    loop = asyncio.get_running_loop()
    async with Broker(Address.parse(broker.url), Access(None, None), name="rack-3", clock=SystemClock()) as ours:
        await asyncio.wait_for(ours.link.up(), 10.0)
        gone, other = os.pipe()
        os.close(gone)
        os.close(other)
        with caplog.at_level(logging.ERROR, "asyncio"):
            loop.call_soon(loop.add_writer, gone, lambda: None)
            await asyncio.sleep(0.05)
            loop.create_future().set_exception(MqttError("lost"))
            gc.collect()
            await asyncio.sleep(0.05)
            assert not caplog.records
            loop.call_soon(lambda: Path("nowhere/at/all").read_text())
            await asyncio.sleep(0.05)
            assert "nowhere" in caplog.text
