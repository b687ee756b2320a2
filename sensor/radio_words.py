"""Which sensors are in range and how to choose among them, in words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from bleak.backends.device import BLEDevice

if TYPE_CHECKING:
    from sensor.radio_search import RadioSettings


def which(found: Sequence[BLEDevice], settings: RadioSettings) -> str:
    """Say which sensors are there, and how to choose."""
    how = f"its address (`{settings.ask_for.format(found[0].address)}`)"
    if settings.sort.description is not None:
        how = f'`address = "{found[0].address}"` under [find] in its description'
    named = _named(found, settings)
    return f"{len(found)} sensors are in range: {named}. Say which one by {how}, or switch the others off."


def not_found(settings: RadioSettings, others: Sequence[BLEDevice]) -> str:
    """Say that the sensor wanted is not there, which others of its sort are, and what to do."""
    nearer = "bring it within a few metres, then try again."
    if settings.address is None and settings.name is None:
        return f"No sensor found. Wake it, {nearer}"
    called = settings.names.get(settings.address or "", settings.name)
    asked = f"called {called}" if called else f"at {settings.address}"
    if not others or settings.sort.service is None:  # by name alone, the others are whatever is in the house
        return f"No sensor {asked} found. Wake it, {nearer}"
    how = f"ask for that one by its address (`{settings.ask_for.format(others[0].address)}`)"
    if settings.sort.description is not None:
        how = "correct name and address under [find] in its description"
    return (
        f"No sensor {asked} found, but in range: {_named(others, settings)}. Either {how}, or wake the other, {nearer}"
    )


def printable(said: str) -> str:
    """Return what a sensor calls itself without what a terminal would obey: its bytes are hostile."""
    return "".join(letter for letter in said if letter.isprintable())


def _named(devices: Sequence[BLEDevice], settings: RadioSettings) -> str:
    names = (
        (settings.names.get(one.address) or printable(one.name or "") or "a sensor", one.address) for one in devices
    )
    return ", ".join(sorted(f"{name} at {address}" for name, address in names))
