"""Real sensors for a training: one person's, or several people's; as text, or in the dashboard."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import AbstractAsyncContextManager, ExitStack, closing
from dataclasses import replace

from analysis.logbook.book import Logbook
from sensor.source import HostClock, Source, SystemClock
from sensor.together import Together
from tui.home import Home
from tui.occasion import Occasion
from tui.rooms import Library, rooms_of
from tui.running import run_as_text
from tui.sensors.choosing import Settings, settings_of, source_of, without_end
from tui.sensors.sensors import SensorFile
from tui.session.plans import last_name, trainee_called
from tui.share.beside import beside
from tui.sound.sounds import Sounds
from tui.training.shared import OfWearer, SharedTraining
from tui.training.train import Training
from tui.trouble import clear_errors
from tui.wanted import Wanted
from tui.words.lines import print_lines


def looked_for(radios: Sequence[Settings], *, watched: bool) -> list[Settings]:
    """Return how long to look for each sensor: where nobody watches, the first must be there soon.

    Who watches answers questions meanwhile, and sees that none is found yet.
    """
    first, *others = radios
    return [without_end(first) if watched else first, *map(without_end, others)]


def _source(clock: HostClock, radios: Sequence[Settings]) -> AbstractAsyncContextManager[Source]:
    sources = [source_of(clock, one) for one in radios]
    return sources[0] if len(sources) == 1 else Together(sources, [one.called for one in radios], clock)


def _training(home: Home, logbook: Logbook, wanted: Wanted, *, watched: bool) -> Training:
    """Make a session with a real sensor ready; where somebody watches, they are asked."""
    file = SensorFile(home.sensors)
    radios = looked_for([settings_of(file, one, wanted.access) for one in (wanted.sensors or (None,))], watched=watched)
    return Training(
        home,
        logbook,
        SystemClock(),
        wanted.trainee or last_name(logbook),
        wanted,
        open_source=lambda used: _source(used, radios),
        asks=watched,
    )


def _shared(home: Home, logbook: Logbook, wanted: Wanted, *, watched: bool) -> SharedTraining:
    """Make everybody's session ready, on one sensor or on those that they wear."""
    file, wearers = SensorFile(home.sensors), dict[str, str]()
    turns = {trainee_called(logbook, name).name: sensor for name, sensor in wanted.turns.items()}
    worn = any(turns.values())
    named = tuple(turns.values()) if worn else wanted.sensors or (None,)
    radios = looked_for([settings_of(file, one, wanted.access) for one in named], watched=watched)
    wearers.update(zip((one.called for one in radios), turns, strict=False))

    def source(clock: HostClock) -> AbstractAsyncContextManager[Source]:
        if not worn:
            return _source(clock, radios)
        sources = [OfWearer(source_of(clock, one), name, wearers) for one, name in zip(radios, turns, strict=True)]
        return Together(sources, [one.called for one in radios], clock, alike=True)

    return SharedTraining(
        home,
        logbook,
        SystemClock(),
        replace(wanted, turns=turns),
        open_source=source,
        asks=watched,
        wearer=wearers.get if worn else None,
    )


def tell_training(home: Home, wanted: Wanted) -> None:
    """Run a session with a real sensor, or several people's, as text."""
    with clear_errors(), Logbook.open(home.logbook) as logbook:
        make = _shared if wanted.turns else _training
        training = make(home, logbook, wanted, watched=False)
        with_coach = beside(wanted.share, home, training.run, training.felt, watched=False)
        run_as_text(with_coach.driver(training.drive), network=wanted.uses_network)
        print_lines(with_coach.left(logbook))


def open_training(held: ExitStack, home: Home, wanted: Wanted) -> Occasion:
    """Make ready the dashboard with a session with a real sensor, or with several people's."""
    logbook = held.enter_context(Logbook.open(home.logbook))
    names = [trainee_called(logbook, name).name for name in wanted.turns]
    sound = None if wanted.silent else held.enter_context(closing(Sounds(home.quiet, names=names)))
    if wanted.turns:
        return _open_shared(home, logbook, wanted, sound)
    training = _training(home, logbook, wanted, watched=True)
    run, asking = training.run, training.asking
    assert asking is not None
    assert training.asked is not None
    asked = training.asked
    library = Library(home=home, logbook=logbook, who=lambda: run.trainee, today=training.today)
    names = [known.name for known in logbook.trainees()]

    with_coach = beside(wanted.share, home, run, training.felt, watched=True)

    def left() -> None:
        asked.leave()
        print_lines(asking.follows if asking.is_refused and not run.has_sets else run.closing)
        print_lines(with_coach.left(logbook))

    return Occasion(
        with_coach.driver(training.drive),
        control=run,
        asked=asked,
        sound=sound,
        trainees=tuple(names if run.trainee in names else [*names, run.trainee]),
        rooms=rooms_of(library),
        drawn=with_coach.drawn,
        left=left,
    )


def _open_shared(home: Home, logbook: Logbook, wanted: Wanted, sound: Sounds | None) -> Occasion:
    training = _shared(home, logbook, wanted, watched=True)
    run = training.run
    library = Library(home=home, logbook=logbook, who=lambda: run.trainee, today=training.today)

    with_coach = beside(wanted.share, home, run, training.felt, watched=True)

    def left() -> None:
        training.leave()
        print_lines(run.closing)
        print_lines(with_coach.left(logbook))

    return Occasion(
        with_coach.driver(training.drive),
        control=run,
        turns=training.turns,
        asked=training.asked,
        sound=sound,
        rooms=rooms_of(library),
        drawn=with_coach.drawn,
        left=left,
    )
