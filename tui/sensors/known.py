"""`rungwise sensor --known`: every sensor that was met, and what is known of how each errs."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click

from tui.home import Home
from tui.sensors.scan import FORMAT, calibration_fields, calibration_words, day, table
from tui.sensors.sensors import Known, Met, SensorFile
from tui.trouble import clear_errors
from tui.words.sensor_words import known_lines

_COLUMNS = ("name", "address", "last met", "firmware", "calibration")
_NOBODY = (
    "no sensor was met yet: rungwise scan lists those in range, rungwise sensor --calibrate finds out what one errs by"
)


def show_known(folder: Path, *, as_json: bool) -> None:
    """Print every sensor that was met, the latest first.

    Parameters
    ----------
    folder
        Home.
    as_json
        One JSON document a line (`rungwise.sensor/1`).
    """
    with clear_errors():
        file = SensorFile(Home(folder).sensors)
        known, met = file.read(), file.met()
    # A calibration of a sensor that is not remembered otherwise is known all the same.
    latest = [*reversed(met), *(address for address in known if address not in met)]
    if as_json:
        for address in latest:
            click.echo(json.dumps(document(address, met.get(address), known.get(address))))
    elif latest:
        rows = [_row(address, met.get(address), known.get(address)) for address in latest]
        click.echo("\n".join([*table(_COLUMNS, rows), *_calibrations(known)]))
    if not latest:
        click.echo(_NOBODY, err=True)


def document(address: str, met: Met | None, known: Known | None) -> dict[str, Any]:
    """Return what is known of a sensor, as `--json` prints it."""
    return {
        "format": FORMAT,
        "address": address,
        "name": met and (met.name or met.advertised or None),
        "advertised": met and met.advertised,
        "seen_utc_us": met and met.seen_utc_us,
        "firmware": met and met.firmware,
        "calibration": calibration_fields(known),
    }


def _row(address: str, met: Met | None, known: Known | None) -> tuple[str, ...]:
    calibration = calibration_words(known, made=met is not None and met.calibrated)
    if met is None:
        return ("?", address, "?", "?", calibration)
    return (met.name or met.advertised or "?", address, day(met.seen_utc_us), met.firmware or "?", calibration)


def _calibrations(known: dict[str, Known]) -> Iterator[str]:
    for address, one in known.items():
        yield from known_lines(address, one)
