"""`rungwise train`: a real sensor, today's prescription, the live dashboard, the log."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import AbstractAsyncContextManager
from dataclasses import replace
from functools import partial
from pathlib import Path

from analysis.logbook.book import Logbook
from analysis.motion.mounts import Mount, Place
from analysis.training.statements import Statement
from sensor.radio import RadioSettings, RadioSource
from sensor.source import HostClock, Source, SystemClock
from sensor.together import Together
from tui.asking import Asking
from tui.choosing import radio_settings
from tui.control import Feed
from tui.home import Home, day_of
from tui.lines import print_lines
from tui.live import TICK_S, LiveRun
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
from tui.sound.sounds import Sounds
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


async def _once_allowed(asking: Asking, run: LiveRun, clock: HostClock, feed: Feed) -> None:
    """Run the session, as soon as there is one: pain of the days before may have settled by what is answered now."""
    while asking.is_refused and not run.is_stopping:
        await clock.sleep(TICK_S)
    if not run.is_stopping:
        await run.run(feed)


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
    silent: bool = False,
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
    silent
        Let nothing be heard.
    """
    home, clock = Home(folder), SystemClock()
    with clear_errors(), Logbook.open(home.logbook) as logbook:
        file = SensorFile(home.sensors)
        wanted = [radio_settings(file, one) for one in (sensors or (None,))]
        name = trainee or last_name(logbook)
        sits = Mount(mount) if mount else None
        where = Place(place) if place else None

        def prescribed(who: str, said: Sequence[Statement] = ()) -> Plan:
            return todays_plan(home, logbook, who, day_of(clock.utc_us()), sits, where, said)

        def plan_for(who: str) -> Plan:
            plan = asking.plan if asking and who == name else prescribed(who)
            return in_turn_with(superset, as_test(test, with_hangs(hang_s, with_reference(logbook, plan))))

        asking = (
            None
            if wants_text(headless)
            else Asking(
                home=home, logbook=logbook, clock=clock, name=name, plan_for=partial(prescribed, name), chosen=sits
            )
        )
        opening = Opening(
            home=home,
            logbook=logbook,
            clock=clock,
            plan_for=plan_for,
            sensors=file,
            settled=lambda who: asking is None or who != name or asking.is_settled,
        )
        run = LiveRun(
            open_source=lambda: _source(clock, wanted),
            clock=clock,
            open_session=opening.open_session,
            trainee=name,
            refusal=lambda who: refusal(plan_for, who),
        )
        if asking is None:
            run_as_text(run.run)
        else:
            library = Library(home=home, logbook=logbook, who=lambda: run.trainee, today=lambda: day_of(clock.utc_us()))
            names = [known.name for known in logbook.trainees()]
            asking.attend(run)
            run_in_dashboard(
                partial(_once_allowed, asking, run, clock),
                home=home,
                control=run,
                asked=asking,
                sound=None if silent else Sounds(home.quiet),
                trainees=names if name in names else [*names, name],
                rooms=rooms_of(library),
            )
            asking.leave()
            print_lines(run.closing or asking.follows)
