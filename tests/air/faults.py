"""What can go wrong between a host's radio and its sensors: the same on both routes, as both end at a bumble host."""

from __future__ import annotations

import asyncio
from typing import Any

from bumble import core
from bumble.device import Connection, Device


class Air:
    """Faults on the way between a bumble host and the sensors around it, each begun by a call.

    Parameters
    ----------
    device
        The host, powered or not.
    """

    def __init__(self, device: Device) -> None:
        self._device = device
        self._emit, self._connect = device.emit, device.connect
        self._in_range = asyncio.Event()
        self._in_range.set()
        self._refusals = 0
        self._hanging = ""
        device.emit = self._pass_on  # type: ignore[method-assign]
        device.connect = self._make_link  # type: ignore[method-assign]
        device.on(device.EVENT_CONNECTION, self._on_connection)

    async def do(self, fault: str, **how: Any) -> None:
        """Begin a fault by its name."""
        begun = getattr(self, fault)(**how)
        if asyncio.iscoroutine(begun):
            await begun

    async def lose(self) -> None:
        """Break every link."""
        for link in list(self._device.connections.values()):
            await link.disconnect()

    async def leave(self) -> None:
        """Take the sensors out of range."""
        self._in_range.clear()
        await self.lose()

    def come_back(self) -> None:
        """Bring the sensors back into range."""
        self._in_range.set()

    def stall(self) -> None:
        """Let nothing more of the notifications through, on the links as they are now."""
        for link in self._device.connections.values():
            link.gatt_client.on_att_handle_value_notification = lambda _: None

    def refuse(self, times: int) -> None:
        """Let the next attempts to connect fail."""
        self._refusals = times

    def hang(self, request: str) -> None:
        """Leave the next request of this kind (ATT_READ_REQUEST, ATT_WRITE_REQUEST) without an answer."""
        self._hanging = request

    def _pass_on(self, event: str, *what: Any) -> bool:
        if event == Device.EVENT_ADVERTISEMENT and not self._in_range.is_set():
            return False
        return self._emit(event, *what)

    async def _make_link(self, *where: Any, **how: Any) -> Connection:
        if self._refusals:
            self._refusals -= 1
            raise core.BaseBumbleError("connection failed to be established")
        await self._in_range.wait()
        return await self._connect(*where, **how)

    def _on_connection(self, link: Connection) -> None:
        answered = link.gatt_client.send_request

        async def send_request(request: Any) -> Any:
            if request.name != self._hanging:
                return await answered(request)
            self._hanging = ""
            never = asyncio.get_running_loop().create_future()
            link.once(Connection.EVENT_DISCONNECTION, lambda _: never.cancel())
            return await never

        link.gatt_client.send_request = send_request
