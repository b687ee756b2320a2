"""Sends the changes of a logbook as the coaches' marks ask for them (`sender`), and looks whether it has grown."""

from __future__ import annotations

import asyncio
from contextlib import suppress

from analysis.logbook.changes import Stream
from analysis.logbook.errors import LogbookError
from sensor.broker import Broker
from tui.share.faults import Faults
from tui.share.outbox import Outbox
from tui.share.post import Post
from tui.share.sender import Connected, Grown, Heard, Lost, Prove, Proved, Renewed, Send, Sender, Sent

LOOK_S = 0.5
"""How often it is looked whether the log has grown."""
MOST_IDLE_S = 3600.0
_STEP_S = 0.05


class Records:
    """The changes of one logbook on their way.

    Parameters
    ----------
    stream
        How far the changes go.
    faults
        Where to put down what went wrong and is tried again.

    Attributes
    ----------
    stream
        As it was when the log was looked at last.
    """

    def __init__(self, outbox: Outbox, post: Post, stream: Stream, faults: Faults) -> None:
        self.stream = stream
        self._outbox, self._post, self._faults = outbox, post, faults
        self._sender = Sender(stream.epoch, stream.last)
        self._now_s = asyncio.get_running_loop().time
        self._moved, self._marked = asyncio.Event(), asyncio.Event()

    @property
    def through(self) -> int:
        """How far the coach is that has most of the log."""
        return self._sender.through

    @property
    def unsent(self) -> int:
        """How many changes no coach said to have."""
        return max(0, self._sender.last - self._sender.through)

    @property
    def has_heard(self) -> bool:
        """Whether a coach said how far it is."""
        return self._sender.heard_of > 0

    def link(self, *, up: bool) -> None:
        """Take note that the broker came or went."""
        self._sender.take(Connected() if up else Lost(), self._now_s())
        self._moved.set()

    def mark(self, mark: Heard) -> None:
        """Take a coach's mark."""
        self._sender.take(mark, self._now_s())
        self._moved.set()
        self._marked.set()

    async def heard(self) -> None:
        """Wait until a coach said how far it is."""
        await self._marked.wait()

    async def look(self) -> None:
        """Look whether the log has grown, whoever wrote it."""
        try:
            self.stream = await self._outbox.stream()
        except LogbookError as error:  # held or out of reach for now: the next look finds it
            self._faults.note(str(error))
        if self.stream.last > self._sender.last:
            self._sender.take(Grown(self.stream.last), self._now_s())
            self._moved.set()

    async def grow(self) -> None:
        """Look again and again."""
        while True:
            await asyncio.sleep(LOOK_S)
            await self.look()

    async def all_sent(self, still_s: float, most_s: float) -> bool:
        """Wait until a coach has all there is; give up when nothing moves for so long, or after all, s."""
        await self.look()
        began_s = moved_s = self._now_s()
        before = self._sender.through
        while self.unsent:
            if self._now_s() >= min(moved_s + still_s, began_s + most_s):
                return False
            await asyncio.sleep(_STEP_S)
            if self._sender.through != before:
                before, moved_s = self._sender.through, self._now_s()
        return True

    async def send(self, broker: Broker) -> None:
        """Send what is wanted, for ever."""
        while True:
            self._moved.clear()
            match self._sender.wants(self._now_s()):
                case Send(after, most):
                    await self._send_some(broker, after, most)
                case Prove(sequence, noted_utc_us):
                    await self._prove(sequence, noted_utc_us)
                case wait:
                    await self._until(wait.until_s)

    async def _until(self, until_s: float) -> None:
        with suppress(TimeoutError):
            async with asyncio.timeout(min(MOST_IDLE_S, max(0.0, until_s - self._now_s()))):
                await self._moved.wait()

    async def _send_some(self, broker: Broker, after: int, most: int) -> None:
        try:
            changes = await self._outbox.changes(after, most)
        except LogbookError as error:
            self._faults.note(str(error))
            changes = []
        letters = [self._post.record(one, self._sender.epoch) for one in changes]
        taken = await asyncio.gather(*(broker.send(one) for one in letters))
        for one, has_it in zip(changes, taken, strict=True):
            if not has_it:
                break
            self._sender.take(Sent(one.sequence), self._now_s())
        if not all(taken) or not changes:
            await asyncio.sleep(LOOK_S)  # the link says soon what became of it

    async def _prove(self, sequence: int, noted_utc_us: int) -> None:
        """Look whether a coach has changes of this log as it is; count them anew where it has not."""
        await self.look()
        try:
            found = await self._outbox.changes(sequence - 1, 1)
            if [(one.sequence, one.at_utc_us) for one in found] == [(sequence, noted_utc_us)]:
                self._sender.take(Proved(sequence, noted_utc_us), self._now_s())
                return
            await self._outbox.new_epoch()
            self.stream = await self._outbox.stream()
        except LogbookError as error:  # held for now: asked again
            self._faults.note(str(error))
            await asyncio.sleep(LOOK_S)
            return
        self._sender.take(Renewed(self.stream.epoch, self.stream.last), self._now_s())
