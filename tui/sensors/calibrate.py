"""`rungwise sensor --calibrate`: a sensor is turned onto its six sides, or about freely; what it errs by is kept."""

from __future__ import annotations

import asyncio
import sys
from contextlib import AbstractAsyncContextManager
from pathlib import Path

import click

from analysis.motion.events import Event
from analysis.motion.samples import Samples
from sensor.calibrate import believable, class_belief, learn
from sensor.postures import ON_A_TABLE, Postures
from sensor.radio import RadioSource
from sensor.source import Channel, HostClock, Source, SystemClock
from tui.home import Home
from tui.running import INTERRUPTED
from tui.sensors.bluetooth import TURNED_S, radio
from tui.sensors.choosing import radio_settings
from tui.sensors.guide import Guide, Word
from tui.sensors.sensors import How, Known, SensorFile
from tui.session.track import Track
from tui.trouble import Trouble, clear_errors
from tui.words.format import link_line
from tui.words.sensor_words import known_lines, off_1g_line


class NoMotion:
    """Nothing is counted while a sensor is calibrated (`tui.session.track.Motion`)."""

    def push_live(self, samples: Samples) -> list[Event]:
        """Return nothing."""
        return []

    def settle(self, samples: Samples) -> list[Event]:
        """Return nothing."""
        return []

    def part(self) -> list[Event]:
        """Return nothing."""
        return []

    def finish(self) -> list[Event]:
        """Return nothing."""
        return []


async def calibrate(
    source: AbstractAsyncContextManager[Source], clock: HostClock, file: SensorFile, *, free: bool
) -> Known:
    """Guide a person through it, and keep what was found in the place of what was known.

    Parameters
    ----------
    source
        Where the arrivals come from.
    clock
        The session's clock: it dates what is kept.
    free
        Any postures; otherwise the six sides.

    Raises
    ------
    Trouble
        When the sensor goes away too early, or the postures do not go together. Nothing is kept then.
    """
    file.read()  # a file that is broken is told before anybody turns anything
    guide, track = Guide(free=free), Track(NoMotion(), postures=Postures(ON_A_TABLE))
    await _turn(source, guide, track)
    readings = track.seen.readings
    belief = learn(readings, class_belief())
    if not believable(readings, belief, class_belief()):
        line = off_1g_line(readings, belief.correction)
        raise Trouble(
            f"the postures do not go together ({line}): was it touched while it lay? Nothing was kept; once more"
        )
    how = How.FREE if free else How.SIDES
    known = Known(belief=belief, how=how, postures=len(readings), learnt_utc_us=clock.utc_us())
    file.keep(track.link.sensor, known)
    click.echo("\n".join([off_1g_line(readings, belief.correction), *known_lines(track.link.sensor, known)]))
    click.echo("Kept for this sensor, and applied from the next session on.")
    return known


async def _turn(source: AbstractAsyncContextManager[Source], guide: Guide, track: Track) -> None:
    """Listen until the guide has what it needs."""
    told = None
    async with source as arrivals:
        async for arrival in arrivals:
            track.push(arrival)
            if arrival.channel is Channel.DATA:
                _say(guide.look(track.postures))
            elif told is not track.link.state or arrival.channel is Channel.INFO:
                told = track.link.state
                click.echo(link_line(track.link))
                if arrival.channel is Channel.INFO:
                    click.echo(guide.opening)
            if guide.finished:
                return
    raise Trouble("the sensor went away before it was done. Nothing was kept; once more")


def _say(word: Word | None) -> None:
    if word is not None:
        bell = "\a" if word.done and sys.stdout.isatty() else ""
        click.echo(bell + word.text)


def run_calibrate(folder: Path, *, sensor: str | None, free: bool, virtual: bool = False) -> None:
    """Calibrate a sensor.

    Parameters
    ----------
    folder
        Home.
    sensor
        Name or address of the sensor; None: the only one in range.
    free
        Any postures; otherwise the six sides.
    virtual
        The virtual sensor instead, which is turned over by itself.
    """
    clock = SystemClock()
    try:
        with clear_errors():
            file = SensorFile(Home(folder).sensors)
            asyncio.run(_over_the_air(clock, file, sensor, free=free, virtual=virtual))
    except KeyboardInterrupt:
        click.echo("stopped; nothing was kept", err=True)
        raise SystemExit(INTERRUPTED) from None


async def _over_the_air(clock: HostClock, file: SensorFile, sensor: str | None, *, free: bool, virtual: bool) -> None:
    ask_for = f"rungwise sensor {{}} --{'free' if free else 'calibrate'}"
    async with radio(virtual, side_s=TURNED_S) as backends:
        source = RadioSource(clock, radio_settings(file, sensor, ask_for), backends)
        await calibrate(source, clock, file, free=free)
