"""How soon a coach has a day that was done without a broker: `python -m tests.bench.offline [--quick] [--hub]`.

    a station's logbook ─► `rungwise share` ─► mosquitto, or the hub ─► `rungwise floor --headless` ─► a coach's logbook

The day is a busy one of 60 sessions of four sets (`tests.bench.logbook`): about 910 changes of the log. The floor was
without a broker for so long that it tries at its longest pauses. Time runs from the broker's return, with which
`rungwise share` is started (again where it gives up), until both logbooks are equal. Asked is less than a minute (issue
"Coach and gym at a distance"). Ends with status 1 where it takes longer, or where they differ.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from uuid import UUID

from analysis.logbook.book import Logbook
from tests.bench.floor import broker_for
from tests.bench.logbook import DAY_SESSIONS, write_day
from tests.bench.soak_share import Worker, at_home, dump
from tests.brokers.process import BrokerProcess
from tui.home import Home

MOST_S = 60.0
"""What is asked."""
AWAY_S, QUICK_AWAY_S = 70.0, 3.0
"""After 63 s without a broker an attempt follows the one before after 15 to 30 s (`sensor.broker_link.pauses`)."""
QUICK_SESSIONS = 6
_GIVES_UP_S = 300.0
_LOOK_S = 0.05


@dataclass(frozen=True)
class Caught:
    """How long the coach's logbook took from the broker's return to its first change and to its last, s."""

    first_s: float
    last_s: float
    is_equal: bool


def main() -> int:
    """Measure and print; return 1 where it is not as asked."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="a few sessions, for a smoke run")
    parser.add_argument("--hub", action="store_true", help="through `rungwise hub` instead of mosquitto")
    given = parser.parse_args()
    sessions = QUICK_SESSIONS if given.quick else DAY_SESSIONS
    with tempfile.TemporaryDirectory() as text, ExitStack() as opened:
        folder = Path(text)
        with Logbook.open(Home(folder / "rack-1").logbook) as book:
            write_day(book, sessions)
            stream = book.stream()
        broker = broker_for(folder, hub=given.hub)
        opened.callback(broker.kill)
        _say(f"{sessions} sessions, {stream.last} changes, through {'rungwise hub' if given.hub else 'mosquitto'}")
        caught = _caught(folder, opened, broker, QUICK_AWAY_S if given.quick else AWAY_S, stream.station, stream.last)
        on_the_way_s = caught.last_s - caught.first_s
        is_kept = caught.is_equal and caught.last_s < MOST_S
        _say(f"load average {os.getloadavg()[0]:.1f}")
        _say(f"from the broker's return {caught.first_s:6.1f} s to the first change")
        _say(f"from the first to all    {on_the_way_s:6.1f} s, {stream.last / max(on_the_way_s, 0.1):.0f} a second")
        _say(f"both logbooks            {'equal' if caught.is_equal else 'not equal'}")
        _say(f"caught up in             {caught.last_s:6.1f} s, at most {MOST_S:g}: {'met' if is_kept else 'not met'}")
    return 0 if is_kept else 1


def _caught(folder: Path, opened: ExitStack, broker: BrokerProcess, away_s: float, station: UUID, last: int) -> Caught:
    """Let the floor wait for the broker, let that come back, and wait until the coach has all."""
    floor = Worker("floor", [*at_home(folder / "coach"), "floor", broker.url, "--headless"], folder / "floor.log")
    share = [*at_home(folder / "rack-1"), "share", broker.url, "--station", "rack-1"]
    rack = Worker("rack-1", share, folder / "share.log")
    opened.callback(rack.kill)
    opened.callback(floor.kill)
    floor.start()
    time.sleep(away_s)
    began_s, first_s, through = time.monotonic(), float("inf"), 0
    broker.start()
    rack.start()
    with Logbook.open(Home(folder / "coach").logbook) as coach:
        while through < last and time.monotonic() < began_s + _GIVES_UP_S:
            time.sleep(_LOOK_S)
            for one in (floor, rack):
                assert not (fault := one.look()), fault
            through = coach.mark(station).through
            if through:
                first_s = min(first_s, time.monotonic() - began_s)
    last_s = time.monotonic() - began_s if through == last else float("inf")
    own = dump(folder / "rack-1", None)
    held = dump(folder / "coach", [UUID(one["uuid"]) for one in own["trainees"]])
    return Caught(first_s, last_s, own == held)


def _say(text: str) -> None:
    print(text, flush=True)  # noqa: T201


if __name__ == "__main__":
    sys.exit(main())
