"""`rungwise demo`: a whole session with a virtual trainee, a virtual sensor and, where it can be had, a virtual radio.

The scenario is invented: Mara Lindt, recruit of a mountain-rescue team, prepares for her entry test.
"""

from __future__ import annotations

from contextlib import AbstractAsyncContextManager, nullcontext
from pathlib import Path

import click

from analysis.logbook.book import Logbook
from analysis.motion.mounts import Mount
from sensor.source import HostClock, Source, SystemClock
from sensor.virtual.link import link_available, packet_source, virtual_performance
from sensor.virtual.motion import FeedSpec, FileFeed, TraineeFeed
from sensor.virtual.script import demo_script, hold_script
from tui.home import Home, day_of
from tui.lines import print_lines
from tui.live import LiveRun
from tui.opening import Opening
from tui.plans import demo_plan, recorded_plan
from tui.rooms import Library, rooms_of
from tui.running import run_as_text, run_in_dashboard, wants_text
from tui.sensors import SensorFile
from tui.sound.sounds import Sounds
from tui.trouble import clear_errors

_TRAINEES = {False: TraineeFeed(demo_script()), True: TraineeFeed(hold_script(), seed=3)}
"""Who does reps, and who holds: one whose hands tremble enough for a sensor on the belt."""


def run_demo(
    folder: Path | None,
    *,
    speed: float,
    headless: bool,
    motion: Path | None,
    mount: str | None,
    holds: bool = False,
    sound: bool = False,
) -> None:
    """Run the demonstration.

    Parameters
    ----------
    folder
        Where to keep its log; None: a folder of its own beside the real one, so that neither disturbs the other.
    speed
        Seconds of the session in one real second.
    headless
        Print text.
    motion, mount
        A recorded table to stream instead of the virtual trainee, and where its sensor sat.
    holds
        The virtual trainee holds at the top instead of doing reps.
    sound
        Let it be heard.
    """
    home = Home(folder) if folder else Home.demo()
    clock = SystemClock(speed)
    with clear_errors(), Logbook.open(home.logbook) as logbook:
        today = day_of(clock.utc_us())
        plan = recorded_plan(logbook, Mount(mount)) if motion and mount else demo_plan(logbook, today, holds=holds)
        feed: FeedSpec = FileFeed(motion) if motion else _TRAINEES[holds]
        sensors = None if motion else SensorFile(home.sensors)  # a recording is another sensor's
        opening = Opening(home=home, logbook=logbook, clock=clock, plan_for=lambda _: plan, sensors=sensors)
        run = LiveRun(
            open_source=lambda: _source(feed, clock, speed),
            clock=clock,
            open_session=opening.open_session,
            trainees=(plan.trainee.name,),
        )
        if not link_available():
            click.echo("The virtual radio is not installed (pip install 'rungwise[demo]'): same packets, no radio.")
        if wants_text(headless):
            run_as_text(run.run)
        else:
            library = Library(
                home=home, logbook=logbook, who=lambda: plan.trainee.name, today=lambda: day_of(clock.utc_us())
            )
            run_in_dashboard(
                run.run,
                home=home,
                control=run,
                sound=Sounds(home.quiet, speed=speed) if sound else None,
                rooms=rooms_of(library),
            )
            print_lines(run.closing)
    click.echo(f"The demonstration keeps its own log: rungwise --home '{home.folder}' log")


def _source(feed: FeedSpec, clock: HostClock, speed: float) -> AbstractAsyncContextManager[Source]:
    if link_available():
        return virtual_performance(feed, clock, speed=speed)
    return nullcontext(packet_source(feed, clock))
