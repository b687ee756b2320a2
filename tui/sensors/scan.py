"""`rungwise scan`: the sensors in range, what each says of itself, and those met before."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import click

from sensor.protocol import Info, InfoFlags
from sensor.radio_search import Backends, RadioSettings, Sighting, scan
from sensor.source import HostClock, SystemClock
from sensor.visit import Card, visit
from tui.home import Home
from tui.running import INTERRUPTED
from tui.sensors.bluetooth import radio, show_progress
from tui.sensors.choosing import described_settings, ranges
from tui.sensors.sensors import Known, Met, SensorFile
from tui.trouble import clear_errors

FORMAT = "rungwise.sensor/1"
_COLUMNS = ("name", "address", "signal", "battery", "firmware", "calibration")
NOTHING_FOUND = 1
"""Exit status where no sensor is in range; 2 is for what keeps it from looking."""
_NOTHING = (
    "No sensor in range. Wake one (its switch, its button, or a shake) and bring it within a few metres; one that a "
    "phone or another computer is connected to does not show. Then look longer: rungwise scan --seconds 20"
)


def run_scan(folder: Path, *, seconds: float, as_json: bool, virtual: bool, described: Path | None = None) -> None:
    """List the sensors in range, and remember those that can be called by a name later.

    Parameters
    ----------
    folder
        Home.
    seconds
        How long to listen.
    as_json
        One JSON document a line (`rungwise.sensor/1`).
    virtual
        Look for the virtual sensor of the demonstration instead.
    described
        Look for sensors that this file describes instead.
    """
    clock = SystemClock()
    file = SensorFile(Home(folder).sensors)
    try:
        with clear_errors():
            before = file.met()
            wanted = described_settings(described) if described else RadioSettings()
            seen = asyncio.run(_look(clock, seconds, virtual, wanted))
            if not described:
                file.keep_met(
                    {one.address: met_now(before.get(one.address), one, card, clock.utc_us()) for one, card in seen}
                )
            known = file.read()
    except KeyboardInterrupt:
        raise SystemExit(INTERRUPTED) from None
    here = {one.address for one, _ in seen}
    away = {} if described else {address: one for address, one in before.items() if address not in here}
    if as_json:
        for one, card in seen:
            click.echo(json.dumps(document(one, card, before.get(one.address), known.get(one.address))))
    else:
        rows = [_row(one, card, before.get(one.address), known.get(one.address)) for one, card in seen]
        for line in (*table(_COLUMNS, rows), *_away_lines(away, known)):
            click.echo(line)
    if not seen:
        click.echo(f"rungwise: {_NOTHING}", err=True)
        raise SystemExit(NOTHING_FOUND)


async def _look(clock: HostClock, seconds: float, virtual: bool, wanted: RadioSettings) -> list[tuple[Sighting, Card]]:
    async with radio(virtual) as backends:
        show_progress(f"listening for {seconds:g} s")
        try:
            sightings = await scan(clock, seconds, backends, wanted)
            # One after the other: many adapters make one connection at a time.
            return [await _ask(one, backends, wanted) for one in sightings]
        finally:
            show_progress(None)


async def _ask(sighting: Sighting, backends: Backends | None, wanted: RadioSettings) -> tuple[Sighting, Card]:
    show_progress(f"asking {sighting.name or sighting.address} what it is")
    return sighting, await visit(sighting.device, backends, wanted.sort)


def met_now(before: Met | None, sighting: Sighting, card: Card, utc_us: int) -> Met:
    """Return what is remembered of a sensor that is seen now; of one that said nothing, what it said before."""
    met = replace(before or Met(seen_utc_us=utc_us), seen_utc_us=utc_us, advertised=sighting.name)
    met = replace(met, firmware=card.firmware or met.firmware)
    return met if card.info is None else replace(met, calibrated=InfoFlags.CALIBRATED in card.info.flags)


def document(sighting: Sighting, card: Card, met: Met | None, known: Known | None) -> dict[str, Any]:
    """Return what is known of a sensor in range, as `--json` prints it."""
    return {
        "format": FORMAT,
        "address": sighting.address,
        "name": (met and met.name) or sighting.name,
        "advertised": sighting.name,
        "rssi_dbm": sighting.rssi_dbm,
        **card_fields(card.info, card.battery, card.firmware),
        "calibration": calibration_fields(known),
    }


def card_fields(info: Info | None, battery: int | None, firmware: str | None) -> dict[str, Any]:
    """Return what a sensor says of itself, in the units of `analyse`'s tables."""
    return {
        "battery_percent": battery,
        "firmware": firmware,
        "rate_hz": info and info.rate_hz,
        "axes": info and info.axes,
        "range_g": info and round(ranges(info)[0], 6),
        "range_dps": info and round(ranges(info)[1], 6),
        "ring_s": info and round(info.ring_samples / info.rate_hz, 3),
        "resends": info and InfoFlags.CAN_RESEND in info.flags,
    }


def calibration_fields(known: Known | None) -> dict[str, Any] | None:
    """Return where a sensor's calibration is from; None without one."""
    if known is None:
        return None
    return {"how": known.how.value, "postures": known.postures, "learnt_utc_us": known.learnt_utc_us}


def calibration_words(known: Known | None, *, made: bool) -> str:
    """Say where a sensor's calibration is from; `made`: its maker says that it was calibrated."""
    if known is not None:
        return f"{known.how.value}, {day(known.learnt_utc_us)}"
    return "its maker's" if made else "none yet"


def day(utc_us: int) -> str:
    """Return the calendar day, here, of a moment."""
    return f"{datetime.fromtimestamp(utc_us / 1e6, UTC).astimezone():%Y-%m-%d}"


def _row(sighting: Sighting, card: Card, met: Met | None, known: Known | None) -> tuple[str, ...]:
    battery = "?" if card.battery is None else f"{card.battery} %"
    name = (met and met.name) or sighting.name or "?"
    return (
        name,
        sighting.address,
        f"{sighting.rssi_dbm} dBm",
        battery,
        card.firmware or "?",
        calibration_words(known, made=card.info is not None and InfoFlags.CALIBRATED in card.info.flags),
    )


def table(columns: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> Iterator[str]:
    """Yield rows under their headings, in columns; nothing without rows."""
    if not rows:
        return
    lines = [columns, *rows]
    widths = [max(len(line[column]) for line in lines) for column in range(len(columns))]
    for line in lines:
        yield "  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)).rstrip()


def _away_lines(away: dict[str, Met], known: dict[str, Known]) -> Iterator[str]:
    if away:
        yield "met before, not in range now:"
    for address, one in reversed(away.items()):
        calibration = calibration_words(known.get(address), made=one.calibrated)
        yield f"  {one.name or one.advertised or '?'}  {address}  {day(one.seen_utc_us)}  calibration: {calibration}"
