"""Assembles the sensor that counts: the first that says what it is.

Where a session was broken off and is gone on with (`LinkState.AWAY`) it may be another one from then on: whichever
says first what it is. Its time goes on from the other's by when its packets arrive, as after a restart.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from sensor.assembly import Assembler, Item
from sensor.calibration import Calibration
from sensor.source import Arrival, Channel


class Counted:
    """Takes the arrivals of all sensors, gives the items of the one that counts (sans-I/O).

    Parameters
    ----------
    calibration_of
        What to apply to the counts of a sensor, by its id.
    patient
        As of `Assembler`.

    Attributes
    ----------
    assembler
        That of the sensor that counts; None before any said what it is.
    """

    def __init__(self, calibration_of: Callable[[str], Calibration], *, patient: bool = False) -> None:
        self.assembler: Assembler | None = None
        self._calibration_of, self._patient = calibration_of, patient
        self._anybody = True

    @property
    def sensor_id(self) -> str:
        """Which one counts; empty before any does."""
        return self.assembler.sensor_id if self.assembler else ""

    def push(self, arrival: Arrival) -> list[Item]:
        """Take in one arrival, give the items that are now complete."""
        items = self._look(arrival)
        if self.assembler is None or arrival.sensor_id != self.sensor_id:
            return items
        return items + self.assembler.push(arrival)

    def finish(self) -> list[Item]:
        """Give what still waits: the stream has ended."""
        return self.assembler.finish() if self.assembler else []

    def _look(self, arrival: Arrival) -> list[Item]:
        """Let another sensor count from here on where that is so; return what waited of the one before."""
        self._anybody = self._anybody or arrival.is_away
        if arrival.channel is not Channel.INFO or not self._anybody:
            return []
        self._anybody = False
        if arrival.sensor_id == self.sensor_id:
            return []
        items, before = self.finish(), self.assembler
        self.assembler = Assembler(arrival.sensor_id, self._calibration_of(arrival.sensor_id), patient=self._patient)
        self.assembler.end = before.end if before else None
        return items


def counted_last(arrivals: Iterable[Arrival]) -> str:
    """Return the sensor that counts after these arrivals; empty where none said what it is."""
    sensor_id, anybody = "", True
    for one in arrivals:
        anybody = anybody or one.is_away
        if anybody and one.channel is Channel.INFO:
            sensor_id, anybody = one.sensor_id, False
    return sensor_id
