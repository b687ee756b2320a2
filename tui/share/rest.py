"""`rungwise share`: sends what did not reach a coach yet, without a session."""

from __future__ import annotations

import asyncio

from sensor.broker_link import LONGEST_PAUSE_S
from sensor.source import SystemClock
from tui.home import Home
from tui.running import INTERRUPTED, new_runner
from tui.share.sharing import unsent_lines
from tui.share.station import Station
from tui.wanted import Share
from tui.words.lines import print_lines

CONNECT_S = 20.0
"""So long a broker is tried to be reached."""
COACH_S = LONGEST_PAUSE_S + 5.0
"""So long a coach is waited for: who lost the broker, too, comes back after the longest pause at the latest."""
STILL_S, MOST_S = 60.0, 24 * 3600.0
"""Without progress for so long, or after all, it is given up."""


def send_rest(home: Home, share: Share) -> int:
    """Send it, say what became of it, and return the exit code: 0 where a coach has all there is."""
    try:
        with new_runner(network=True) as runner:
            return runner.run(_send_rest(home, share))
    except KeyboardInterrupt:
        return INTERRUPTED


async def _send_rest(home: Home, share: Share) -> int:
    async with Station(share.address, share.access, share.station, home, SystemClock()) as station:
        try:
            async with asyncio.timeout(CONNECT_S):
                records = await station.up()
        except TimeoutError:
            print_lines((station.why or f"{share.address.where} does not answer.", *station.faults), err=True)
            return 1
        try:
            async with asyncio.timeout(COACH_S):
                await records.heard()
        except TimeoutError:
            print_lines(unsent_lines(0, False, share), err=True)
            return 1
        print_lines((f"{records.unsent} changes to send",))
        done = await records.all_sent(STILL_S, MOST_S)
        lines = ("the coach has all of the log",) if done else unsent_lines(records.unsent, True, share)
        print_lines((*lines, *station.faults), err=not done)
        return 0 if done else 1
