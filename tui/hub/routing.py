"""The embedded broker behind the gate (amqtt): routes what is let through."""

from __future__ import annotations

import logging

from amqtt.broker import Broker
from amqtt.contexts import BrokerConfig, ListenerConfig, ListenerType
from amqtt.session import Session

from tui.hub.gate import Gate, WayOut

_LISTENER = "default"


class Router(Broker):
    """Amqtt, fed by the gate: every connection that comes here may be here."""

    def __init__(self) -> None:
        listener = ListenerConfig(type=ListenerType.EXTERNAL)
        anybody = {"amqtt.plugins.authentication.AnonymousAuthPlugin": {"allow_anonymous": True}}
        super().__init__(BrokerConfig(listeners={_LISTENER: listener}, plugins=anybody))
        _silence("amqtt", "transitions")

    def waiting(self, name: str) -> int:
        """Return how many messages wait, of that connection or to be passed on."""
        session, _ = self.sessions.get(name, (None, None))
        own = session.delivered_message_queue.qsize() if session else 0
        return int(self._broadcast_queue.qsize() + own)

    async def serve(self, gate: Gate, out: WayOut) -> None:
        """Serve one connection until it ends."""
        await self.external_connected(gate, out, _LISTENER)

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
