"""The embedded broker (amqtt) in a process of its own; `python -m tests.brokers.embedded PORT` is that process."""

from __future__ import annotations

import asyncio
import sys
from pathlib import Path

from tests.brokers.process import HOST, BrokerProcess, free_port


def embedded(folder: Path) -> BrokerProcess:
    """Return it as it is for anybody on this machine; not started yet."""
    port = free_port()
    return BrokerProcess([sys.executable, "-m", "tests.brokers.embedded", str(port)], port, folder / "embedded.log")


async def _serve(port: int) -> None:
    from amqtt.broker import Broker

    broker = Broker(
        {
            "listeners": {"default": {"type": "tcp", "bind": f"{HOST}:{port}", "max_connections": 200}},
            "plugins": {"amqtt.plugins.authentication.AnonymousAuthPlugin": {"allow_anonymous": True}},
        }
    )
    await broker.start()
    await asyncio.Event().wait()


if __name__ == "__main__":
    asyncio.run(_serve(int(sys.argv[1])))
