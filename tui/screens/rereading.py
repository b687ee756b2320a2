"""A screen that reads again what it shows when somebody comes back: meanwhile something may have been corrected."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from typing import Generic, TypeVar

from textual.screen import Screen

Read = TypeVar("Read")


class RereadingScreen(Screen[None], Generic[Read]):
    """Reads again beside the screen; until then, and where that cannot be done, it shows what it showed.

    Parameters
    ----------
    reread
        Reads what is shown; None: it stays as it is.
    """

    def __init__(self, reread: Callable[[], Read] | None) -> None:
        super().__init__()
        self._reread = reread
        self._left = False

    def leave_for_a_while(self) -> None:
        """Remember that another screen opens from here."""
        self._left = True

    def on_screen_resume(self) -> None:
        """Read again, where somebody comes back."""
        if self._left and self._reread:
            self._left = False
            self.run_worker(self._read(self._reread), exclusive=True, exit_on_error=False)

    async def _read(self, reread: Callable[[], Read]) -> None:
        self.take(await asyncio.to_thread(reread))

    def take(self, read: Read) -> None:
        """Show what was read."""
        raise NotImplementedError
