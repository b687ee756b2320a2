"""Find sensors by the service that they advertise. Import from `sensor.radio`, the public face of the radio."""

from __future__ import annotations

import asyncio
import math
from collections.abc import AsyncIterator, Callable, Mapping, Sequence
from contextlib import asynccontextmanager, suppress
from dataclasses import dataclass, field
from typing import Any

from bleak import BleakScanner
from bleak.backends.client import BaseBleakClient
from bleak.backends.device import BLEDevice
from bleak.backends.scanner import AdvertisementData, BaseBleakScanner

from sensor.protocol import Command, Info
from sensor.radio_errors import FAILURES, RadioError, explain
from sensor.radio_sort import Sort
from sensor.radio_words import not_found, printable, which
from sensor.source import HostClock, LinkState

LOOK_S = 30.0
"""Longest time for one look, clock seconds: how long a sensor in range may stay unseen after Bluetooth was off."""


@dataclass(frozen=True, slots=True)
class Backends:
    """What bleak shall use instead of the operating system's own.

    Attributes
    ----------
    scanner, client
        Backend classes.
    adapter_gone
        Done when the adapter itself has gone; the operating systems have no such signal.
    """

    scanner: type[BaseBleakScanner] | None = None
    client: type[BaseBleakClient] | None = None
    adapter_gone: asyncio.Future[None] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RadioSettings:
    """How a radio source behaves.

    Attributes
    ----------
    ask_for
        How the command at hand asks for a sensor, by its address in the place of `{}`; for messages.
    names
        What sensors were named here, by their address; for messages.
    address, name
        Take only this sensor (address as the system writes it; name as advertised); None: the only one in range.
    find_s
        Give up when no sensor was found within this time (clock seconds); None: search on.
    stall_s
        A link without a packet for so long is dead (clock seconds). The system may not notice by itself.
    retry_s
        Pause after a failed attempt (clock seconds).
    until_gone
        End, instead of searching on, when a sensor once connected has vanished.
    gone_after_s
        Searched for so long in vain, it has vanished (clock seconds).
    io_s
        Longest time for one Bluetooth operation (real seconds: the system's own time).
    queue_size
        Most arrivals that may wait for the reader.
    set_to
        Gives what to set a sensor to before it starts, by its address and what it says of itself.
    sort
        What sort of sensor it is.
    gather_s
        How much longer to look around for a second sensor that would do as well, where no address is given (clock
        seconds): which of them is meant must be said. 0: take the first one.
    battery_s
        How often to read the battery of a sensor that does not notify its level (clock seconds).
    """

    ask_for: str = "--sensor {}"
    names: Mapping[str, str] = field(default_factory=dict)
    address: str | None = None
    name: str | None = None
    find_s: float | None = None
    stall_s: float = 5.0
    retry_s: float = 1.0
    until_gone: bool = False
    gone_after_s: float = 30.0
    io_s: float = 10.0
    queue_size: int = 4096
    set_to: Callable[[str, Info], Sequence[Command]] = lambda _address, _info: ()
    sort: Sort = field(default_factory=Sort)
    gather_s: float = 1.0
    battery_s: float = 60.0

    @property
    def called(self) -> str:
        """What to call the sensor before it was met."""
        return self.address or self.name or self.sort.name


@dataclass(frozen=True, slots=True)
class Sighting:
    """A sensor in range. `rssi_dbm` is the strength of its signal; `device` is what bleak knows it by."""

    address: str
    name: str
    rssi_dbm: int
    device: BLEDevice = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class Heard:
    """What a search heard: the sensor that is wanted, if it was there, and others of its sort."""

    wanted: BLEDevice | None
    others: tuple[BLEDevice, ...] = ()


async def scan(
    clock: HostClock,
    duration_s: float = 5.0,
    backends: Backends | None = None,
    wanted: RadioSettings | None = None,
) -> tuple[Sighting, ...]:
    """Return the sensors in range that are wanted, by default those that speak the wire format, strongest first.

    Raises
    ------
    RadioError
        When Bluetooth cannot be used.
    """
    seen: dict[str, Sighting] = {}
    settings = wanted or RadioSettings()

    def note(device: BLEDevice, data: AdvertisementData) -> None:
        if is_wanted(settings, device, data):
            name = printable(data.local_name or device.name or "")
            seen[device.address] = Sighting(device.address, name, data.rssi, device)

    try:
        async with _scanning(note, settings.sort.advertised, backends or Backends(), settings.io_s):
            await clock.sleep(duration_s)
    except FAILURES as error:
        raise explain(error) from error
    return tuple(sorted(seen.values(), key=lambda sighting: -sighting.rssi_dbm))


async def search(
    clock: HostClock, settings: RadioSettings, backends: Backends, note: Callable[[LinkState], None], *, met: bool
) -> BLEDevice | None:
    """Search until the sensor is found, noting how that goes; None when one `met` before, or the adapter, is gone.

    Each look ends after a while and a new one begins: where Bluetooth was off for a moment meanwhile, the system has
    forgotten that it was to look, and does not say so.

    Raises
    ------
    RadioError
        When more than one sensor would do, or none was found in time that was never met.
    BleakError, OSError, TimeoutError, EOFError
        When Bluetooth cannot be used to begin with.
    """
    notes = _Notes(note)
    others: tuple[BLEDevice, ...] = ()
    until_s = clock.now_s() + _patience_s(settings, met=met)
    while (left_s := until_s - clock.now_s()) > 0:
        try:
            found = await _look(clock, settings, backends, min(left_s, LOOK_S), notes.looking)
        except FAILURES:
            if not met and not notes.has_looked:
                raise
            if settings.until_gone:
                return None
            notes.blocked()
            await clock.sleep(settings.retry_s)
            continue
        if found.wanted is not None:
            return found.wanted
        others = found.others or others
        if backends.adapter_gone is not None and backends.adapter_gone.done():
            break
    if not met:
        raise RadioError(not_found(settings, others))
    return None


class _Notes:
    """Notes how a search goes, each state once until it changes."""

    def __init__(self, note: Callable[[LinkState], None]) -> None:
        self._note, self._state = note, LinkState.SEARCHING
        self.has_looked = False
        note(LinkState.SEARCHING)

    def looking(self) -> None:
        self.has_looked = True
        self._change(LinkState.SEARCHING)

    def blocked(self) -> None:
        self._change(LinkState.BLOCKED)

    def _change(self, state: LinkState) -> None:
        if state is not self._state:
            self._note(state)
        self._state = state


def _patience_s(settings: RadioSettings, *, met: bool) -> float:
    limit_s = settings.find_s
    if met:
        limit_s = settings.gone_after_s if settings.until_gone else None
    return math.inf if limit_s is None else limit_s


async def _look(
    clock: HostClock, settings: RadioSettings, backends: Backends, limit_s: float, begun: Callable[[], None]
) -> Heard:
    """Return the one sensor that the settings want; none after `limit_s`, or when the adapter is gone.

    `begun` is called once the system looks.

    Raises
    ------
    RadioError
        When more than one sensor would do.
    """
    heard: asyncio.Future[None] = asyncio.get_running_loop().create_future()
    found: dict[str, BLEDevice] = {}
    others: dict[str, BLEDevice] = {}

    def note(device: BLEDevice, data: AdvertisementData) -> None:
        wanted = is_wanted(settings, device, data)
        (found if wanted else others)[device.address] = device
        if wanted and not heard.done():
            heard.set_result(None)

    async with _scanning(note, settings.sort.advertised, backends, settings.io_s):
        begun()
        await within(clock, limit_s, heard, backends.adapter_gone)
        if found and settings.address is None:
            await clock.sleep(settings.gather_s)
    if len(found) > 1 and settings.gather_s > 0:
        raise RadioError(which(list(found.values()), settings))
    return Heard(next(iter(found.values()), None), tuple(others.values()))


@asynccontextmanager
async def _scanning(
    note: Callable[[BLEDevice, AdvertisementData], None],
    advertised: list[str] | None,
    backends: Backends,
    io_s: float,
) -> AsyncIterator[None]:
    """Scan for as long as the block lasts; a system that does not answer is not waited for longer than `io_s`.

    That a scan cannot be stopped is no failure: where Bluetooth was off meanwhile, there is none to stop.
    """
    scanner = BleakScanner(note, advertised, backend=backends.scanner)
    async with asyncio.timeout(io_s):
        await scanner.start()
    try:
        yield
    finally:
        with suppress(*FAILURES):
            async with asyncio.timeout(io_s):
                await scanner.stop()


def is_wanted(settings: RadioSettings, device: BLEDevice, data: AdvertisementData) -> bool:
    """Return whether address and name are those asked for."""
    if settings.address is not None and device.address.casefold() != settings.address.casefold():
        return False
    return settings.name is None or settings.name in (data.local_name, device.name)


async def within(clock: HostClock, limit_s: float | None, *events: asyncio.Future[Any] | None) -> bool:
    """Wait for one of the events, or for `limit_s` of the session's clock; return whether it was an event."""
    waiting = {event for event in events if event is not None}
    sleeping = None if limit_s is None else asyncio.create_task(clock.sleep(limit_s))
    try:
        await asyncio.wait(waiting | ({sleeping} if sleeping else set()), return_when=asyncio.FIRST_COMPLETED)
    finally:
        if sleeping is not None:
            sleeping.cancel()
    return any(event.done() for event in waiting)
