"""`rungwise replay`: parses, and hands over."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING

import click

from analysis.motion.mounts import Mount
from tui.commands.options import MOUNTS, headless_option, mount_help, speed_option
from tui.home import Home

if TYPE_CHECKING:
    from tui.occasion import Occasion


@click.command(
    short_help="Look at a recorded session again, whole and close.",
    epilog="Examples: rungwise replay 3f2a, rungwise replay belt.csv --mount body",
)
@click.argument("recording", type=click.Path(path_type=Path))
@speed_option
@headless_option
@click.option("--recompute", is_flag=True, help="Analyse the raw packets again and compare with what was stored.")
@click.option("--as-shown", is_flag=True, help="Play the live screen as it was then.")
@click.option("--mount", type=click.Choice(MOUNTS), help=mount_help + " For a table of motion (CSV).")
@click.option(
    "--wav",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Write what is heard of the session to this file instead.",
)
@click.pass_obj
def replay(
    home: Path | None,
    recording: Path,
    speed: float,
    headless: bool,
    recompute: bool,
    as_shown: bool,
    mount: str | None,
    wav: Path | None,
) -> None:
    """Look at a recorded session again: the whole as one ridge, close up each rep with the motion it was read from.

    RECORDING is a file, or the first letters of a session's id as `rungwise log` shows it; with --mount a table of
    motion (CSV), which is analysed first. As text, the session is told again with the events as they were.
    """
    if wav and (recompute or as_shown or mount):
        raise click.UsageError("--wav is for a recording by itself: leave out --recompute, --as-shown and --mount")
    if mount and (recompute or as_shown):
        raise click.UsageError("--recompute and --as-shown are for recordings: leave out --mount, or leave them out")
    if mount is None and recording.name.lower().endswith((".csv", ".csv.gz")):
        raise click.UsageError("a table of motion needs --mount: say where the sensor sat")
    used = Home(home) if home else Home.default()
    if wav:
        from tui.replay.replay_sound import write_sound

        write_sound(used.folder, recording, wav)
    elif recompute:
        from tui.replay.replay_command import compare_replay

        compare_replay(used, recording)
    else:
        _look_again(used, recording, Mount(mount) if mount else None, speed, headless=headless, as_shown=as_shown)


def _look_again(
    home: Home, recording: Path, mount: Mount | None, speed: float, *, headless: bool, as_shown: bool
) -> None:
    from tui.running import run_in_dashboard, wants_text

    if wants_text(headless):
        if mount:
            raise click.UsageError("a table of motion is replayed on a screen; rungwise analyse prints what is in it")
        from tui.replay.replay_command import tell_replay

        tell_replay(home, recording, speed=speed)
        return

    def prepare(held: ExitStack) -> Occasion:
        from tui.replay.replay_command import open_as_shown, open_replay

        if as_shown:
            return open_as_shown(held, home, recording, speed)
        return open_replay(held, home, recording, mount, speed)

    run_in_dashboard(prepare, home=home)
