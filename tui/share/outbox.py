"""The logbook as what is to be sent, in a thread of its own: nothing of it is on the session's way."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import Any, TypeVar

from analysis.logbook.book import Logbook
from analysis.logbook.changes import Change, Stream
from sensor.source import HostClock
from tui.book.plan_file import PlanError, plan_text_of, read_plan, written_plans
from tui.home import Home, day_of
from tui.share.answered import keep_answers, read_answers, read_targets
from tui.share.plans import keep_plan
from tui.share.words import Answer

_T = TypeVar("_T")


class Outbox:
    """Reads a home's logbook, and keeps there what is kept of a coach's words.

    The plans of those who are known are noted among its changes as it is opened, and as a coach's came.

    Parameters
    ----------
    clock
        Tells when a plan was noted, and which day it is.
    """

    def __init__(self, home: Home, clock: HostClock) -> None:
        self._home, self._clock = home, clock
        self._thread = ThreadPoolExecutor(max_workers=1, thread_name_prefix="share")
        self._logbook: Logbook | None = None

    async def stream(self) -> Stream:
        """Return how far the changes go."""
        return await self._do(lambda book: book.stream())

    async def changes(self, after: int, most: int) -> list[Change]:
        """Return the changes that follow one, in their order."""
        return await self._do(lambda book: book.changes(after, most))

    async def new_epoch(self) -> None:
        """Count the changes anew."""
        await self._do(lambda book: book.new_epoch())

    async def answers(self) -> list[Answer]:
        """Return what was answered before."""
        return await self._do(lambda _: read_answers(self._home.answered))

    async def targets(self) -> list[dict[str, Any]]:
        """Return the targets that were shown today, and are for a session that is not over."""
        return await self._do(lambda _: read_targets(self._home.answered, self._today()))

    async def keep(self, answers: Sequence[Answer], targets: Sequence[Mapping[str, Any]]) -> None:
        """Keep what was answered, and the targets that hold now in the place of those before."""
        await self._do(lambda _: keep_answers(self._home.answered, answers, targets, self._today()))

    async def keep_plan(self, data: Mapping[str, Any]) -> Answer:
        """Keep a plan that a coach sent (`tui.share.plans`), and note the one that counts now, for the coach to see."""
        return await self._do(lambda book: self._kept(book, data))

    def close(self) -> None:
        """Close the logbook, once what was begun is done."""
        if self._logbook is not None:
            self._thread.submit(self._logbook.close)
        self._thread.shutdown(wait=True)

    async def _do(self, what: Callable[[Logbook], _T]) -> _T:
        return await asyncio.get_running_loop().run_in_executor(self._thread, self._in_thread, what)

    def _in_thread(self, what: Callable[[Logbook], _T]) -> _T:
        if self._logbook is None:
            self._logbook = Logbook.open(self._home.logbook)
            self._note_plans(self._logbook)
        return what(self._logbook)

    def _today(self) -> str:
        return day_of(self._clock.utc_us()).isoformat()

    def _kept(self, book: Logbook, data: Mapping[str, Any]) -> Answer:
        answer = keep_plan(self._home, book, data)
        self._note_plans(book)
        return answer

    def _note_plans(self, book: Logbook) -> None:
        """Note the plans of those who are known: they are files, and go to the coach with the rest."""
        for path in written_plans(self._home):
            try:
                trainee = book.trainee(read_plan(path).trainee)
                if trainee:
                    book.note_plan(trainee.id, plan_text_of(path), noted_utc_us=self._clock.utc_us())
            except PlanError:
                continue  # whoever trains by it is told; the coach keeps the last one that could be read
