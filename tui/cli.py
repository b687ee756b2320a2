"""The command line: parses, and hands over. Each command imports what it needs, so that `--help` is quick."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from analysis.motion.mounts import Mount, Place
from tui.commands.book import log, next_command, roster
from tui.commands.broker import access_of
from tui.commands.check import check
from tui.commands.correct import correct
from tui.commands.floor import floor
from tui.commands.forget import forget
from tui.commands.gateway import gateway, gather
from tui.commands.hub import hub
from tui.commands.options import (
    MOUNTS,
    PLACES,
    headless_option,
    mount_help,
    one_name,
    speed_option,
    trainee_argument,
    trainee_option,
)
from tui.commands.out import export, import_command, report
from tui.commands.plan import plan
from tui.commands.replay import replay
from tui.commands.sensors import scan, sensor
from tui.commands.share import share, share_of, share_options
from tui.commands.told import done, tell
from tui.commands.turns import TurnsType, check_turns
from tui.home import Home

if TYPE_CHECKING:
    from tui.occasion import Occasion

place_option = click.option(
    "--place",
    type=click.Choice(PLACES),
    help="Where on the body: from chest or upper-back the lean is the trunk's, from a belt it is the pelvis's tilt.",
)


def _check_place(place: str | None, mount: str) -> None:
    if place and mount != "body":
        raise click.UsageError("--place says where on the body: it goes with --mount body only")


@click.group(
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="Example: rungwise demo --speed 10",
    invoke_without_command=True,
)
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
    Pain stops the set. Without a command, in a terminal: the dashboard, from which everything that was done can be
    looked at.
    """
    context.obj = home
    if context.invoked_subcommand is None:
        _start(context, home)


def _start(context: click.Context, home: Path | None) -> None:
    from tui.running import run_in_dashboard, wants_text

    if wants_text(headless=False):
        click.echo(context.get_help())
        return
    used = Home(home) if home else Home.default()

    def prepare(held: ExitStack) -> Occasion:
        from tui.start import open_list

        return open_list(held, used)

    run_in_dashboard(prepare, home=used)


@main.command(
    short_help="Do a whole session with a virtual trainee and sensor.",
    epilog="\b\nExamples:\n"
    "  rungwise demo\n"
    "  rungwise demo --headless --speed 20\n"
    "  rungwise demo --motion belt.csv --mount body",
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
@click.option("--sound", is_flag=True, help="Let it be heard, as a session of your own is.")
@share_options
@click.pass_obj
def demo(
    home: Path | None,
    /,
    speed: float,
    headless: bool,
    motion: Path | None,
    mount: str | None,
    holds: bool,
    sound: bool,
    **shared: Any,
) -> None:
    """Do a whole session with a virtual trainee and a virtual sensor: no hardware needed."""
    from tui.running import run_in_dashboard, wants_text
    from tui.wanted import WantedDemo

    if (motion is None) != (mount is None):
        raise click.UsageError("--motion and --mount go together: say where the recorded sensor sat")
    if holds and motion:
        raise click.UsageError("--holds is for the virtual trainee: leave out --motion, or leave out --holds")
    wanted = WantedDemo(
        home=Home(home) if home else Home.demo(),
        speed=speed,
        motion=motion,
        mount=Mount(mount) if mount else None,
        holds=holds,
        sound=sound,
        share=share_of(**shared),
    )
    if wants_text(headless):
        from tui.demo import tell_demo

        tell_demo(wanted)
        return

    def prepare(held: ExitStack) -> Occasion:
        from tui.demo import open_demo

        return open_demo(held, wanted)

    run_in_dashboard(prepare, home=wanted.home, network=wanted.share is not None)


@main.command(
    short_help="Train today's prescription with a sensor.",
    epilog='Examples: rungwise train "Jonas Reiter", rungwise train --turns "Mara Lindt,Jonas Reiter"',
)
@trainee_argument
@trainee_option
@headless_option
@click.option("--mount", type=click.Choice(MOUNTS), help=mount_help + " Default: what the exercise asks for.")
@place_option
@click.option(
    "--sensor",
    "sensors",
    multiple=True,
    metavar="NAME",
    help="Name or address of the sensor, where a gateway bridges it to (mqtts://HOST/GATEWAY), or a file (.toml) that "
    "describes another maker's; default: the only one in range. Once more: another, recorded with it.",
)
@click.option(
    "--turns",
    type=TurnsType(),
    metavar="NAME,NAME,…",
    help="Several people in turn on one bar, each with an own prescription, rest and log; with NAME=SENSOR,… each "
    "wears a sensor, and any order will do.",
)
@click.option("--superset", metavar="EXERCISE", help="In turn with this other exercise; its sets are not counted.")
@click.option("--hang", type=click.IntRange(5, 600), metavar="SECONDS", help="Hangs of so long instead of reps.")
@click.option("--test", is_flag=True, help="One set of as many clean full reps as possible; the ladder stays as it is.")
@click.option("--silent", is_flag=True, help="Let nothing be heard: no tempo, no count, no end of a rest.")
@share_options
@click.pass_obj
def train(
    home: Path | None,
    /,
    trainee: str | None,
    named: str | None,
    headless: bool,
    mount: str | None,
    place: str | None,
    sensors: tuple[str, ...],
    turns: dict[str, str | None] | None,
    superset: str | None,
    hang: int | None,
    test: bool,
    silent: bool,
    **shared: Any,
) -> None:
    """Train today's prescription with a sensor: counted, timed, checked, logged.

    TRAINEE is a name; a new one begins on the first rung. Without it the last one who trained goes on. The place is
    kept with the session, and the next one takes it over.
    """
    from tui.running import run_in_dashboard, wants_text
    from tui.wanted import Wanted

    _check_place(place, mount or "body")
    if superset is not None and not superset.strip():
        raise click.UsageError("--superset needs the other exercise's name, for example --superset press-up")
    if test and (hang is not None or superset is not None):
        raise click.UsageError("--test is one set by itself: leave out --hang and --superset")
    if len(set(sensors)) < len(sensors):
        raise click.UsageError("--sensor names the same sensor twice: name two, or one")
    who = one_name(trainee, named)
    check_turns(turns, trainee=who, superset=superset, sensors=sensors)
    used = Home(home) if home else Home.default()
    wanted = Wanted(
        trainee=who,
        turns=turns or {},
        sensors=sensors,
        mount=Mount(mount) if mount else None,
        place=Place(place) if place else None,
        superset=superset,
        hang_s=hang,
        test=test,
        silent=silent,
        access=access_of(shared["password_file"], shared["ca"]),
        share=share_of(**shared),
    )
    if wants_text(headless):
        from tui.training.train_with import tell_training

        tell_training(used, wanted)
        return

    def prepare(held: ExitStack) -> Occasion:
        from tui.training.train_with import open_training

        return open_training(held, used, wanted)

    run_in_dashboard(prepare, home=used, network=wanted.uses_network)


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
    from tui.analyse import analyse_files

    _check_place(place, mount)
    where = Place(place) if place else None
    context.exit(analyse_files(files, Mount(mount), as_json=as_json, as_live=as_live, place=where))


main.add_command(replay)
main.add_command(scan)
main.add_command(sensor)
main.add_command(log)
main.add_command(next_command)
main.add_command(done)
main.add_command(tell)
main.add_command(roster)
main.add_command(floor)
main.add_command(plan)
main.add_command(check)
main.add_command(correct)
main.add_command(export)
main.add_command(import_command)
main.add_command(report)
main.add_command(forget)
main.add_command(hub)
main.add_command(share)
main.add_command(gateway)
main.add_command(gather)
