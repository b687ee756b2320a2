"""The hub itself: takes connections, asks who it is, and has the embedded broker serve them behind the gate."""

from __future__ import annotations

import asyncio
import itertools
import socket
import ssl
from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from pathlib import Path

from tui.hub import wire
from tui.hub.accounts import load
from tui.hub.door import Door
from tui.hub.entrance import Entrance
from tui.hub.errors import HubError
from tui.hub.gate import Gate, WayOut, frame
from tui.hub.guest import Guest
from tui.hub.limits import CONNECT_BYTES, Limits, Notices
from tui.hub.routing import Router

_LOOKS_EVERY_S = 1.0
_SILENT_FOR = 1.5
"""A client is gone that was silent for so many times its own keep-alive (OASIS MQTT 3.1.1, 3.1.2.10)."""
_ENDS_WITHIN_S = 2.0
_MANY = "There are too many connections: one more was refused."


class _Link:
    """A connection of a guest."""

    def __init__(self, guest: Guest, gate: Gate, writer: asyncio.StreamWriter) -> None:
        self.guest = guest
        self.gate = gate
        self._writer = writer
        self.gone = asyncio.Event()

    def end(self) -> None:
        """End it at once."""
        self._writer.transport.abort()


class Hub:
    """Serves until it is stopped.

    Parameters
    ----------
    accounts
        File of who may use it; read again when it changes.
    gym
        Stands before all topics; empty for none.
    say
        Takes sentences on what was refused.
    """

    def __init__(
        self, accounts: Path, *, gym: str = "", limits: Limits | None = None, say: Callable[[str], None]
    ) -> None:
        self._file = accounts
        self._edition = _edition(accounts)
        self._limits = limits or Limits()
        self._notices = Notices()
        self._say = say
        self._door = Door(load(accounts), self._limits, gym, self._tell)
        self._router = Router()
        self._links: dict[str, _Link] = {}
        self._connections: set[asyncio.StreamWriter] = set()
        self._unknown = 0
        self._numbers = itertools.count(1)
        self._entrance: Entrance | None = None
        self._watching: asyncio.Task[None] | None = None

    async def start(self, host: str, port: int, tls: ssl.SSLContext | None = None) -> None:
        """Begin to listen.

        Raises
        ------
        OSError
            When that cannot be: the port is taken, or not for everybody to take.
        """
        entrance = Entrance(self._limits, tls, self._taken, lambda host: self._tell(host, "unfinished", _MANY))
        await entrance.open(host, port)
        self._entrance = entrance
        await self._router.start()
        self._watching = asyncio.create_task(self._watch())

    async def stop(self) -> None:
        """End all connections, and listen no more."""
        assert self._entrance is not None
        assert self._watching is not None
        await self._entrance.close()
        self._watching.cancel()
        links = list(self._links.values())
        for writer in list(self._connections):
            writer.transport.abort()
        with suppress(TimeoutError):
            await asyncio.wait_for(asyncio.gather(*(link.gone.wait() for link in links)), _ENDS_WITHIN_S)
        await self._router.shutdown()
        await asyncio.gather(self._watching, return_exceptions=True)

    async def _taken(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        host = str((writer.get_extra_info("peername") or ("unknown",))[0])
        if len(self._connections) >= self._limits.connections or self._unknown >= self._limits.unknown:
            self._tell("", "many", _MANY)
            writer.transport.abort()
            return
        writer.get_extra_info("socket").setsockopt(socket.SOL_SOCKET, socket.SO_KEEPALIVE, 1)
        self._connections.add(writer)
        try:
            met = await self._met(reader, writer, host)
            if met is not None:
                await self._serve(*met, reader, writer)
        finally:
            self._connections.discard(writer)
            await _closed(writer)

    async def _met(
        self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter, host: str
    ) -> tuple[wire.Connect, Guest] | None:
        """Return who this is; None once they were refused."""
        self._unknown += 1
        try:
            async with asyncio.timeout(self._limits.connect_within_s):
                connect = wire.connect(await frame(reader, CONNECT_BYTES))
            admitted = await self._door.admit(connect, host)
        except wire.UnknownLevelError:
            admitted = wire.Code.LEVEL_REFUSED
        except wire.WireError as error:
            self._tell(host, "wire", f"A connection from {host} was ended: {error}.")
            return None
        except (EOFError, OSError):  # a TimeoutError is one
            return None
        finally:
            self._unknown -= 1
        if isinstance(admitted, Guest) and not await self._takes_over(admitted):
            admitted = wire.Code.NAME_REFUSED
        if isinstance(admitted, wire.Code):
            writer.write(wire.refusal(admitted))
            return None
        return connect, admitted

    async def _takes_over(self, guest: Guest) -> bool:
        """Return whether the connection's name is free, once the same account's earlier ones of that name are gone.

        Of several that come at once each ends the one before it, too (OASIS MQTT 3.1.1, MQTT-3.1.4-2).
        """
        while guest.client and (earlier := self._links.get(guest.client)):
            if earlier.guest.account != guest.account:
                self._tell(
                    guest.called, "name", f"{guest.called} may not take the connection of {earlier.guest.called}."
                )
                return False
            earlier.end()
            try:
                await asyncio.wait_for(earlier.gone.wait(), _ENDS_WITHIN_S)
            except TimeoutError:
                return False
        return True

    async def _serve(
        self, connect: wire.Connect, guest: Guest, reader: asyncio.StreamReader, writer: asyncio.StreamWriter
    ) -> None:
        name = f"c{next(self._numbers)}"
        out = WayOut(
            writer, self._limits, lambda: self._tell(guest.called, "slow", f"{guest.called} does not read: let go.")
        )
        gate = Gate(reader, out, guest, connect.passed_on(name), self._router.deliver, self._tell)
        link = _Link(guest, gate, writer)
        key = guest.client or name
        self._links[key] = link
        guest.standing.connections += 1
        try:
            await self._router.serve(gate, out, name)
        except Exception as error:  # whatever it is, it ends this connection alone
            self._tell(guest.called, "fault", f"A connection of {guest.called} ended by a fault: {error!r}.")
        finally:
            guest.standing.connections -= 1
            del self._links[key]
            link.gone.set()

    async def _watch(self) -> None:
        """End connections that are silent for too long, and those of accounts that are not as they were."""
        clock = asyncio.get_running_loop().time
        while True:
            await asyncio.sleep(_LOOKS_EVERY_S)
            for link in list(self._links.values()):
                most_s = _SILENT_FOR * link.guest.keep_alive_s
                if most_s and clock() - link.gate.heard_s > most_s:
                    link.end()
            if (edition := _edition(self._file)) != self._edition:
                self._edition = edition
                self._read_again()

    def _read_again(self) -> None:
        try:
            after, before = load(self._file), self._door.accounts
        except HubError as error:
            self._tell("", "accounts", str(error))
            return
        self._door.accounts = after
        for link in list(self._links.values()):
            account = link.guest.account
            if after.get(account) != before.get(account) or (after and not account):
                link.end()

    def _tell(self, who: str, kind: str, sentence: str) -> None:
        told = self._notices.told(who, kind, sentence, asyncio.get_running_loop().time())
        if told is not None:
            self._say(f"{datetime.now().astimezone():%H:%M:%S} {told}")


def _edition(path: Path) -> tuple[int, int] | None:
    try:
        held = path.stat()
    except OSError:
        return None
    return held.st_mtime_ns, held.st_size


async def _closed(writer: asyncio.StreamWriter) -> None:
    """Let what was written go out, and close; wait for nobody for long."""
    writer.close()
    with suppress(OSError, TimeoutError):
        await asyncio.wait_for(writer.wait_closed(), _ENDS_WITHIN_S)
    writer.transport.abort()
