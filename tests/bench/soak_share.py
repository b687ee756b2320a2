"""A gym in bad weather: `python -m tests.bench.soak_share [MINUTES] [STATIONS] [SEED] [--mosquitto]`, real minutes.

    writer ─► station's logbook ─► rungwise share ─► proxy ─► broker ◄─ proxy ◄─ rungwise floor ─► coach's logbook

Each but the proxies is a process of its own. Every few seconds one of them is killed without a word and started again,
or a connection is cut, held, slowed, halved or refused, by a seeded draw. Afterwards the coach's logbook must hold of
every station what that station's own holds: the two exports are compared as they are. Ends with status 1 where not.
"""

from __future__ import annotations

import argparse
import random
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import ExitStack, suppress
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

from analysis.logbook.book import Logbook
from analysis.logbook.entries import RunKind, Trainee
from analysis.training.plan import default_plan
from analysis.training.records import SessionRecord
from tests.analysis.logbook.keeping import answer, begin, keep
from tests.analysis.training.builders import make_session
from tests.brokers.mosquitto import plain
from tests.brokers.process import BrokerProcess, free_port
from tests.brokers.proxy import FAULTS, Proxy, in_thread
from tui.home import Home

EVERY_S = 3.0
"""Mean time from one fault to the next."""
SETTLES_WITHIN_S = 120.0
PROGRAM = [sys.executable, "-c", "from tui.cli import main; main()"]


@dataclass
class Worker:
    """A process that is killed and started again."""

    name: str
    command: list[str]
    log: Path
    process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Start it."""
        with self.log.open("ab") as output:
            self.process = subprocess.Popen(self.command, stdin=subprocess.DEVNULL, stdout=output, stderr=output)

    def kill(self, how: signal.Signals = signal.SIGKILL) -> None:
        """End it, without a word or with one."""
        if self.process is not None:
            self.process.send_signal(how)
            self.process.wait()
            self.process = None

    def look(self) -> str:
        """Start it again where it ended because all was sent, or gave up; return what it ended of, if a fault."""
        if self.process is not None and self.process.poll() is not None:
            self.start()
        said = self.log.read_text(errors="replace")
        return said[said.find("Traceback") :] if "Traceback" in said else ""


@dataclass
class Gym:
    """Everything that runs."""

    folder: Path
    broker: BrokerProcess
    proxies: list[Proxy]
    stations: list[Worker]
    writers: list[Worker]
    floor: Worker
    done: Counter[str] = field(default_factory=Counter)

    def fault(self, chance: random.Random) -> None:
        """Do one, and mend it."""
        what = chance.choice((*FAULTS, *FAULTS, "station", "station", "floor", "writer", "broker"))
        self.done[what] += 1
        if what in FAULTS:
            self._bad_line(chance.choice(self.proxies), what, chance)
        elif what == "broker":
            self.broker.kill()
            time.sleep(chance.uniform(0.0, 2.0))
            while not self.broker.running:
                with suppress(RuntimeError):  # a busy machine may be slow: once more
                    self.broker.start()
        else:
            worker = self.floor if what == "floor" else chance.choice(getattr(self, f"{what}s"))
            worker.kill()
            time.sleep(chance.uniform(0.0, 2.0))
            worker.start()

    @staticmethod
    def _bad_line(proxy: Proxy, what: str, chance: random.Random) -> None:
        if what == "delay":
            proxy.delay(chance.uniform(0.05, 1.0))
        else:
            getattr(proxy, what)()
        time.sleep(chance.choice((0.1, 1.0, 8.0)))
        proxy.flow()

    @property
    def workers(self) -> list[Worker]:
        """All but the broker."""
        return [*self.stations, *self.writers, self.floor]


def main() -> int:
    """Run it; return 1 where a logbook differs."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("minutes", type=float, nargs="?", default=30.0)
    parser.add_argument("stations", type=int, nargs="?", default=4)
    parser.add_argument("seed", type=int, nargs="?", default=1)
    parser.add_argument("--mosquitto", action="store_true")
    parser.add_argument("--write", type=Path, help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.write:
        _write(Home(asked.write), random.Random())
        return 0
    with tempfile.TemporaryDirectory() as folder, ExitStack() as open_:
        gym = _gym(Path(folder), open_, asked.stations, mosquitto=asked.mosquitto)
        chance, until_s = random.Random(asked.seed), time.monotonic() + asked.minutes * 60
        while time.monotonic() < until_s:
            gym.fault(chance)
            time.sleep(chance.expovariate(1 / EVERY_S))
            for worker in gym.workers:
                if fault := worker.look():
                    _say(f"{worker.name}: {fault}")
                    return 1
        for writer in gym.writers:
            writer.kill()
        return _told(gym)


def _gym(folder: Path, open_: ExitStack, stations: int, *, mosquitto: bool) -> Gym:
    port = free_port()
    hub = [*PROGRAM, "--home", str(folder / "hub"), "hub", "--listen", f"127.0.0.1:{port}"]
    broker = plain(folder) if mosquitto else BrokerProcess(hub, port, folder / "hub.log")
    open_.enter_context(broker)
    proxies = [open_.enter_context(in_thread(broker.port)) for _ in range(stations + 1)]
    names = [f"rack-{number + 1}" for number in range(stations)]
    share = [
        Worker(name, [*at_home(folder / name), "share", proxy.url, "--station", name], folder / f"{name}.log")
        for name, proxy in zip(names, proxies, strict=False)
    ]
    write = [sys.executable, "-m", "tests.bench.soak_share", "--write"]
    writers = [Worker(f"writer of {name}", [*write, str(folder / name)], folder / f"{name}.w.log") for name in names]
    floor = Worker("floor", [*at_home(folder / "coach"), "floor", proxies[-1].url, "--headless"], folder / "floor.log")
    gym = Gym(folder, broker, proxies, share, writers, floor)
    for worker in gym.workers:
        worker.start()
        open_.callback(worker.kill)
    return gym


def at_home(home: Path) -> list[str]:
    """Return the program as it begins for a home."""
    return [*PROGRAM, "--home", str(home)]


def _write(home: Home, chance: random.Random) -> None:
    """Do sessions, one after another, until killed: some whole, some broken off."""
    with Logbook.open(home.logbook) as book:
        trainee = Trainee(uuid4(), f"Recruit {home.folder.name} {chance.randrange(10**6)}")
        book.keep_trainee(trainee)
        for record in _sessions(chance):
            time.sleep(chance.expovariate(1.0))
            if chance.random() < 0.5:
                keep(book, record, trainee.id)
                continue
            begin(book, record, trainee.id)
            for number in range(len(record.sets)):
                time.sleep(chance.expovariate(5.0))
                answer(book, record, record.sets[number : number + 1], RunKind.LIVE)
            answer(book, record, record.sets, RunKind.REFINED)


def _sessions(chance: random.Random) -> Iterator[SessionRecord]:
    plan = default_plan()
    places = [place for place in plan.ladder.places() if place.rung < 2]
    day = date(2026, 1, 5)
    while True:
        day += timedelta(days=chance.randrange(1, 4))
        place = chance.choice(places)
        done = make_session(day, plan.ladder, place, counts=tuple(chance.randrange(2, 11) for _ in range(3)))
        yield replace(done, session_id=uuid4())


def _told(gym: Gym) -> int:
    """Wait until all is there, and say what happened."""
    for proxy in gym.proxies:
        proxy.flow()
    began_s = time.monotonic()
    missing = list(gym.stations)
    while missing and time.monotonic() < began_s + SETTLES_WITHIN_S:
        time.sleep(0.5)
        for one in missing:
            one.look()
        missing = [one for one in missing if not _same(gym, one)]
    took_s = time.monotonic() - began_s
    _say(f"faults                   {dict(gym.done)}")
    for one in gym.stations:
        held = dump(gym.folder / one.name, None)
        _say(f"{one.name}: {len(held['trainees'])} people, {len(held['sessions'])} sessions, {_reps(held)} reps")
    _say(f"equal                    {'all' if not missing else 'not ' + ', '.join(one.name for one in missing)}")
    _say(f"  after the last fault   {took_s:.1f} s")
    return 1 if missing else 0


def _same(gym: Gym, station: Worker) -> bool:
    own = dump(gym.folder / station.name, None)
    return own == dump(gym.folder / "coach", [UUID(one["uuid"]) for one in own["trainees"]])


def dump(home: Path, people: list[UUID] | None) -> dict[str, Any]:
    """Return what a home's logbook holds of people, or of all."""
    with Logbook.open(Home(home).logbook) as book:
        return book.dump(people)


def _reps(document: dict[str, Any]) -> int:
    return sum(len(done["reps"]) for one in document["sessions"] for run in one["runs"] for done in run["sets"])


def _say(text: str) -> None:
    print(text, flush=True)  # noqa: T201


if __name__ == "__main__":
    sys.exit(main())
