"""`rungwise demo`: a whole session with a virtual trainee, a virtual sensor and, where it can be had, a virtual radio.

The scenario is invented: Mara Lindt, recruit of a mountain-rescue team, prepares for her entry test.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import AbstractAsyncContextManager, ExitStack, closing, nullcontext
from dataclasses import dataclass
from datetime import date

from analysis.logbook.book import Logbook
from sensor.source import HostClock, Source, SystemClock
from sensor.virtual.link import link_available, packet_source, virtual_performance
from sensor.virtual.motion import FeedSpec, FileFeed, TraineeFeed
from sensor.virtual.script import demo_script, hold_script
from tui.home import Home, day_of
from tui.mending.mending import Mending
from tui.occasion import Occasion
from tui.rooms import Library, rooms_of
from tui.running import run_as_text
from tui.sensors.sensors import SensorFile
from tui.session.opening import Opening
from tui.session.plans import Plan, demo_plan, recorded_plan
from tui.share.beside import beside
from tui.sound.sounds import Sounds
from tui.training.live import LiveRun
from tui.trouble import clear_errors
from tui.wanted import WantedDemo
from tui.words.lines import print_lines

_TRAINEES = {False: TraineeFeed(demo_script()), True: TraineeFeed(hold_script(), seed=3)}
"""Who does reps, and who holds: one whose hands tremble enough for a sensor on the belt."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Performance:
    """A session of the demonstration, before it runs.

    Attributes
    ----------
    home
        Where its log is kept.
    run
        The session.
    """

    home: Home
    logbook: Logbook
    clock: HostClock
    run: LiveRun


def performance(held: ExitStack, wanted: WantedDemo) -> Performance:
    """Make the demonstration ready."""
    home = wanted.home
    clock = SystemClock(wanted.speed)
    logbook = held.enter_context(Logbook.open(home.logbook))
    plan = _plan(logbook, wanted, day_of(clock.utc_us()))
    feed: FeedSpec = FileFeed(wanted.motion) if wanted.motion else _TRAINEES[wanted.holds]
    sensors = None if wanted.motion else SensorFile(home.sensors)  # a recording is another sensor's
    opening = Opening(home=home, logbook=logbook, clock=clock, plan_for=lambda _: plan, sensors=sensors)
    run = LiveRun(
        open_source=lambda: _source(feed, clock, wanted.speed),
        clock=clock,
        open_session=opening.open_session,
        trainees=(plan.trainee.name,),
        refusal=lambda _: f"the demonstration is {plan.trainee.name}'s",
        mending=lambda _: Mending(opening=opening),
    )
    return Performance(home=home, logbook=logbook, clock=clock, run=run)


def _plan(logbook: Logbook, wanted: WantedDemo, today: date) -> Plan:
    if wanted.motion and wanted.mount:
        return recorded_plan(logbook, wanted.mount)
    return demo_plan(logbook, today, holds=wanted.holds)


def open_demo(held: ExitStack, wanted: WantedDemo) -> Occasion:
    """Make ready the dashboard with the demonstration."""
    done = performance(held, wanted)
    run, clock = done.run, done.clock
    library = Library(
        home=done.home, logbook=done.logbook, who=lambda: run.trainee, today=lambda: day_of(clock.utc_us())
    )
    sound = held.enter_context(closing(Sounds(done.home.quiet, speed=wanted.speed))) if wanted.sound else None
    with_coach = beside(wanted.share, done.home, run, watched=True)
    return Occasion(
        with_coach.driver(run.run),
        control=run,
        sound=sound,
        rooms=rooms_of(library),
        drawn=with_coach.drawn,
        left=lambda: print_lines((*run.closing, *with_coach.left(done.logbook), *_notes(wanted))),
    )


def tell_demo(wanted: WantedDemo) -> None:
    """Run the demonstration as text."""
    with clear_errors(), ExitStack() as held:
        done = performance(held, wanted)
        with_coach = beside(wanted.share, done.home, done.run, watched=False)
        run_as_text(with_coach.driver(done.run.run), network=wanted.share is not None)
        print_lines(with_coach.left(done.logbook))
    print_lines(_notes(wanted))


def _notes(wanted: WantedDemo) -> Iterator[str]:
    if not link_available():
        yield "The virtual radio is not installed (pip install 'rungwise[demo]'): same packets, no radio."
    yield f"The demonstration keeps its own log: rungwise --home '{wanted.home.folder}' log"


def _source(feed: FeedSpec, clock: HostClock, speed: float) -> AbstractAsyncContextManager[Source]:
    if link_available():
        return virtual_performance(feed, clock, speed=speed)
    return nullcontext(packet_source(feed, clock))
