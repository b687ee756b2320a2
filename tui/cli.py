"""The command line: parses, and hands over. Each command imports what it needs, so that `--help` is quick."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Any

import click

from tui.home import Home

MOUNTS = ("body", "limb", "moving-bar", "fixed-bar", "suspension")
PLACES = ("belt", "chest", "upper-back")

mount_help = (
    "Where the sensor sits: body (belt, vest, chest or back strap), limb (wrist or ankle), moving-bar (the bar "
    "travels), fixed-bar (the bar stays), suspension (strap, ring, towel or rope)."
)


class Speed(click.FloatRange):
    """A range that `nan` is outside of."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """Return the speed, or fail."""
        speed = float(super().convert(value, param, ctx))
        return speed if speed == speed else self.fail(f"{value} is no speed.", param, ctx)


speed_option = click.option(
    "--speed",
    type=Speed(min=0.01, max=1e6),
    default=1.0,
    show_default=True,
    help="Seconds of the session in one real second.",
)
place_option = click.option(
    "--place",
    type=click.Choice(PLACES),
    help="Where on the body: from chest or upper-back the lean is the trunk's, from a belt it is the pelvis's tilt.",
)


def _check_place(place: str | None, mount: str) -> None:
    if place and mount != "body":
        raise click.UsageError("--place says where on the body: it goes with --mount body only")


virtual_option = click.option(
    "--virtual", is_flag=True, help="Take the virtual sensor of the demonstration: no hardware needed."
)


def _folder(home: Path | None, virtual: bool) -> Path:
    """Return where to keep things: what is learnt of the virtual sensor stays beside the demonstration's own log."""
    return home or (Home.demo() if virtual else Home.default()).folder


headless_option = click.option("--headless", is_flag=True, help="Print text instead of opening the dashboard.")


@click.group(context_settings={"help_option_names": ["-h", "--help"]}, epilog="Example: rungwise demo --speed 10")
@click.option(
    "--home",
    type=click.Path(file_okay=False, path_type=Path),
    help="Keep logbook and recordings in this folder instead of your own data folder.",
)
@click.version_option(package_name="rungwise")
@click.pass_context
def main(context: click.Context, home: Path | None) -> None:
    """Count and time pull-up work, check it against the prescription, and work out the next session.

    General information, not medical advice: your coach, your clinician and the makers of bar and anchor come first.
    Pain stops the set.
    """
    context.obj = home


@main.command(
    epilog="\b\nExamples:\n"
    "  rungwise demo\n"
    "  rungwise demo --headless --speed 20\n"
    "  rungwise demo --motion belt.csv --mount body"
)
@speed_option
@headless_option
@click.option(
    "--motion",
    type=click.Path(path_type=Path),
    help="Stream this recorded table (CSV) instead of the virtual trainee; needs --mount.",
)
@click.option("--mount", type=click.Choice(MOUNTS), help=mount_help)
@click.option("--holds", is_flag=True, help="The virtual trainee holds at the top instead of doing reps.")
@click.pass_obj
def demo(home: Path | None, speed: float, headless: bool, motion: Path | None, mount: str | None, holds: bool) -> None:
    """Do a whole session with a virtual trainee and a virtual sensor: no hardware needed."""
    from tui.demo import run_demo

    if (motion is None) != (mount is None):
        raise click.UsageError("--motion and --mount go together: say where the recorded sensor sat")
    if holds and motion:
        raise click.UsageError("--holds is for the virtual trainee: leave out --motion, or leave out --holds")
    run_demo(home, speed=speed, headless=headless, motion=motion, mount=mount, holds=holds)


@main.command(epilog='Examples: rungwise train "Jonas Reiter", rungwise train --superset press-up')
@click.argument("trainee", required=False)
@headless_option
@click.option("--mount", type=click.Choice(MOUNTS), help=mount_help + " Default: what the exercise asks for.")
@place_option
@click.option(
    "--sensor",
    "sensors",
    multiple=True,
    metavar="NAME",
    help="Name or address of the sensor, or a file (.toml) that describes another maker's; default: the only one "
    "in range. Once more: another, recorded with it.",
)
@click.option("--superset", metavar="EXERCISE", help="In turn with this other exercise; its sets are not counted.")
@click.option("--hang", type=click.IntRange(5, 600), metavar="SECONDS", help="Hangs of so long instead of reps.")
@click.pass_obj
def train(
    home: Path | None,
    trainee: str | None,
    headless: bool,
    mount: str | None,
    place: str | None,
    sensors: tuple[str, ...],
    superset: str | None,
    hang: int | None,
) -> None:
    """Train today's prescription with a sensor: counted, timed, checked, logged.

    TRAINEE is a name; a new one begins on the first rung. Without it the last one who trained goes on. The place is
    kept with the session, and the next one takes it over.
    """
    from tui.train import run_train

    _check_place(place, mount or "body")
    if superset is not None and not superset.strip():
        raise click.UsageError("--superset needs the other exercise's name, for example --superset press-up")
    if len(set(sensors)) < len(sensors):
        raise click.UsageError("--sensor names the same sensor twice: name two, or one")
    folder = home or Home.default().folder
    run_train(
        folder,
        trainee=trainee,
        headless=headless,
        mount=mount,
        place=place,
        sensors=sensors,
        superset=superset,
        hang_s=hang,
    )


@main.command(epilog="Examples: rungwise scan, rungwise scan --json, rungwise scan felltag.toml")
@click.argument("description", required=False, type=click.Path(path_type=Path))
@click.option("--seconds", type=click.FloatRange(1, 120), default=5.0, show_default=True, help="How long to listen.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document a line (rungwise.sensor/1).")
@virtual_option
@click.pass_obj
def scan(home: Path | None, description: Path | None, seconds: float, as_json: bool, virtual: bool) -> None:
    """List the sensors in range, and those met before.

    Each is asked for battery and firmware; a sensor that is connected elsewhere does not show. DESCRIPTION is a file
    (.toml) that describes sensors of another maker: then those are listed.
    """
    from tui.scan import run_scan

    run_scan(_folder(home, virtual), seconds=seconds, as_json=as_json, virtual=virtual, described=description)


@main.command(
    epilog="\b\nExamples:\n  rungwise sensor\n  rungwise sensor RW-2 --name belt --rate 200\n"
    "  rungwise sensor belt --calibrate\n  rungwise sensor --known"
)
@click.argument("sensor", required=False)
@click.option("--seconds", type=click.FloatRange(1, 600), default=20.0, show_default=True, help="How long to look.")
@click.option("--rate", type=click.FloatRange(10, 1000), metavar="HZ", help="Set the samples a second, and keep it so.")
@click.option("--range", "force_g", type=click.Choice(["2", "4", "8", "16"]), help="Set the largest force, ± g.")
@click.option("--turn-range", type=click.IntRange(125, 4000), metavar="DPS", help="Set the largest turning, ± °/s.")
@click.option("--name", help="Call it so from now on, here.")
@click.option("--calibrate", is_flag=True, help="Find out by how much it errs: two minutes, a table, no tool.")
@click.option("--free", is_flag=True, help="Calibrate by any postures, for a clip that cannot lie on each side.")
@click.option("--known", is_flag=True, help="Only print what is known of each sensor.")
@click.option("--json", "as_json", is_flag=True, help="Print as JSON (rungwise.sensor/1).")
@virtual_option
@click.pass_obj
def sensor(
    home: Path | None,
    sensor: str | None,
    seconds: float,
    rate: float | None,
    force_g: str | None,
    turn_range: int | None,
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
    from tui.calibrate import run_calibrate, show_known
    from tui.sensor import Settings, run_sensor

    folder = _folder(home, virtual)
    if name is not None and not name.strip():
        raise click.UsageError("--name needs a name, for example --name belt")
    settings = Settings(rate_hz=rate, force_g=int(force_g) if force_g else None, turn_deg_s=turn_range, name=name)
    if known:
        show_known(folder)
    elif calibrate or free:
        if settings != Settings() or as_json or virtual:
            raise click.UsageError("--calibrate goes by itself: first calibrate, then set or look")
        run_calibrate(folder, sensor=sensor, free=free)
    else:
        run_sensor(folder, sensor=sensor, seconds=seconds, settings=settings, as_json=as_json, virtual=virtual)


@main.command(epilog="Example: rungwise analyse belt.csv --mount body")
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--mount", type=click.Choice(MOUNTS), required=True, help=mount_help)
@place_option
@click.option("--json", "as_json", is_flag=True, help="One JSON document a line (rungwise.analysis/1).")
@click.option("--as-live", is_flag=True, help="Answer as the live screen would: nothing of the future is used.")
@click.pass_context
def analyse(
    context: click.Context, files: tuple[Path, ...], mount: str, place: str | None, as_json: bool, as_live: bool
) -> None:
    """Find the sets, reps and phases in recorded motion.

    FILES are tables (.csv, .csv.gz) with a header t_s,ax_g,ay_g,az_g and optionally gx_dps,gy_dps,gz_dps.
    """
    from analysis.motion.mounts import Mount, Place
    from tui.analyse import analyse_files

    _check_place(place, mount)
    where = Place(place) if place else None
    context.exit(analyse_files(files, Mount(mount), as_json=as_json, as_live=as_live, place=where))


@main.command(epilog="Example: rungwise replay 3f2a --speed 4")
@click.argument("recording", type=click.Path(path_type=Path))
@speed_option
@headless_option
@click.option("--recompute", is_flag=True, help="Analyse the raw packets again and compare with what was stored.")
@click.pass_obj
def replay(home: Path | None, recording: Path, speed: float, headless: bool, recompute: bool) -> None:
    """Play a recorded session in the dashboard, with the events as they were.

    RECORDING is a file, or the first letters of a session's id as `rungwise log` shows it.
    """
    from tui.replay import run_replay

    run_replay(home or Home.default().folder, recording, speed=speed, headless=headless, recompute=recompute)


@main.command(epilog='Example: rungwise log "Jonas Reiter"')
@click.argument("trainee", required=False)
@headless_option
@click.option("--json", "as_json", is_flag=True, help="One JSON document a line (rungwise.session/1).")
@click.pass_obj
def log(home: Path | None, trainee: str | None, headless: bool, as_json: bool) -> None:
    """List what was done: a screen in a terminal, a line a session elsewhere."""
    from tui.show import show_log

    show_log(home or Home.default().folder, trainee=trainee, headless=headless, as_json=as_json)


@main.command("next", epilog='Example: rungwise next "Jonas Reiter"')
@click.argument("trainee", required=False)
@click.option("--date", "on", type=click.DateTime(["%Y-%m-%d"]), help="Take this day as today.")
@click.option("--json", "as_json", is_flag=True, help="Print as JSON (rungwise.next/1).")
@click.pass_obj
def next_command(home: Path | None, trainee: str | None, on: datetime | None, as_json: bool) -> None:
    """Say what to do next, and why."""
    from tui.show import show_next

    show_next(home or Home.default().folder, trainee=trainee, on=on, as_json=as_json)
