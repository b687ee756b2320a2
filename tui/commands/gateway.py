"""The commands about gateways and many sensors: parses, and hands over."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from tui.commands.broker import access_of, broker_options
from tui.commands.options import folder_of
from tui.home import Home

_EXAMPLE = '--worn "Mara Lindt=clip-07"'


class WornType(click.ParamType[tuple[str, str]]):
    """Somebody's name and the sensor that they wear, with `=` between."""

    name = "NAME=SENSOR"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> tuple[str, str]:
        """Return both."""
        if isinstance(value, tuple):  # converted already
            return value
        name, equals, sensor = (part.strip() for part in value.partition("="))
        if not (name and equals and sensor):
            self.fail(f"give a name and the sensor that they wear: {_EXAMPLE}", param, ctx)
        return name, sensor


@click.command(
    short_help="Log everybody whose sensor is heard through gateways, without a screen.",
    epilog="\b\nExamples:\n"
    '  rungwise gather mqtts://hall@broker.example/+ --worn "Mara Lindt=clip-07" --worn "Jonas Reiter=clip-12"',
)
@click.argument("url", metavar="mqtt[s]://[USER@]HOST[:PORT]/GATEWAY")
@click.option("--worn", type=WornType(), multiple=True, help="Who wears which sensor; once for each.")
@broker_options
@click.pass_obj
def gather(
    home: Path | None, url: str, worn: tuple[tuple[str, str], ...], password_file: Path | None, ca: Path | None
) -> None:
    """Log everybody whose sensor is heard through gateways, each by their own plan, until it is stopped by Ctrl+C.

    GATEWAY may be several, parted by commas; + means every one, where the broker lets you hear them all. Sets go into
    the log once they are over; nothing is shown while they last. A session ends ten minutes after its last set that was
    asked for, or when its sensor is away for twenty.
    """
    from tui.training.gather_command import run_gather

    sensors = [sensor for _, sensor in worn]
    if not worn:
        raise click.UsageError(f"say who wears which sensor: {_EXAMPLE}")
    if len(set(sensors)) < len(sensors) or len({name.casefold() for name, _ in worn}) < len(worn):
        raise click.UsageError("--worn names somebody or a sensor twice: each once")
    used = Home(home) if home else Home.default()
    run_gather(used, url, access_of(password_file, ca), {sensor: name for name, sensor in worn})


@click.command(
    short_help="Pass on what this computer's radio hears of sensors to a broker.",
    epilog="\b\nExamples:\n"
    "  rungwise gateway mqtts://broker.example/rack-3 --sensor clip-07\n"
    "  rungwise gateway mqtt://localhost/rack-3 --virtual",
)
@click.argument("url", metavar="mqtt[s]://[USER@]HOST[:PORT]/GATEWAY")
@click.option("--sensor", "sensors", multiple=True, metavar="NAME", help="Name or address; once for each sensor.")
@click.option("--virtual", is_flag=True, help="Pass on a virtual trainee's sensor: no hardware needed.")
@broker_options
@click.pass_obj
def gateway(
    home: Path | None,
    url: str,
    sensors: tuple[str, ...],
    virtual: bool,
    password_file: Path | None,
    ca: Path | None,
) -> None:
    """Pass on what this computer's radio hears of sensors to a broker, as a board with a gateway's program does.

    GATEWAY is its own name, and that of its account unless USER says another. Nothing is analysed or kept here. A
    station hears the sensor by rungwise train --sensor with the same address.
    """
    from tui.training.gather_command import run_gateway

    if any(one.casefold().endswith(".toml") for one in sensors):
        raise click.UsageError("a sensor of another maker is used at the computer that hears it: leave out its file")
    if virtual and sensors:
        raise click.UsageError("--virtual brings its own sensor: leave out --sensor")
    run_gateway(Home(folder_of(home, virtual)), url, access_of(password_file, ca), sensors, virtual=virtual)
