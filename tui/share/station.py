"""A station beside a session: tells what is shown and what is logged, and takes what a coach says.

Nothing here is waited for by the session, and no fault of it ends one: what cannot be told now is told later.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Coroutine, Iterable, Mapping
from contextlib import AsyncExitStack, suppress
from types import TracebackType
from typing import Any, Self

from sensor.broker import Access, Address, Broker, Letter
from sensor.source import HostClock
from tui.home import Home
from tui.session.messages import Snapshot
from tui.share.checked import RefusedError
from tui.share.envelope import Event, from_bytes
from tui.share.faults import Faults
from tui.share.now import MOST_GAP_S, UNASKED, Felt, Pace, now_of
from tui.share.outbox import Outbox
from tui.share.post import Post
from tui.share.records import LOOK_S, Records
from tui.share.sender import Heard
from tui.share.topics import Kind, parse
from tui.share.words import Answer, Words

NOT_CONNECTED = "coach: not connected"
PLAN_TOLD = {
    "kept": "your plan was changed. It counts from the next session on.",
    "conflict": "a changed plan came, and yours was changed here, too. Yours counts until the coach chose.",
}
"""What is shown to whoever a coach's plan is for, by what became of it."""
LEAVE_S = 2.0
"""So long what is still to be sent is waited for at the end, while nothing moves."""
LONGEST_LEAVE_S = 3.5
"""Longest wait at the end: less than the dashboard lets a session take to close."""


class Station:
    """A station; use it as `async with`.

    Parameters
    ----------
    name
        What it is called at the broker.
    home
        Whose logbook is told.
    felt
        Gives what somebody said of themselves today, by name.
    clock
        Tells the time of day.

    Attributes
    ----------
    words
        What the coach said.
    faults
        What went wrong here and was not waited for, in words, each once.
    """

    def __init__(
        self,
        address: Address,
        access: Access,
        name: str,
        home: Home,
        clock: HostClock,
        felt: Callable[[str], Felt] = lambda _: UNASKED,
    ) -> None:
        self._address, self._access, self._name = address, access, name
        self._clock, self._felt = clock, felt
        self._outbox = Outbox(home, clock)
        self.words, self.faults = Words(), Faults()
        self._held = AsyncExitStack()
        self._tasks: list[asyncio.Task[None]] = []
        self._newest: Snapshot | None = None
        self._came = asyncio.Event()
        self._pace = Pace()
        self._unsent_answers: dict[str, Answer] = {}
        self._held_targets: tuple[Mapping[str, Any], ...] = ()
        self._loop_s = asyncio.get_running_loop().time
        self._broker: Broker | None = None
        self._records: Records | None = None
        self._opened = asyncio.Event()
        self._was_up, self._why = False, ""

    async def __aenter__(self) -> Self:
        self._later(self._run())
        return self

    async def __aexit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._was_up, self._why = not self.link, self.why
        try:
            if kind is None:
                await self._guard(self._leave())
        finally:
            tasks = tuple(self._tasks)
            for task in tasks:
                task.cancel()
            await asyncio.gather(*tasks, return_exceptions=True)
            if self.words.held != self._held_targets:  # a session is over
                await self._guard(self._keep(()))
            await self._held.aclose()
            await asyncio.to_thread(self._outbox.close)

    def saw(self, shown: Snapshot) -> None:
        """Take what is shown now."""
        self._newest = shown
        self._came.set()

    def drawn(self, words: Iterable[str]) -> None:
        """Take note that words of the coach are on the screen: that is answered once."""
        answers = self.words.drawn(words)
        if answers:
            self._later(self._answer(answers))

    def answer(self, word: str, state: str, text: str = "") -> None:
        """Answer a word at once."""
        self._later(self._answer((self.words.answer(word, state, text),)))

    @property
    def link(self) -> str:
        """What is amiss with the way to the coach, short; empty where nothing is."""
        return "" if self._broker and self._broker.link.is_up else NOT_CONNECTED

    @property
    def why(self) -> str:
        """Why the broker is not connected, and what to do, in a sentence; empty where it is, or not known yet."""
        return self._why or (self._broker.link.why if self._broker else "")

    @property
    def link_lost(self) -> bool:
        """Whether the broker was not connected at last."""
        return not self._was_up

    @property
    def records(self) -> Records | None:
        """The changes of the log on their way; None before the log was looked at."""
        return self._records

    async def up(self) -> Records:
        """Wait until the broker is connected, and return what is on its way."""
        await self._opened.wait()
        assert self._broker is not None
        assert self._records is not None
        await self._broker.link.up()
        return self._records

    async def _run(self) -> None:
        stream = await self._outbox.stream()
        self._post = Post(self._name, stream.station, self._address.gym)
        self.words.know(await self._outbox.answers(), await self._outbox.targets())
        self._held_targets = self.words.held
        records = self._records = Records(self._outbox, self._post, stream, self.faults)
        broker = Broker(
            self._address,
            self._access,
            name=self._name,
            clock=self._clock,
            will=self._post.gone(self._clock.utc_us()),
            topics=(self._post.topic(Kind.HEARD), self._post.topic(Kind.WORD)),
            greeting=lambda: self._post.here(records.stream, self._clock.utc_us()),
        )
        await self._held.enter_async_context(broker)
        self._broker = broker
        self._opened.set()
        self._later(self._watch(broker, records))
        self._later(self._listen(broker, records))
        self._later(self._tell_now(broker))
        self._later(records.send(broker))
        self._later(records.grow())
        self._later(self._tell_epoch(broker, records))

    def _later(self, what: Coroutine[Any, Any, None]) -> None:
        task = asyncio.ensure_future(self._guard(what))
        self._tasks.append(task)
        task.add_done_callback(self._tasks.remove)

    async def _guard(self, what: Coroutine[Any, Any, None]) -> None:
        """Let a fault of the sharing end that part of it alone; it is told at the end."""
        try:
            await what
        except Exception as error:  # a set goes on whatever becomes of the link
            self.faults.note(f"sharing stopped: {type(error).__name__}: {error}")

    async def _watch(self, broker: Broker, records: Records) -> None:
        """Tell the sender when the broker comes and goes."""
        seen, connections = 0, 0
        while True:
            if broker.link.is_up and broker.link.connections != connections:
                connections = broker.link.connections
                self._pace.forget()
                records.link(up=True)
                self._came.set()
                self._later(self._answer(tuple(self._unsent_answers.values())))
            elif not broker.link.is_up:
                records.link(up=False)
            seen = await broker.link.news(seen)

    async def _listen(self, broker: Broker, records: Records) -> None:
        async for letter, _ in broker.letters():
            topic = parse(letter.topic, self._address.gym)
            if topic is None or topic.station != self._name:
                continue
            try:
                event = from_bytes(letter.payload, topic.kind)
            except RefusedError as error:
                self.faults.note(f"a coach sends what this Rungwise cannot read: {error}")
                continue
            await self._guard(self._take(event, records))

    async def _take(self, event: Event, records: Records) -> None:
        data = event.data
        if event.kind is Kind.HEARD:
            through = int(data["through"])  # 8.0 is whole, too (JSON Schema 2020-12, 6.1.1)
            records.mark(Heard(data["coach"], data["epoch"], through, data["noted_utc_us"]))
            return
        answer = self.words.known(data["word"]) if data["what"] == "plan" else self.words.take(data)
        if answer is None and data["what"] == "plan":
            kept = await self._outbox.keep_plan(data)
            answer = self.words.answer(kept.word, kept.state, kept.text)
            if told := PLAN_TOLD.get(kept.state):
                self.words.tell(kept.word, data["trainee"], told)
        if answer:
            await self._answer((answer,))

    async def _answer(self, answers: tuple[Answer, ...]) -> None:
        """Keep answers, so that no restart asks for another one, then tell them; again with the next connection."""
        if not answers:
            return
        await self._keep(answers)
        for one in answers:
            self._unsent_answers[one.word] = one
            if self._broker and await self._broker.send(self._post.shown(one, self._clock.utc_us())):
                self._unsent_answers.pop(one.word, None)

    async def _keep(self, answers: tuple[Answer, ...]) -> None:
        self._held_targets = self.words.held
        await self._outbox.keep(answers, self._held_targets)

    async def _tell_epoch(self, broker: Broker, records: Records) -> None:
        """Say again that it is there, once its changes are counted anew: records of an untold epoch are not taken."""
        told = records.stream.epoch
        while True:
            await asyncio.sleep(LOOK_S)
            stream = records.stream
            if stream.epoch != told and await broker.send(self._post.here(stream, self._clock.utc_us())):
                told = stream.epoch

    async def _tell_now(self, broker: Broker) -> None:
        """Tell what is shown, as soon as it is new and may be told."""
        while True:
            with suppress(TimeoutError):
                async with asyncio.timeout(MOST_GAP_S):
                    await self._came.wait()
            await asyncio.sleep(self._pace.wait_s(self._loop_s()))
            self._came.clear()
            await self._tell_newest(broker)

    async def _tell_newest(self, broker: Broker) -> None:
        shown = self._newest
        if shown is None or not broker.link.is_up:
            return
        data = now_of(shown, self._felt(shown.trainee))
        if self._pace.wants(data, self._loop_s()) and not await broker.send(self._now_letter(data)):
            self._pace.forget()

    def _now_letter(self, data: dict[str, Any]) -> Letter:
        return self._post.now(data, self._clock.utc_us())

    async def _leave(self) -> None:
        """Tell what is left while somebody takes it, then that nobody is here any more."""
        if self._broker is None or not self._broker.link.is_up:
            return
        self._pace.forget()
        await asyncio.sleep(self._pace.wait_s(self._loop_s()))
        await self._tell_newest(self._broker)
        if self._records and self._records.has_heard:
            await self._records.all_sent(LEAVE_S, LONGEST_LEAVE_S)
        async with asyncio.timeout(LEAVE_S):
            await self._broker.send(self._post.gone(self._clock.utc_us()))
