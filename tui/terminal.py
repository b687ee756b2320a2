"""The terminal as a session needs it: one that stands still, or is gone, holds up nothing."""

from __future__ import annotations

import asyncio

from textual.drivers.linux_driver import LinuxDriver

_LOOK_S = 0.05


class PatientDriver(LinuxDriver):
    """Leaves out pictures that the terminal does not take, and draws the whole of the newest once it takes them again.

    Textual waits for room instead, with all that runs beside the screen: a session whose terminal was halted by a key
    (XOFF), or lies at the end of a line that is lost, would keep no packet meanwhile. Where the terminal is gone it
    would wait for ever; then the program is told to end, as by SIGHUP.
    """

    _is_held = _is_leaving = False

    def write(self, data: str) -> None:
        """Write, if the terminal takes it; the last words to it wait until it does."""
        if self._is_held or (self._is_leaving and self._is_gone):
            return
        if self._is_leaving or self._has_room:
            super().write(data)
            return
        self._is_held = True
        self._app.run_worker(self._wait(), exit_on_error=False)

    def stop_application_mode(self) -> None:
        """Give the terminal back as it was."""
        self._is_held, self._is_leaving = False, True
        super().stop_application_mode()

    def close(self) -> None:
        """End the writing; of a terminal that is gone there is nothing to wait for."""
        if not self._is_gone:
            super().close()

    @property
    def _is_gone(self) -> bool:
        return self._writer_thread is not None and not self._writer_thread.is_alive()

    @property
    def _has_room(self) -> bool:
        return self._writer_thread is None or not (self._is_gone or self._writer_thread._queue.full())

    async def _wait(self) -> None:
        writer = self._writer_thread
        while writer is not None and writer._queue.qsize():  # its other side is a thread of Textual's
            if not writer.is_alive():
                break
            await asyncio.sleep(_LOOK_S)
        if self._is_gone:
            await self._app.run_action("app.abort")
            return
        self._is_held = False
        self._app.screen.refresh()
