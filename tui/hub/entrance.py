"""Where connections come in: each is accepted, and secured where the hub speaks TLS, before anybody is asked who it is.

What a stranger can have open without a word is bounded here, for all of them and for each address, since a handshake
takes memory before it says anything (TLS 1.3, RFC 8446).
"""

from __future__ import annotations

import asyncio
import socket
import ssl
from collections.abc import Awaitable, Callable
from contextlib import suppress

from tui.hub.limits import Limits

BACKLOG = 100
"""Connections that the system holds until they are accepted."""
FULL_S = 1.0
"""How soon it is tried again where no connection can be accepted: too many files are open."""
SHUT_WITHIN_S = 2.0
"""Longest time for taking leave in TLS."""

Taker = Callable[[asyncio.StreamReader, asyncio.StreamWriter], Awaitable[None]]


class Entrance:
    """Listens, until it is closed.

    Parameters
    ----------
    limits
        How many may be unfinished, and for how long.
    tls
        How connections are secured; None: not.
    take
        Serves a connection, once it is secured.
    refuse
        Takes the address of one that was refused.
    """

    def __init__(self, limits: Limits, tls: ssl.SSLContext | None, take: Taker, refuse: Callable[[str], None]) -> None:
        self._limits, self._tls, self._take, self._refuse = limits, tls, take, refuse
        self._listening: list[socket.socket] = []
        self._accepting: list[asyncio.Task[None]] = []
        self._unfinished: dict[asyncio.Task[None], str] = {}

    async def open(self, host: str, port: int) -> None:
        """Begin to listen.

        Raises
        ------
        OSError
            When that cannot be: the port is taken, or not for everybody to take.
        """
        found = await asyncio.get_running_loop().create_server(asyncio.Protocol, host, port, start_serving=False)
        self._listening = [one.dup() for one in found.sockets]  # bound as asyncio does it, and accepted from here
        found.close()
        for one in self._listening:
            one.setblocking(False)
            one.listen(BACKLOG)
            self._accepting.append(asyncio.create_task(self._accept(one)))

    async def close(self) -> None:
        """Listen no more, and end what is unfinished."""
        tasks = [*self._accepting, *self._unfinished]
        for task in tasks:
            task.cancel()
        await asyncio.gather(*tasks, return_exceptions=True)
        for one in self._listening:
            one.close()

    async def _accept(self, listening: socket.socket) -> None:
        while True:
            try:
                came, address = await asyncio.get_running_loop().sock_accept(listening)
            except OSError:
                await asyncio.sleep(FULL_S)
                continue
            host = str(address[0])
            if self._is_too_much(host):
                self._refuse(host)
                came.close()
            else:
                self._begin(came, host)

    def _is_too_much(self, host: str) -> bool:
        of_one = sum(one == host for one in self._unfinished.values())
        return len(self._unfinished) >= self._limits.unfinished or of_one >= self._limits.unfinished_of_one

    def _begin(self, came: socket.socket, host: str) -> None:
        task = asyncio.create_task(self._secure(came))
        self._unfinished[task] = host
        task.add_done_callback(lambda done: self._end(done, came))

    def _end(self, task: asyncio.Task[None], came: socket.socket) -> None:
        del self._unfinished[task]
        if task.cancelled() or task.exception() is not None:
            came.close()

    async def _secure(self, came: socket.socket) -> None:
        """Make a connection of a socket; one that says nothing in time, or does not speak TLS, is ended."""
        within_s = self._limits.connect_within_s if self._tls else None
        with suppress(OSError):
            await asyncio.get_running_loop().connect_accepted_socket(
                lambda: asyncio.StreamReaderProtocol(asyncio.StreamReader(), self._take),
                came,
                ssl=self._tls,
                ssl_handshake_timeout=within_s,
                ssl_shutdown_timeout=SHUT_WITHIN_S if self._tls else None,
            )
