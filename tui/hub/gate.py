"""The gate before the embedded broker: lets whole packets of MQTT 3.1.1 through that their sender may send, no others.

The broker behind (amqtt) reads from `Gate` and writes to `WayOut`, as if they were the connection. Who may what, and
how much, is decided here, since it would let wills and takeovers pass, waits for nobody who sends too much, and loses
its place among the subscriptions when it is asked about each (amqtt 0.12).
"""

from __future__ import annotations

import asyncio
import ssl
from collections.abc import Awaitable, Callable

from amqtt.adapters import ReaderAdapter, WriterAdapter

from tui.hub import wire
from tui.hub.guest import Guest, Teller, shown
from tui.hub.limits import FRAME_BYTES, Limits

_REFUSED = "#/refused"
"""In the place of a filter that may not be asked for: none at all (4.7.1.2), so that the broker answers 0x80 to it."""
_OF_AN_ANSWER = 0.1
"""What an answer to a message counts for among what may be sent: it costs little, and comes as others write."""


async def frame(reader: asyncio.StreamReader, most: int) -> wire.Frame:
    """Read one packet (2.2).

    Raises
    ------
    WireError
        When it is longer than `most`, before it is read, or its length is none.
    IncompleteReadError, OSError
        When the connection ends before.
    """
    head = await reader.readexactly(2)
    length, shift, last = head[1] & 0x7F, 7, head[1]
    while last & 0x80:
        if shift > 21:
            raise wire.WireError("a packet has no length")
        last = (await reader.readexactly(1))[0]
        length |= (last & 0x7F) << shift
        shift += 7
    if length > most:
        raise wire.WireError(f"a packet of {length} bytes is longer than {most}")
    return wire.Frame(head[0] >> 4, head[0] & 0x0F, await reader.readexactly(length))


class WayOut(WriterAdapter):
    """What the broker writes to; lets go of a client that does not read."""

    def __init__(self, writer: asyncio.StreamWriter, limits: Limits, slow: Callable[[], None]) -> None:
        self._writer = writer
        self._limits = limits
        self._slow = slow

    def write(self, data: bytes) -> None:
        """Pass on."""
        transport = self._writer.transport
        if transport.is_closing():
            return
        self._writer.write(data)
        if transport.get_write_buffer_size() > self._limits.backlog_bytes:
            self._slow()
            transport.abort()

    async def drain(self) -> None:
        """Wait for nothing: behind a client that does not read, nobody else is to wait."""

    def get_peer_info(self) -> tuple[str, int]:
        """Return address and port."""
        host, port, *_ = self._writer.get_extra_info("peername") or ("unknown", 0)
        return str(host), int(port)

    def get_ssl_info(self) -> ssl.SSLObject | None:
        """Return nothing: certificates of clients are not asked for."""
        return None

    async def close(self) -> None:
        """End the connection once all is sent."""
        self._writer.close()


class Gate(ReaderAdapter):
    """What the broker reads from.

    Parameters
    ----------
    reader, out
        The connection.
    guest
        Whose it is.
    first
        What the broker is to read first.
    deliver
        Takes a message that may pass, and hands it on.
    tell
        Takes what was refused.

    Attributes
    ----------
    ended
        Set once nothing more comes.
    heard_s
        When a packet came last, by the loop's clock.
    """

    def __init__(
        self,
        reader: asyncio.StreamReader,
        out: WayOut,
        guest: Guest,
        first: bytes,
        deliver: Callable[[wire.Publish, bytes], Awaitable[None]],
        tell: Teller,
    ) -> None:
        self._reader = reader
        self._out = out
        self._guest = guest
        self._held = first
        self._at = 0
        self._deliver = deliver
        self._tell = tell
        self._asked_for: set[str] = set()
        self._clock = asyncio.get_running_loop().time
        self.ended = asyncio.Event()
        self.heard_s = self._clock()

    async def read(self, n: int = -1) -> bytes:
        """Return the next bytes of a packet that may pass; less only at the end."""
        if self._at == len(self._held) and not self.ended.is_set():
            self._held, self._at = await self._next(), 0
        part = self._held[self._at : self._at + n] if n >= 0 else self._held[self._at :]
        self._at += len(part)
        return part

    def feed_eof(self) -> None:
        """Take note that nothing more comes."""
        self.ended.set()

    async def _next(self) -> bytes:
        try:
            while True:
                came = await frame(self._reader, FRAME_BYTES)
                self.heard_s = self._clock()
                if passed := await self._passed(came):
                    return passed
        except wire.WireError as error:
            self._say("wire", f"was let go: {error}.")
        except (EOFError, OSError):
            pass
        self.ended.set()
        return b""

    async def _passed(self, came: wire.Frame) -> bytes | None:
        """Return what the broker is to read of a packet, if anything."""
        await self._paced(came)
        match came.kind:
            case wire.Kind.PUBLISH:
                await self._published(came)
                return None
            case wire.Kind.SUBSCRIBE:
                return self._subscribed(wire.subscribe(came))
            case _:
                wire.check(came)
        return bytes(came)

    async def _paced(self, came: wire.Frame) -> None:
        standing, now_s = self._guest.standing, self._clock()
        weight = _OF_AN_ANSWER if came.kind == wire.Kind.PUBACK else 1.0
        wait_s = max(standing.messages.take(weight, now_s), standing.volume.take(len(came.body), now_s))
        if wait_s > 0.0:
            self._say("pace", "sends more than is allowed: what it sends now waits.")
            await asyncio.sleep(wait_s)

    async def _published(self, came: wire.Frame) -> None:
        head = wire.publish(came)
        refused = None
        if not self._guest.rights.may_write(head.topic):
            refused = "may not write"
        elif head.retain and not self._guest.standing.may_keep(head.topic, head.size):
            refused = "has too many topics to keep, and so may not write"
        if refused is None:
            await self._deliver(head, came.body[len(came.body) - head.size :])
        else:
            self._say("write", f"{refused} {shown(head.topic)}.")
        if head.qos:
            # There is no other answer to what was refused (3.3.5.2); without one it would be sent again and again.
            self._out.write(wire.answer(head.packet))
        # What one client has sent in advance is not taken in one go.
        await asyncio.sleep(0)

    def _subscribed(self, asked: wire.Subscribe) -> bytes:
        filters = []
        for text, qos in asked.filters:
            may = self._guest.rights.may_read(text)
            if not may:
                self._say("read", f"may not read {shown(text)}.")
            elif text not in self._asked_for and len(self._asked_for) >= self._guest.standing.limits.subscriptions:
                self._say("filters", "asks for too much: it has no more subscriptions.")
                may = False
            else:
                self._asked_for.add(text)
            filters.append((text if may else _REFUSED, qos))
        return bytes(wire.Subscribe(asked.packet, tuple(filters)))

    def _say(self, kind: str, what: str) -> None:
        self._tell(self._guest.called, kind, f"{self._guest.called} {what}")
