"""Several people of a mountain-rescue team at one bar, as fast as it can be computed: no radio, no waiting."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable, Iterable, Iterator, Sequence
from contextlib import asynccontextmanager
from itertools import pairwise
from time import sleep

from at_the_keys import BEAT, write_plan
from virtual_session import Gym, HandClock, arrivals

from analysis.logbook.people import name_key
from analysis.motion.mounts import Mount
from analysis.training.records import SessionRecord
from sensor.recording import Recording
from sensor.source import Arrival, Channel, Source
from sensor.virtual.motion import TraineeFeed
from sensor.virtual.script import Script
from sensor.virtual.trainee import perform
from tui.replay.replay import recomputed_events, stored_events
from tui.session.stored import encode_event
from tui.training.shared import SharedTraining
from tui.wanted import Wanted

NAMES = ("Mara Lindt", "Jonas Reiter", "Ines Falk")


def script_of(*reps: int, rest_s: float) -> Script:
    """Return sets of so many reps; whoever does them, they come from the sensor one after the other."""
    return Script(trainee="all of them", sets=tuple((BEAT,) * count for count in reps), rest_s=rest_s)


class LaterHand(HandClock):
    """The clock of a process that began later; its seconds begin anew."""

    def __init__(self, later_s: float) -> None:
        super().__init__()
        self._later_s = later_s

    def utc_us(self) -> int:
        return super().utc_us() + round(self._later_s * 1e6)


class Bar:
    """A shared bar whose arrivals are given by hand."""

    def __init__(
        self,
        gym: Gym,
        *,
        wearer: Callable[[str], str | None] | None = None,
        names: Sequence[str] = NAMES,
        asks: bool = False,
        mount: Mount | None = None,
    ) -> None:
        for name in names:
            if not gym.home.plan(name_key(name)).exists():
                write_plan(gym.home, name)
        self.gym = gym
        self.training = SharedTraining(
            gym.home,
            gym.logbook,
            gym.clock,
            Wanted(turns=dict.fromkeys(names), mount=mount),
            open_source=lambda _: nothing(),
            asks=asks,
            wearer=wearer,
        )
        self.bar, self.wishes = self.training.run.bar, self.training.turns
        self._ticked_s = float("-inf")
        self.bar.begin(gym.book)

    def give(self, sent: Iterable[Arrival], until: Callable[[], bool] = lambda: False) -> None:
        """Let arrivals come, with the ticks between them, until something is true."""
        for arrival in sent:
            self.gym.clock.at_s = max(self.gym.clock.at_s, arrival.at_s)
            self.bar.give(arrival)
            self.settle()
            if until():
                return

    def settle(self) -> None:
        """Let everybody take what waits, and the screen be drawn ten times a second."""
        while self.bar.is_busy:
            self.bar.work_off()
            sleep(0.0005)  # the thread that reads has the processor
        if self.gym.clock.at_s - self._ticked_s >= 0.1:
            self._ticked_s = self.gym.clock.at_s
            self.bar.tick()

    def records(self) -> dict[str, SessionRecord]:
        """Return the sessions in the log, by name; each has one."""
        names = {one.id: one.name for one in self.gym.logbook.trainees()}
        records = self.gym.records()
        assert len({one.trainee for one in records}) == len(records)
        return {names[one.trainee]: one for one in records}

    def counts(self) -> dict[str, list[int]]:
        """Return the reps of the sets that count in the log, by name."""
        return {name: [one.verdict.count for one in record.sets] for name, record in self.records().items()}


@asynccontextmanager
async def nothing() -> AsyncIterator[Source]:
    raise AssertionError("no source is opened here")
    yield


def sent_by(script: Script, seed: int = 1) -> Iterator[Arrival]:
    return arrivals(TraineeFeed(script, seed=seed))


def true_sets(script: Script, seed: int = 1) -> list[tuple[float, float]]:
    """Return when the sets begin and end."""
    return [(reps[0].start_s, reps[-1].end_s) for reps in perform(script, seed).truth]


def assert_replays(gym: Gym) -> None:
    """Each recording gives the same events again, and holds each of its packets once, in order."""
    paths = gym.recordings()
    assert paths
    for path in paths:
        with Recording.open(path) as recording:
            told, computed = stored_events(recording), recomputed_events(recording)
            data = [one.at_s for one in recording.arrivals() if one.channel is Channel.DATA]
        assert [encode_event(one) for one in told] == [encode_event(one) for one in computed]
        assert all(before <= after for before, after in pairwise(data))
