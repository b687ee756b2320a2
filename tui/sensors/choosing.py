"""Which sensor is wanted, and how each is set when it is met."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import AbstractAsyncContextManager
from dataclasses import replace
from functools import partial
from pathlib import Path

from sensor.broker_address import Access
from sensor.gateway import GatewaySettings, GatewaySource
from sensor.gateway_topics import Bridge, is_bridge
from sensor.own.loading import read_description
from sensor.protocol import STANDARD_GRAVITY_M_S2, Command, Info, SetRange, SetRate
from sensor.radio import RadioSource
from sensor.radio_search import RadioSettings
from sensor.radio_sort import sort_of
from sensor.source import HostClock, Source
from tui.sensors.sensors import Met, SensorFile, address_of
from tui.trouble import Trouble

DESCRIBED = ".toml"
"""How the name of a file ends that describes a sensor."""
FIND_S = 30.0
"""How long the first search goes on before it says that there is no sensor."""
_SAME_RATE = 0.02
_SAME_SCALE = 0.01


Settings = RadioSettings | GatewaySettings
"""How to find a sensor: by this computer's radio, or by a broker."""


def settings_of(file: SensorFile, sensor: str | None, access: Access | None) -> Settings:
    """Return how to find a sensor, by its name (`radio_settings`) or by where a gateway bridges it to.

    A sensor behind a gateway is called as it was named here, and stays as it is set.

    Raises
    ------
    BrokerError
        When the address of a broker means none.
    """
    if sensor is None or not is_bridge(sensor):
        return radio_settings(file, sensor)
    return GatewaySettings(
        bridge=Bridge.parse(sensor),
        access=access or Access(),
        address_of=partial(address_of, file.met()),
        find_s=FIND_S,
    )


def without_end(settings: Settings) -> Settings:
    """Return how to find the sensor however long that takes."""
    return replace(settings, find_s=None)


def source_of(clock: HostClock, settings: Settings) -> AbstractAsyncContextManager[Source]:
    """Return the sensor as a source, not opened yet."""
    return GatewaySource(clock, settings) if isinstance(settings, GatewaySettings) else RadioSource(clock, settings)


def radio_settings(file: SensorFile, sensor: str | None, ask_for: str = "--sensor {}") -> RadioSettings:
    """Return how to look for a sensor, and how to set it to what is kept for it, or use it as it is described.

    Parameters
    ----------
    file
        What is known of the sensors.
    sensor
        The name it was given here or gives itself, its address, or a file (`.toml`) that describes a sensor of another
        maker; None: the only one in range.
    ask_for
        How the command at hand asks for one, with `{}` in the place of its address.

    Raises
    ------
    DescriptionError
        When the file cannot be used.
    Trouble
        When a file is named that is not called as descriptions are.
    """
    if sensor is not None and sensor.casefold().endswith(DESCRIBED):
        return described_settings(Path(sensor))
    met = file.met()
    if sensor is not None and Path(sensor).suffix and Path(sensor).is_file():
        raise Trouble(f"{sensor} is a file, but its name does not end in {DESCRIBED}: rename it to describe a sensor")

    def set_to(address: str, info: Info) -> Sequence[Command]:
        return commands(met[address], info) if address in met else ()

    wanted = None if sensor is None else address_of(met, sensor)
    is_address = wanted is not None and (":" in wanted or len(wanted) == 36)
    return RadioSettings(
        find_s=FIND_S,
        address=wanted if is_address else None,
        name=None if is_address else wanted,
        set_to=set_to,
        ask_for=ask_for,
        names={address: one.name for address, one in met.items() if one.name},
    )


def described_settings(path: Path) -> RadioSettings:
    """Return how to look for a sensor that a file describes.

    Raises
    ------
    DescriptionError
        When the file cannot be used.
    """
    about = read_description(path)
    return RadioSettings(find_s=FIND_S, address=about.address, name=about.advertised, sort=sort_of(about))


def commands(met: Met, info: Info) -> Sequence[Command]:
    """Return what sets a sensor as it is to be; nothing where it is so, since each change begins a new boot id."""
    made: list[Command] = []
    if met.rate_hz is not None and abs(info.rate_hz / met.rate_hz - 1) > _SAME_RATE:
        made.append(SetRate(met.rate_hz))
    force_g, turn_deg_s = ranges(info)
    force = met.force_g is not None and abs(force_g / met.force_g - 1) > _SAME_SCALE
    turn = met.turn_deg_s is not None and info.axes == 6 and abs(turn_deg_s / met.turn_deg_s - 1) > _SAME_SCALE
    if force or turn:
        made.append(SetRange(met.force_g or round(force_g), met.turn_deg_s or 0))
    return made


def ranges(info: Info) -> tuple[float, float]:
    """Return the largest force, g, and the largest turning, degrees a second (0 without a gyro)."""
    return (
        info.force_m_s2_per_count * 32768 / STANDARD_GRAVITY_M_S2,
        info.turn_deg_s_per_count * 32768,
    )
