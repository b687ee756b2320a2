"""The topics of a gateway, which bridges sensors to a broker, and the address of what it bridges; pure.

    gateway/<name>/up/presence              {"state": "here"} or {"state": "gone"}; kept, and its last will
    gateway/<name>/up/<sensor>/<channel>    bytes as they came from the sensor
    gateway/<name>/down/<sensor>/control    bytes to write to the sensor

`firmware_notes/gateway.md` says the same for whoever writes a gateway's program.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from typing import Self

from sensor.broker_address import NAME, Address, BrokerError
from sensor.source import Channel

ANY = "+"
"""Stands for every gateway, or every sensor (OASIS MQTT 3.1.1, 4.7.1.3)."""
CHANNELS = (Channel.INFO, Channel.DATA, Channel.BATTERY, Channel.LINK)
"""What a gateway passes on; what is told of a sensor beyond that is the host's own."""
_ROOT = "rungwise/1/gateway"
_LONGEST_PRESENCE = 1024
_BLUETOOTH = re.compile(r"[0-9a-f]{2}(?:-[0-9a-f]{2}){5}")


@dataclass(frozen=True, slots=True)
class Told:
    """What a topic is about.

    Attributes
    ----------
    gateway, sensor
        Whose; of a gateway's own presence the sensor is empty.
    channel
        Where on the sensor it came from; None: presence.
    """

    gateway: str
    sensor: str = ""
    channel: Channel | None = None


def told_by(topic: str, gym: str = "") -> Told | None:
    """Return what a topic of `gym` is about; None for any other one."""
    before = _before(gym)
    if not topic.startswith(before):
        return None
    match topic.removeprefix(before).split("/"):
        case ["rungwise", "1", "gateway", gateway, "up", "presence"] if NAME.fullmatch(gateway):
            return Told(gateway)
        case ["rungwise", "1", "gateway", gateway, "up", sensor, channel] if channel in CHANNELS:
            if NAME.fullmatch(gateway) and NAME.fullmatch(sensor):
                return Told(gateway, sensor, Channel(channel))
    return None


def up(gateway: str, sensor: str, channel: Channel | str, gym: str = "") -> str:
    """Return where a gateway puts what came from a sensor."""
    return f"{_before(gym)}{_ROOT}/{gateway}/up/{sensor}/{channel}"


def presence(gateway: str, gym: str = "") -> str:
    """Return where a gateway says that it is there."""
    return f"{_before(gym)}{_ROOT}/{gateway}/up/presence"


def control(gateway: str, sensor: str, gym: str = "") -> str:
    """Return where to put what a gateway is to write to a sensor."""
    return f"{_before(gym)}{_ROOT}/{gateway}/down/{sensor}/control"


def asked_of(topic: str, gateway: str, gym: str = "") -> str | None:
    """Return the sensor to whose control characteristic a topic leads, of this gateway; None for any other topic."""
    before, after = f"{_before(gym)}{_ROOT}/{gateway}/down/", "/control"
    if not (topic.startswith(before) and topic.endswith(after)):
        return None
    sensor = topic.removeprefix(before).removesuffix(after)
    return sensor if NAME.fullmatch(sensor) else None


def presence_payload(*, is_here: bool) -> bytes:
    """Return what a gateway says of its presence."""
    return json.dumps({"state": "here" if is_here else "gone"}).encode()


def says_here(payload: bytes) -> bool | None:
    """Return whether a gateway is there, as it says; None where it says neither."""
    try:
        said = json.loads(payload) if len(payload) <= _LONGEST_PRESENCE else None
    except (ValueError, RecursionError):
        return None
    return {"here": True, "gone": False}.get(str(said.get("state"))) if isinstance(said, dict) else None


def sensor_id(name: str) -> str:
    """Return the sensor's address, where a gateway calls it by that, with hyphens; else its name."""
    return name.replace("-", ":").upper() if _BLUETOOTH.fullmatch(name) else name


def topic_name(called: str, address: str) -> str:
    """Return what a gateway calls a sensor in a topic: its name where that can stand there, else its address."""
    return called if NAME.fullmatch(called) else re.sub("[^0-9a-z]", "-", address.casefold())


@dataclass(frozen=True, slots=True)
class Bridge:
    """Where sensors are heard through a gateway: `mqtt[s]://[user@]host[:port][/gym]/GATEWAY[/SENSOR]`.

    Attributes
    ----------
    address
        Of the broker.
    gateway, sensor
        Names; `ANY` stands for each. Several gateways are parted by commas.
    """

    address: Address
    gateway: str
    sensor: str = ANY

    @classmethod
    def parse(cls, text: str) -> Self:
        """Return what a text means.

        Raises
        ------
        BrokerError
            When it means none.
        """
        before, at, place = text.rpartition("@")
        scheme, slashes, place = ("", "", place) if at else place.partition("://")
        host, _, path = place.partition("/")
        names = [name for name in path.split("/") if name]
        gym = names.pop(0) if len(names) == 3 else ""
        address = Address.parse(f"{before}{at}{scheme}{slashes}{host}" + (f"/{gym}" if gym else ""))
        each = [one for at, name in enumerate(names) for one in (name.split(",") if at == 0 else [name])]
        if not 1 <= len(names) <= 2 or not all(one == ANY or NAME.fullmatch(one) for one in each):
            raise BrokerError(
                "After the host stand the names of the gateway and, where it has several, of the sensor (of a-z, 0-9 "
                "and -), as in mqtts://broker.example/rack-3/clip-07; after a gym give both; + is any."
            )
        return cls(address, *names)

    @property
    def topics(self) -> tuple[str, ...]:
        """What to listen to; which other sensors there are is heard, too."""
        gym, topics = self.address.gym, list[str]()
        for gateway in self._gateways:
            topics += [presence(gateway, gym), up(gateway, self.sensor, ANY, gym)]
            topics += [] if self.sensor == ANY else [up(gateway, ANY, Channel.LINK, gym)]
        return tuple(topics)

    @property
    def _gateways(self) -> list[str]:
        return self.gateway.split(",")

    def is_of(self, told: Told) -> bool:
        """Whether it is about a sensor that is meant."""
        return self.sensor in (ANY, told.sensor) and any(one in (ANY, told.gateway) for one in self._gateways)

    def to(self, gateway: str, sensor: str) -> str:
        """Return the address of one of the sensors, as it is typed."""
        return f"{self.address}/{gateway}/{sensor}"


def is_bridge(text: str) -> bool:
    """Whether a sensor is named by where a gateway bridges it to."""
    return text.startswith(("mqtt://", "mqtts://"))


def _before(gym: str) -> str:
    return f"{gym}/" if gym else ""
