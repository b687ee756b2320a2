"""The commands about sensors: parses, and hands over."""

from __future__ import annotations

from pathlib import Path

import click
from click.core import ParameterSource

from sensor.limits import FORCE_RANGES_G, SET_RATE_HZ, TURN_RANGES_DEG_S
from tui.commands.options import Number, folder_of, virtual_option


@click.command(epilog="Examples: rungwise scan, rungwise scan --json, rungwise scan felltag.toml")
@click.argument("description", required=False, type=click.Path(path_type=Path))
@click.option("--seconds", type=Number(1, 120), default=5.0, show_default=True, help="How long to listen.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document a line (rungwise.sensor/1).")
@virtual_option
@click.pass_obj
def scan(home: Path | None, description: Path | None, seconds: float, as_json: bool, virtual: bool) -> None:
    """List the sensors in range, and those met before.

    Each is asked for battery and firmware; a sensor that is connected elsewhere does not show. DESCRIPTION is a file
    (.toml) that describes sensors of another maker: then those are listed.

    Exit status: 0 where a sensor is in range, 1 where none is, 2 where Bluetooth cannot be used.
    """
    from tui.sensors.scan import run_scan

    run_scan(folder_of(home, virtual), seconds=seconds, as_json=as_json, virtual=virtual, described=description)


@click.command(
    short_help="Look at one sensor, set it, name it, calibrate it.",
    epilog="\b\nExamples:\n  rungwise sensor\n  rungwise sensor RW-2 --name belt --rate 200\n"
    "  rungwise sensor belt --calibrate\n  rungwise sensor --known",
)
@click.argument("sensor", required=False)
@click.option("--seconds", type=Number(1, 600), default=20.0, show_default=True, help="How long to look.")
@click.option("--rate", type=Number(*SET_RATE_HZ), metavar="HZ", help="Set the samples a second, and keep it so.")
@click.option(
    "--range", "force_g", type=click.Choice(list(map(str, FORCE_RANGES_G))), help="Set the largest force, ± g."
)
@click.option(
    "--turn-range",
    type=click.Choice(list(map(str, TURN_RANGES_DEG_S))),
    help="Set the largest turning, ± °/s.",
)
@click.option("--name", help="Call it so from now on, here.")
@click.option("--calibrate", is_flag=True, help="Find out by how much it errs: two minutes, a table, no tool.")
@click.option("--free", is_flag=True, help="Calibrate by any postures, for a clip that cannot lie on each side.")
@click.option("--known", is_flag=True, help="Only list every sensor met, and what is known of each.")
@click.option("--json", "as_json", is_flag=True, help="Print as JSON (rungwise.sensor/1).")
@virtual_option
@click.pass_context
def sensor(
    context: click.Context,
    sensor: str | None,
    seconds: float,
    rate: float | None,
    force_g: str | None,
    turn_range: str | None,
    name: str | None,
    calibrate: bool,
    free: bool,
    known: bool,
    as_json: bool,
    virtual: bool,
) -> None:
    """Look at one sensor: rate, range, clock, loss, noise and bias at rest; set it, name it, calibrate it.

    SENSOR is a name, an address, or a file (.toml) that describes it; without it the only one in range. Leave it still
    on a table while it is looked at. To calibrate, lay it on each of its six sides in any order; it says when a side
    is done. Every session refines what is known by itself, from the moments in which the sensor was still.
    """
    from tui.sensors.calibrate import run_calibrate
    from tui.sensors.known import show_known
    from tui.sensors.sensor import Settings, run_sensor

    folder = folder_of(context.obj, virtual)
    if name is not None and not name.strip():
        raise click.UsageError("--name needs a name, for example --name belt")
    settings = Settings(
        rate_hz=rate,
        force_g=int(force_g) if force_g else None,
        turn_deg_s=int(turn_range) if turn_range else None,
        name=name,
    )
    if known:
        _refuse_others(context, ("known", "as_json", "virtual"), "--known lists every sensor met, and goes without")
        show_known(folder, as_json=as_json)
    elif calibrate or free:
        with_it = ("sensor", "calibrate", "free", "virtual")
        _refuse_others(context, with_it, "first calibrate, then set or look: --calibrate goes without")
        run_calibrate(folder, sensor=sensor, free=free, virtual=virtual)
    else:
        run_sensor(folder, sensor=sensor, seconds=seconds, settings=settings, as_json=as_json, virtual=virtual)


def _refuse_others(context: click.Context, allowed: tuple[str, ...], why: str) -> None:
    """Refuse what was given on the command line beside `allowed`, instead of passing over it."""
    given = [
        one.opts[0] if isinstance(one, click.Option) else one.human_readable_name
        for one in context.command.params
        if one.name
        and one.name not in allowed
        and context.get_parameter_source(one.name) is ParameterSource.COMMANDLINE
    ]
    if given:
        raise click.UsageError(f"{why} {', '.join(given)}")
