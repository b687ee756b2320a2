"""`rungwise train`: a real sensor, today's prescription, the live dashboard, the log."""

from __future__ import annotations

from pathlib import Path

import click

from analysis.logbook.book import Logbook
from analysis.motion.mounts import Mount, Place
from sensor.radio import RadioSource
from sensor.source import SystemClock
from tui.choosing import radio_settings
from tui.home import Home, day_of
from tui.live import LiveRun
from tui.opening import Opening
from tui.plans import Plan, in_turn_with, last_name, todays_plan, trainee_called, with_hangs
from tui.running import run_as_text, run_in_dashboard, wants_text
from tui.sensors import SensorFile
from tui.show import log_rows
from tui.trouble import clear_errors


def run_train(
    folder: Path,
    *,
    trainee: str | None,
    headless: bool,
    mount: str | None,
    place: str | None,
    sensor: str | None,
    superset: str | None = None,
    hang_s: float | None = None,
) -> None:
    """Run a session with a real sensor.

    Parameters
    ----------
    folder
        Home.
    trainee
        Name; None: the last one who trained.
    headless
        Print text.
    mount
        Where the sensor sits, if not where the exercise asks for it.
    place
        Where on the body, if not where it sat last time.
    sensor
        Name or address of the sensor; None: the first one found.
    superset
        Name of the exercise done in turn with the prescribed one; None: straight sets.
    hang_s
        Hangs of so long instead of the prescribed reps; None: as prescribed.
    """
    home, clock = Home(folder), SystemClock()
    with clear_errors(), Logbook.open(home.logbook) as logbook:
        name = trainee or last_name(logbook)
        sits = Mount(mount) if mount else None
        where = Place(place) if place else None

        def plan_for(who: str) -> Plan:
            plan = todays_plan(logbook, who, day_of(clock.utc_us()), sits, where)
            return in_turn_with(superset, with_hangs(hang_s, plan))

        sensors = SensorFile(home.sensors)
        opening = Opening(home=home, logbook=logbook, clock=clock, plan_for=plan_for, sensors=sensors)
        run = LiveRun(
            open_source=lambda: RadioSource(clock, radio_settings(sensors, sensor)),
            clock=clock,
            open_session=opening.open_session,
            trainee=name,
        )
        if wants_text(headless):
            run_as_text(run.run)
        else:
            names = [known.name for known in logbook.trainees()]
            run_in_dashboard(
                run.run,
                control=run,
                trainees=names if name in names else [*names, name],
                log=lambda: log_rows(logbook, trainee_called(logbook, run.trainee)),
            )
            click.echo("\n".join(run.closing))
