"""Sorts of sensor, as the radio meets them: what they advertise, which characteristics they have, how they start."""

from __future__ import annotations

from dataclasses import dataclass

from bleak.backends.service import BleakGATTServiceCollection

from sensor.own.description import Description, Write
from sensor.protocol import BATTERY_LEVEL_UUID, CONTROL_UUID, DATA_UUID, SERVICE_UUID, Info, Start, encode_command
from sensor.radio_errors import RadioError


@dataclass(frozen=True, slots=True, kw_only=True)
class Sort:
    """How to meet sensors of one sort; by default those that speak the wire format.

    Attributes
    ----------
    name
        What to call one.
    service
        UUID that it advertises; None: any.
    data, battery
        Characteristics: notifies motion; reads percent.
    description
        Stands for the information that a sensor of another maker does not have; None: the sensor is asked.
    info
        What it means.
    bytes_per_s
        How much a described one sends; None: it says so itself.
    start
        What to write once notifications come.
    """

    name: str = "Rungwise sensor"
    service: str | None = SERVICE_UUID
    data: str = DATA_UUID
    battery: str = BATTERY_LEVEL_UUID
    description: bytes | None = None
    info: Info | None = None
    bytes_per_s: float | None = None
    start: tuple[Write, ...] = (Write(CONTROL_UUID, encode_command(Start()), response=True),)

    @property
    def advertised(self) -> list[str] | None:
        """What to filter a scan by."""
        return None if self.service is None else [self.service]

    def check(self, services: BleakGATTServiceCollection) -> None:
        """Compare a description with the sensor that it led to.

        Raises
        ------
        RadioError
            When the sensor is another than described: then no new try will help.
        """
        if self.description is None:
            return
        data = services.get_characteristic(self.data)
        if data is None or not {"notify", "indicate"} & set(data.properties):
            raise self._unlike(f"no characteristic {self.data} that notifies", "motion.characteristic")
        for place, write in enumerate(self.start):
            if services.get_characteristic(write.characteristic) is None:
                raise self._unlike(f"no characteristic {write.characteristic}", f"start.{place}.characteristic")

    def _unlike(self, lack: str, key: str) -> RadioError:
        return RadioError(f"The {self.name} that was found has {lack}. Correct {key} in its description.")


def sort_of(description: Description) -> Sort:
    """Return how to meet a described sensor."""
    return Sort(
        name=description.name,
        service=description.service,
        data=description.characteristic,
        battery=description.battery,
        description=bytes(description),
        info=description.info(boot_id=1),
        bytes_per_s=description.rate_hz * description.layout.bytes_per_sample,
        start=description.start,
    )
