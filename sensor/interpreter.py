"""From arrivals to information and packets: the wire format's own, or as a description has it; sans-I/O."""

from __future__ import annotations

from collections.abc import Iterable

from sensor.clock import Timekeeping
from sensor.own.decoder import Heard, OwnDecoder
from sensor.own.description import is_description
from sensor.own.loading import parse
from sensor.protocol import Info, decode
from sensor.source import Arrival, Channel


class Interpreter:
    """Reads the arrivals of one sensor; the information that comes first says how."""

    def __init__(self) -> None:
        self._own: OwnDecoder | None = None

    @property
    def described(self) -> bool:
        """Whether a description says how to read the sensor."""
        return self._own is not None

    @property
    def keeping(self) -> Timekeeping:
        """What is thought of the sensor's clock."""
        return self._own.keeping if self._own else Timekeeping()

    def read(self, arrival: Arrival) -> Iterable[Heard]:
        """Return what an arrival says, or what earlier ones did that were held back.

        Raises
        ------
        ProtocolError
            When it says nothing that is understood.
        """
        match arrival.channel:
            case Channel.INFO:
                return self._take_information(arrival.payload, arrival.at_s)
            case Channel.DATA if self._own:
                return self._own.read(arrival.payload, arrival.at_s)
            case Channel.DATA:
                return (Heard(decode(arrival.payload), arrival.at_s),)
        return ()

    def part(self, at_s: float) -> Iterable[Heard]:
        """Return what is held back: what comes next comes later, as after another connection."""
        return self._own.connected(at_s) if self._own else ()

    def finish(self) -> Iterable[Heard]:
        """Return what is held back: nothing more will come."""
        return self._own.finish() if self._own else ()

    def _take_information(self, information: bytes, at_s: float) -> Iterable[Heard]:
        if not is_description(information):
            self._own = None
            return (Heard(Info.from_bytes(information), at_s),)
        description = parse(information.decode("utf-8", "replace"))
        if self._own is None or self._own.description != description:
            self._own = OwnDecoder(description, self._own.boot_id + 1 if self._own else 1)
        return self._own.connected(at_s)
