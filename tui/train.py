"""`rungwise train`: a real sensor, today's prescription, the live dashboard, the log."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import AbstractAsyncContextManager
from dataclasses import replace
from pathlib import Path

from analysis.logbook.book import Logbook
from analysis.motion.mounts import Mount, Place
from sensor.radio import RadioSettings, RadioSource
from sensor.source import HostClock, Source, SystemClock
from sensor.together import Together
from tui.asking import as_it_is, ask_after, ask_before, asked_set_up
from tui.choosing import radio_settings
from tui.home import Home, day_of
from tui.lines import print_lines
from tui.live import LiveRun
from tui.opening import Opening
from tui.plans import (
    Plan,
    as_test,
    in_turn_with,
    last_name,
    todays_plan,
    with_hangs,
    with_reference,
)
from tui.rooms import Library, rooms_of
from tui.running import run_as_text, run_in_dashboard, wants_text
from tui.sensors import SensorFile
from tui.trouble import Trouble, clear_errors


def _source(clock: HostClock, wanted: Sequence[RadioSettings]) -> AbstractAsyncContextManager[Source]:
    # The first must be there soon; another may be switched on whenever it is.
    first, *others = wanted
    sources = [RadioSource(clock, first), *(RadioSource(clock, replace(one, find_s=None)) for one in others)]
    return sources[0] if len(sources) == 1 else Together(sources, [one.called for one in wanted], clock)


def refusal(plan_for: Callable[[str], Plan], who: str) -> str:
    """Say on one line why somebody cannot train today; empty where nothing is against it."""
    try:
        with clear_errors():
            plan_for(who)
    except Trouble as trouble:
        return trouble.format_message().split("\n")[0]  # below it stands what to type, later
    return ""


def run_train(
    folder: Path,
    *,
    trainee: str | None,
    headless: bool,
    mount: str | None,
    place: str | None,
    sensors: Sequence[str] = (),
    superset: str | None = None,
    hang_s: float | None = None,
    test: bool = False,
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
    sensors
        Names or addresses of the sensors: the first counts, the others are recorded with it; none given: the only one
        in range.
    superset
        Name of the exercise done in turn with the prescribed one; None: straight sets.
    hang_s
        Hangs of so long instead of the prescribed reps; None: as prescribed.
    test
        One set of as many clean full reps as possible instead.
    """
    home, clock = Home(folder), SystemClock()
    with clear_errors(), Logbook.open(home.logbook) as logbook:
        file = SensorFile(home.sensors)
        wanted = [radio_settings(file, one) for one in (sensors or (None,))]
        name = trainee or last_name(logbook)
        sits = Mount(mount) if mount else None
        where = Place(place) if place else None
        began_us, asks = clock.utc_us(), not wants_text(headless)
        held = ask_before(home, logbook, name, day_of(began_us), began_us) if asks else ()

        def plan_for(who: str) -> Plan:
            plan = todays_plan(home, logbook, who, day_of(clock.utc_us()), sits, where, held if who == name else ())
            plan = with_reference(logbook, set_up_of.get(who, as_it_is)(plan))
            return in_turn_with(superset, as_test(test, with_hangs(hang_s, plan)))

        set_up_of: dict[str, Callable[[Plan], Plan]] = {}
        if asks:
            set_up_of[name] = asked_set_up(logbook, plan_for(name), chosen=sits)
        opening = Opening(home=home, logbook=logbook, clock=clock, plan_for=plan_for, sensors=file)
        run = LiveRun(
            open_source=lambda: _source(clock, wanted),
            clock=clock,
            open_session=opening.open_session,
            trainee=name,
            refusal=lambda who: refusal(plan_for, who),
        )
        if wants_text(headless):
            run_as_text(run.run)
        else:
            library = Library(home=home, logbook=logbook, who=lambda: run.trainee, today=lambda: day_of(clock.utc_us()))
            names = [known.name for known in logbook.trainees()]
            run_in_dashboard(
                run.run,
                home=home,
                control=run,
                trainees=names if name in names else [*names, name],
                rooms=rooms_of(library),
            )
            print_lines(run.closing)
            ended_us = clock.utc_us()
            ask_after(logbook, name, held, since_us=began_us, day=day_of(ended_us), now_us=ended_us)
