"""The embedded broker behind the gate (amqtt): holds connections, subscriptions, wills and what is retained.

Messages do not pass through its queues. It takes one at a time for all, by three turns of the event loop each, so that
with eighty clients a second's messages took many; and it forgets those that wait when their sender goes. The gate gives
each message to `deliver`, which hands it to everybody who asked for it at once.
"""

from __future__ import annotations

import asyncio
import logging
from contextlib import suppress
from typing import Any

from amqtt.broker import Broker
from amqtt.contexts import BrokerConfig, ListenerConfig, ListenerType
from amqtt.session import Session

from tui.hub.gate import Gate, WayOut
from tui.hub.rules import covers
from tui.hub.wire import Publish

_LISTENER = "default"
_SAID_AGAIN_S = 0.05
"""So often amqtt is told of an end that it passes over."""


class Router(Broker):
    """Amqtt, fed by the gate: every connection that comes here may be here."""

    def __init__(self) -> None:
        listener = ListenerConfig(type=ListenerType.EXTERNAL)
        anybody = {"amqtt.plugins.authentication.AnonymousAuthPlugin": {"allow_anonymous": True}}
        super().__init__(BrokerConfig(listeners={_LISTENER: listener}, plugins=anybody))
        self._on_their_way: set[asyncio.Task[Any]] = set()
        _silence("amqtt", "transitions")

    async def serve(self, gate: Gate, out: WayOut, name: str) -> None:
        """Serve one connection until it ends, under a name of its own.

        One that ends before amqtt waits for that would be served for ever, and its name be taken.
        """
        serving = asyncio.ensure_future(self.external_connected(gate, out, _LISTENER))
        ended = asyncio.ensure_future(gate.ended.wait())
        try:
            await asyncio.wait([serving, ended], return_when=asyncio.FIRST_COMPLETED)
            while not serving.done():
                await asyncio.wait([serving], timeout=_SAID_AGAIN_S)
                handler = self.sessions.get(name, (None, None))[1]
                if handler is not None:
                    await handler.handle_connection_closed()
            await serving
        finally:
            ended.cancel()
            serving.cancel()

    async def deliver(self, head: Publish, payload: bytes) -> None:
        """Hand a message to everybody who asked for it, and keep it where it is to be kept."""
        if head.retain:
            await self.retain_message(None, head.topic, payload, head.qos)
        for asked, sessions in self.subscriptions.items():
            if not covers(asked, head.topic) and asked != f"{head.topic}/#":
                continue
            for session, qos in sessions:
                handler = self.sessions.get(session.client_id, (None, None))[1]
                if handler is not None and session.transitions.state == "connected":
                    self._send(handler.mqtt_publish(head.topic, payload, min(qos, head.qos), retain=False))

    async def shutdown(self) -> None:
        """End all that is under way."""
        for task in self._on_their_way:
            task.cancel()
        await asyncio.gather(*self._on_their_way, return_exceptions=True)
        await super().shutdown()

    def _send(self, sending: Any) -> None:
        task = asyncio.ensure_future(sending)
        self._on_their_way.add(task)
        task.add_done_callback(self._sent)

    def _sent(self, task: asyncio.Task[Any]) -> None:
        self._on_their_way.discard(task)
        # Not answered, or gone: whoever it was for asks again, or did not need it.
        with suppress(asyncio.CancelledError, Exception):
            task.result()

    async def _publish_retained_messages_for_subscription(
        self, subscription: tuple[str, int], session: Session
    ) -> None:
        """Give what is kept to whoever subscribed to it.

        As it is, amqtt gives everything that anybody subscribed to to everybody who connects, and does so while the
        subscriptions change beneath it.
        """
        held = self.subscriptions.get(subscription[0], ())
        if any(one.client_id == session.client_id for one, _ in held):
            await super()._publish_retained_messages_for_subscription(subscription, session)


def _silence(*names: str) -> None:
    """Let libraries write nothing: what a coach should know, the hub says in words of its own."""
    for name in names:
        logger = logging.getLogger(name)
        logger.addHandler(logging.NullHandler())
        logger.propagate = False
        logger.setLevel(logging.CRITICAL)
