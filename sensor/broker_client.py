"""One connection to an MQTT broker, from its beginning to its loss; no other file speaks to the library."""

from __future__ import annotations

import asyncio
import errno
import logging
import ssl
from collections.abc import AsyncIterator, Callable, Sequence
from contextlib import asynccontextmanager, suppress
from dataclasses import dataclass
from typing import Any

import aiomqtt
from aiomqtt.exceptions import MqttConnectError

from sensor.broker_address import Access, Address
from sensor.broker_words import explain, not_allowed, refused

KEEPALIVE_S = 6
"""Silent for so long, the broker is asked; silent for as long again, it is lost (OASIS MQTT 3.1.1, 3.1.2.10)."""
CONNECT_S = 5.0
"""Longest time for the broker's answer to a connection, real seconds."""
SEND_S = 10.0
"""Longest time for its answer to a letter, real seconds."""
_LOOK_S = 0.1
_AT_ONCE = 64
_MAY_NOT = 0x80
"""Return code of SUBACK: a subscription failed (OASIS MQTT 3.1.1, 3.9.3)."""
_AS_OF_311 = {0x84: 1, 0x85: 2, 0x88: 3, 0x86: 4, 0x87: 5}
"""Return codes of CONNACK: the library tells those of OASIS MQTT 5.0 (3.2.2.2); here as 3.1.1 has them (3.2.2.3)."""

_LOGGER = logging.getLogger("rungwise.mqtt")
_LOGGER.propagate = False  # on the screen's terminal nothing else may write
_LOGGER.addHandler(logging.NullHandler())


@dataclass(frozen=True, slots=True)
class Letter:
    """What is sent or came: bytes on a topic.

    Attributes
    ----------
    topic, payload
        What is meant by them is others' affair.
    retain
        Sent: the broker keeps it for who comes later. Come: it was kept, and is from before.
    qos
        0: at most once; 1: until the broker has it.
    """

    topic: str
    payload: bytes
    retain: bool = False
    qos: int = 1


class NoConnectionError(Exception):
    """There is no connection, or no more.

    Attributes
    ----------
    lasts
        Whether trying again is in vain until somebody changes something.
    """

    def __init__(self, why: str, *, lasts: bool) -> None:
        super().__init__(why)
        self.lasts = lasts


@dataclass(frozen=True, slots=True)
class Login:
    """How a client makes itself known.

    Attributes
    ----------
    address, access
        Where the broker is, and what it is spoken to with.
    tls
        How the connection is secured; None: not, on this computer.
    name
        What the client is called.
    will
        What the broker tells in its place when the connection is lost.
    """

    address: Address
    access: Access
    tls: ssl.SSLContext | None
    name: str
    will: Letter | None

    @property
    def account(self) -> str:
        """Name of the account."""
        return self.address.user or self.name


class Connection:
    """An open connection."""

    def __init__(self, client: aiomqtt.Client, login: Login) -> None:
        self._client, self._login = client, login
        self._lost: asyncio.Future[None] = asyncio.get_running_loop().create_future()

    async def listen(self, topics: Sequence[str], qos: int) -> None:
        """Subscribe.

        Raises
        ------
        NoConnectionError
            When the broker does not allow it.
        """
        granted = await self._client.subscribe([(topic, qos) for topic in topics])
        for topic, code in zip(topics, granted, strict=True):
            if _number(code) >= _MAY_NOT:
                raise NoConnectionError(not_allowed(topic, self._login.account, self._login.address), lasts=True)

    async def publish(self, letter: Letter) -> bool:
        """Return whether the broker has a letter: not where the connection is lost meanwhile."""
        publishing = asyncio.ensure_future(
            self._client.publish(letter.topic, letter.payload, qos=letter.qos, retain=letter.retain, timeout=SEND_S)
        )
        try:
            await asyncio.wait([publishing, self._lost], return_when=asyncio.FIRST_COMPLETED)
        finally:
            if not publishing.done():
                publishing.cancel()
        return publishing.done() and not publishing.cancelled() and publishing.exception() is None

    async def until_lost(self) -> None:
        """Wait until the connection is lost, and raise why."""
        async for _ in self._client.messages:  # none comes here (`_Straight`)
            pass

    def close(self) -> None:
        """Let nobody wait for an answer any longer."""
        if not self._lost.done():
            self._lost.set_result(None)


@asynccontextmanager
async def connected(login: Login, take: Callable[[Letter], None]) -> AsyncIterator[Connection]:
    """Hold one connection open; what comes is given to `take` at once, in the loop that this runs in.

    Raises
    ------
    NoConnectionError
        When it cannot be opened, or is lost.
    """
    loop = asyncio.get_running_loop()
    if loop.get_exception_handler() is None:
        loop.set_exception_handler(_tell)
    try:
        async with _opened(_client(login, take)) as client:
            connection = Connection(client, login)
            try:
                yield connection
            finally:
                connection.close()
    except MqttConnectError as error:
        why, lasts = refused(_AS_OF_311.get(_number(error.rc), _number(error.rc)), login.account, login.address)
        raise NoConnectionError(why, lasts=lasts) from error
    except (aiomqtt.MqttError, OSError, UnicodeError) as error:
        why, lasts = explain(error, login.address)
        raise NoConnectionError(why, lasts=lasts) from error


def _tell(loop: asyncio.AbstractEventLoop, context: dict[str, Any]) -> None:
    """Pass over what only says once more that a connection is lost, on a terminal where a screen may be.

    A socket may be closed before the loop comes to watch it, and the library keeps the reason of a loss in a future
    that nobody may have asked any more.
    """
    error = context.get("exception")
    is_closed = isinstance(error, OSError) and error.errno == errno.EBADF
    if not is_closed and not isinstance(error, aiomqtt.MqttError):
        loop.default_exception_handler(context)


def _client(login: Login, take: Callable[[Letter], None]) -> aiomqtt.Client:
    """Return a client for one connection: what another one had not sent yet is not sent by this one."""

    class Straight(asyncio.Queue[aiomqtt.Message]):
        """Passes on at once what comes, so that it is stamped when it comes."""

        def put_nowait(self, item: aiomqtt.Message) -> None:
            take(Letter(item.topic.value, item.payload, bool(item.retain), item.qos))

    will, password = login.will, login.access.password
    client = aiomqtt.Client(
        login.address.host,
        login.address.port,
        username=login.account if login.address.user or password is not None else None,
        password=password,
        identifier=login.name,
        protocol=aiomqtt.ProtocolVersion.V311,
        clean_session=True,
        keepalive=KEEPALIVE_S,
        will=None if will is None else aiomqtt.Will(will.topic, will.payload, will.qos, will.retain),
        tls_context=login.tls,
        timeout=CONNECT_S,
        queue_type=Straight,
        max_inflight_messages=_AT_ONCE,
        logger=_LOGGER,
    )
    client.pending_calls_threshold = _AT_ONCE
    return client


def _number(code: object) -> int:
    value = getattr(code, "value", code)
    assert isinstance(value, int)
    return value


@asynccontextmanager
async def _opened(client: aiomqtt.Client) -> AsyncIterator[aiomqtt.Client]:
    """Open a connection; whatever happens, its socket is closed afterwards.

    The library connects in a thread, which cannot be interrupted: whoever is cancelled meanwhile waits for it.
    """
    opening, before = asyncio.ensure_future(client.__aenter__()), client._disconnected
    try:
        await _answered(client, opening)
        yield client
    finally:
        if not opening.done():
            await asyncio.wait([opening])
        if not opening.cancelled() and opening.exception() is None:
            with suppress(aiomqtt.MqttError):
                await client.__aexit__(None, None, None)
        _close(client)
        for loss in (before, client._disconnected):
            if loss.done() and not loss.cancelled():
                loss.exception()  # looked at, so that nothing is printed of it


async def _answered(client: aiomqtt.Client, opening: asyncio.Future[aiomqtt.Client]) -> None:
    """Wait until the broker has answered, and raise what keeps it from that; the library passes over a hanging up."""
    was_open, closed = False, 0
    while not opening.done():
        await asyncio.wait([opening], timeout=_LOOK_S)
        is_open = client._client.socket() is not None
        was_open = was_open or is_open
        closed = closed + 1 if was_open and not is_open else 0
        if closed > 1 and not opening.done():  # the first time, the broker's word may be on its way to `opening`
            opening.cancel()  # its thread has ended: there was a socket
            raise aiomqtt.MqttError("hung up")
    await opening
    if client._client.socket() is None:
        raise aiomqtt.MqttError("hung up")


def _close(client: aiomqtt.Client) -> None:
    """Close what the library leaves open when a broker gave no answer, or the connection broke while it was used."""
    used = client._client
    left = used.socket()
    if left is None:
        return
    loop = asyncio.get_running_loop()
    loop.remove_reader(left)
    loop.remove_writer(left)
    # Without the loop the library writes at once; with it, it would ask for the socket later, when it is closed.
    used.on_socket_register_write = used.on_socket_unregister_write = used.on_socket_close = None
    used.disconnect()  # written, if the network takes it, and closed
    if used.socket() is not None:
        left.close()
    if client._misc_task is not None:
        client._misc_task.cancel()
