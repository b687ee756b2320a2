"""How many live sensors one process analyses on one core: `python -m tests.bench.many [--sensors N] [--quick]`.

Each sensor is one at 100 Hz × 6 axes, as it comes by a gateway; each has a session of its own, as `rungwise gather`
takes it: packets are recorded, sets judged and logged. Letters come as a broker's library gives them, which itself is
left out. Time is the processor's, of this process alone.
"""

from __future__ import annotations

import argparse
import heapq
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from analysis.logbook.book import Logbook
from sensor.bridged import Bridged
from sensor.gateway_topics import Told, told_by, up
from sensor.protocol import Start
from sensor.source import Channel
from sensor.virtual.core import SensorCore
from sensor.virtual.motion import TraineeFeed
from sensor.virtual.script import Beat, regular_script
from tests.bench.hand import Hand
from tui.home import Home, day_of
from tui.sensors.sensors import SensorFile
from tui.session.opening import Opening
from tui.session.plans import todays_plan, with_reference
from tui.training.gather import READ_S, TICK_S, Lines
from tui.training.unwatched import UnwatchedSession

MTU = 247
LOOK_S = 0.05
SEEDS = 8


@dataclass
class Seat:
    """One sensor, and the session of who wears it."""

    bridged: Bridged
    session: UnwatchedSession
    told: list[str] = field(default_factory=list)


def letters(feed: TraineeFeed, name: str, from_s: float) -> Iterator[tuple[float, str, bytes]]:
    """Yield time, topic and payload of each letter of one sensor."""
    core = SensorCore(feed, boot_id=1)
    core.take(Start(), 0.0, MTU)
    yield from_s, up("hall", name, Channel.INFO), bytes(core.info)
    while not core.finished:
        due_s = core.next_due_s()
        for payload in core.due(due_s):
            yield from_s + due_s, up("hall", name, Channel.DATA), payload


def streams(sensors: int, *, quick: bool, gateways: int = 1) -> list[Iterator[tuple[float, str, bytes]]]:
    """Return time, topic and payload of each letter of each sensor, as they go through so many gateways in turn."""
    script = regular_script(
        trainee="T", sets=1 if quick else 4, reps=8, beat=Beat(1.0, 1.0, 2.0, 0.3), rest_s=20.0 if quick else 60.0
    )
    kinds = [list(letters(TraineeFeed(script, seed=seed), "", 0.0)) for seed in range(min(SEEDS, sensors))]

    def stream(number: int) -> Iterator[tuple[float, str, bytes]]:
        place = f"/board-{number % gateways}/up/clip-{number}/"
        for at_s, topic, payload in kinds[number % len(kinds)]:
            yield at_s + 0.013 * number, topic.replace("/hall/up//", place), payload

    return [stream(number) for number in range(sensors)]


def made(sensors: int, *, quick: bool) -> tuple[list[tuple[float, str, bytes]], float]:
    """Return all letters in the order of time, and how long each sensor sends."""
    post = list(heapq.merge(*streams(sensors, quick=quick)))
    return post, post[-1][0] - 0.013 * (sensors - 1)


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sensors", type=int, default=64)
    parser.add_argument("--quick", action="store_true", help="one set each, for a smoke run")
    asked = parser.parse_args()
    post, duration_s = made(asked.sensors, quick=asked.quick)
    with tempfile.TemporaryDirectory() as folder, Logbook.open(Home(Path(folder)).logbook) as logbook:
        for line in measured(Home(Path(folder)), logbook, post, asked.sensors, duration_s):
            print(line, flush=True)  # noqa: T201


def measured(
    home: Home, logbook: Logbook, post: list[tuple[float, str, bytes]], sensors: int, duration_s: float
) -> Iterator[str]:
    """Put all of it through, and yield what it took."""
    clock = Hand()
    opening = Opening(
        home=home,
        logbook=logbook,
        clock=clock,
        plan_for=lambda name: with_reference(logbook, todays_plan(home, logbook, name, day_of(clock.utc_us()))),
        sensors=SensorFile(home.sensors),
        watched=False,
    )
    seats = {f"clip-{i}": _seat(opening, f"Recruit {i}") for i in range(sensors)}
    began, wall = time.process_time(), time.monotonic()
    slowest_s = _run(clock, seats, post)
    running = time.process_time() - began
    for seat in seats.values():
        seat.session.end()
    whole, by_clock = time.process_time() - began, time.monotonic() - wall
    sets = [len(one.sets) for who in logbook.trainees() for one in logbook.sessions(who.id)]
    yield f"{sensors} sensors of 100 Hz × 6 axes, {duration_s:.0f} s each, {len(post)} letters; {sum(sets)} sets logged"
    yield f"one core carries           {sensors * duration_s / running:8.0f} sensors while they send"
    yield f"with the sessions' ends    {sensors * duration_s / whole:8.0f} sensors"
    yield f"the same by the clock      {sensors * duration_s / by_clock:8.0f} sensors"
    yield f"longest turn of one sensor {1e3 * slowest_s:8.0f} ms of the processor"
    assert len(sets) == sensors, "a session is missing"


def _seat(opening: Opening, name: str) -> Seat:
    told: list[str] = []
    session = opening.open_session(name, Lines(name, told.append))
    assert isinstance(session, UnwatchedSession)
    session.begin()
    return Seat(Bridged(name, 0.0, 5.0), session, told)


def _run(clock: Hand, seats: dict[str, Seat], post: list[tuple[float, str, bytes]]) -> float:
    """Do what `Gateways` and `Gathering` do with letters and time; return the longest turn of one sensor, s."""
    looked_s, slowest_s = 0.0, 0.0
    due = [(READ_S * i / len(seats), name) for i, name in enumerate(seats)]
    ticked = dict.fromkeys(seats, 0.0)
    heapq.heapify(due)
    for at_s, topic, payload in post:
        clock.at_s = at_s
        told = told_by(topic)
        assert isinstance(told, Told)
        assert told.channel is not None
        seats[told.sensor].bridged.take(told.channel, payload, at_s, is_old=False)
        if at_s - looked_s >= LOOK_S:
            looked_s = at_s
            for seat in seats.values():
                seat.bridged.look(at_s)
                seat.bridged.ask(at_s)
        while due[0][0] <= at_s:
            due_s, name = heapq.heapreplace(due, (due[0][0] + READ_S, due[0][1]))
            seat, began = seats[name], time.thread_time()
            seat.session.take(seat.bridged.inbox.drain())
            if due_s - ticked[name] >= TICK_S:
                seat.session.tick()
                ticked[name] = due_s
            slowest_s = max(slowest_s, time.thread_time() - began)
    for seat in seats.values():
        seat.session.take(seat.bridged.inbox.drain())
    return slowest_s


if __name__ == "__main__":
    main()
