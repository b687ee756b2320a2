"""`rungwise sensor`: one sensor in detail, its settings and its name."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import click

from sensor.assembly import Assembler
from sensor.health import SPAN_S, Checkup, Health, Rest
from sensor.limits import FORCE_RANGES_G, REFERENCE_RATES_HZ, REFERENCE_TURN_RANGES_DEG_S, listed
from sensor.own.fit import Fit
from sensor.protocol import STANDARD_GRAVITY_M_S2, Command, Info, InfoFlags
from sensor.radio import RadioSettings, RadioSource
from sensor.radio_search import Backends
from sensor.source import Channel, HostClock, SystemClock
from tui.home import Home
from tui.running import INTERRUPTED
from tui.sensors.bluetooth import radio, show_progress
from tui.sensors.choosing import commands, radio_settings, ranges
from tui.sensors.scan import FORMAT, calibration_fields, calibration_words, card_fields
from tui.sensors.sensors import Known, Met, SensorFile, firmware_of, met_with
from tui.trouble import Trouble, clear_errors

FIND_S = 10.0
"""How long to search before it is told what is in range instead: a sensor advertises every second or so."""
_PATIENCE_S = 30.0
"""What connecting, and a loss in between, may take on top, seconds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """What a sensor is to be set to; None: as it is."""

    rate_hz: float | None = None
    force_g: int | None = None
    turn_deg_s: int | None = None
    name: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """One sensor, looked at for a while."""

    address: str
    info: Info
    battery: int | None
    health: Health


def run_sensor(
    folder: Path, *, sensor: str | None, seconds: float, settings: Settings, as_json: bool, virtual: bool
) -> None:
    """Look at one sensor, after setting what is to be set.

    Parameters
    ----------
    folder
        Home.
    sensor
        Name or address; None: the only one in range.
    seconds
        How long to look.
    settings
        What to change.
    as_json
        Print one JSON document (`rungwise.sensor/1`).
    virtual
        Look at the virtual sensor of the demonstration instead.
    """
    clock, file = SystemClock(), SensorFile(Home(folder).sensors)
    try:
        with clear_errors():
            found = asyncio.run(_look(clock, file, sensor, seconds, settings, virtual))
            met, known = file.met().get(found.address), file.read().get(found.address)
    except KeyboardInterrupt:
        raise SystemExit(INTERRUPTED) from None
    click.echo(json.dumps(document(found, met, known)) if as_json else "\n".join(lines(found, met, known)))


async def _look(
    clock: HostClock, file: SensorFile, sensor: str | None, seconds: float, settings: Settings, virtual: bool
) -> Look:
    kept = file.met()
    wanted = radio_settings(file, sensor, "rungwise sensor {}")
    described = wanted.sort.description is not None
    if described and settings.name:
        raise Trouble(f"{sensor} is what this sensor is called by. Leave --name out")
    wishes: dict[str, Met] = {}
    async with radio(virtual) as backends:

        def set_to(address: str, info: Info) -> Sequence[Command]:
            wishes[address] = wished(kept.get(address), settings, clock.utc_us())
            return commands(wishes[address], info)

        wanted = replace(wanted, find_s=FIND_S, set_to=set_to)
        looked = await look(clock, seconds, wanted, backends)
        wish = wishes.get(looked.address) or wished(kept.get(looked.address), settings, clock.utc_us())
        _check_set(looked.info, wish, settings)
    if not described:
        file.keep_met({looked.address: met_with(wish, looked.info, wish.seen_utc_us)})
    return looked


def wished(before: Met | None, settings: Settings, utc_us: int) -> Met:
    """Return what is to be kept of a sensor from now on."""
    met = before or Met(seen_utc_us=utc_us)
    return replace(
        met,
        seen_utc_us=utc_us,
        name=settings.name or met.name,
        rate_hz=settings.rate_hz or met.rate_hz,
        force_g=settings.force_g or met.force_g,
        turn_deg_s=settings.turn_deg_s or met.turn_deg_s,
    )


async def look(clock: HostClock, seconds: float, settings: RadioSettings, backends: Backends | None) -> Look:
    """Listen to a sensor for a while.

    Raises
    ------
    RadioError
        When Bluetooth cannot be used, or no sensor is there.
    Trouble
        When the sensor went away before it had said anything, or sends nothing.
    """
    seen = _Seen()
    show_progress("searching for it")
    try:
        async with asyncio.timeout((settings.find_s or 0.0) + seconds + _PATIENCE_S):
            await _listen(clock, seconds, settings, backends, seen)
    except TimeoutError:
        pass  # what has come until then is what there is
    finally:
        show_progress(None)
    assembler = seen.assembler
    if assembler is None or assembler.info is None or seen.until_s is None:
        raise Trouble("the sensor went away, or sent nothing. Bring it near, see that it is awake, then look once more")
    seen.checkup.push(assembler.finish(), assembler.keeping)
    return Look(address=assembler.sensor_id, info=assembler.info, battery=seen.battery, health=seen.checkup.health())


@dataclass(slots=True)
class _Seen:
    """What has come so far; `until_s` is when the look is over, None before the first packet."""

    checkup: Checkup = field(default_factory=Checkup)
    fit: Fit = field(default_factory=Fit)
    assembler: Assembler | None = None
    battery: int | None = None
    until_s: float | None = None


async def _listen(
    clock: HostClock, seconds: float, settings: RadioSettings, backends: Backends | None, seen: _Seen
) -> None:
    async with RadioSource(clock, settings, backends) as source:
        async for arrival in source:
            if arrival.channel is Channel.BATTERY and arrival.payload:
                seen.battery = arrival.payload[0]
            if seen.assembler is None and arrival.channel is Channel.INFO:
                seen.assembler = Assembler(arrival.sensor_id)
            if seen.assembler is None or arrival.sensor_id != seen.assembler.sensor_id:
                continue
            items = seen.assembler.push(arrival)
            seen.fit.look(seen.assembler, items)
            seen.checkup.push(items, seen.assembler.keeping)
            if arrival.channel is Channel.DATA:
                seen.until_s = seen.until_s or arrival.at_s + seconds
                show_progress(f"looking at it, {seen.until_s - arrival.at_s:.0f} s to go")
                if arrival.at_s >= seen.until_s:
                    return


def _check_set(info: Info, met: Met, settings: Settings) -> None:
    """Say so where the sensor refused what was asked for now; nothing is kept then."""
    asked = settings.rate_hz or settings.force_g or settings.turn_deg_s
    if asked and commands(met, info):
        ranges = ", ".join(_ranges(info))
        raise Trouble(
            f"the sensor did not take it and stays at {info.rate_hz:g} Hz, {ranges}. Nothing was kept. The reference "
            f"firmware takes {listed(REFERENCE_RATES_HZ)} Hz, ±{listed(FORCE_RANGES_G)} g and "
            f"±{listed(REFERENCE_TURN_RANGES_DEG_S)} °/s; what another one takes, its maker says"
        )


def document(found: Look, met: Met | None, known: Known | None) -> dict[str, Any]:
    """Return a look as `--json` prints it."""
    health, rest = found.health, found.health.rest
    return {
        "format": FORMAT,
        "address": found.address,
        "name": met and met.name,
        **card_fields(found.info, found.battery, firmware_of(found.info)),
        "calibration": calibration_fields(known),
        "measured_rate_hz": health.rate_hz,
        "clock_ppm": health.clock_ppm,
        "clock_sd_ppm": health.clock_sd_ppm,
        "loss": health.loss,
        "looked_s": health.span_s,
        "noise_mg": rest and [_mg(one) for one in rest.noise_m_s2],
        "off_1g_mg": rest and _mg(rest.size_m_s2 - STANDARD_GRAVITY_M_S2),
        "turn_bias_dps": rest and rest.turn_bias_rad_s and [_deg(one) for one in rest.turn_bias_rad_s],
        "turn_noise_dps": rest and rest.turn_noise_rad_s and [_deg(one) for one in rest.turn_noise_rad_s],
    }


def lines(found: Look, met: Met | None, known: Known | None) -> Iterator[str]:
    """Yield a look in words."""
    info, health = found.info, found.health
    battery = "" if found.battery is None else f" · battery {found.battery} %"
    keeps, made = InfoFlags.CAN_RESEND in info.flags, InfoFlags.CALIBRATED in info.flags
    ring = f" · sends again what the last {info.ring_samples / info.rate_hz:.0f} s held" if keeps else ""
    name = met and (met.name or met.advertised)
    yield f"{name} ({found.address})" if name else found.address
    yield f"  says        firmware {firmware_of(info)}{battery}{ring}"
    measured = "" if health.rate_hz is None else f", {health.rate_hz:.2f} Hz by this computer's clock"
    yield f"  rate        {info.rate_hz:g} Hz{measured}"
    yield f"  range       {' · '.join(_ranges(info))}"
    yield f"  clock       {health.clock_ppm:+.0f} ± {health.clock_sd_ppm:.0f} ppm (slow is +)"
    yield f"  loss        {health.loss:.1%} of the last {min(health.span_s, SPAN_S):.0f} s"
    yield from _rest_lines(health.rest)
    yield f"  calibration {calibration_words(known, made=made)}" + ("" if known else ": rungwise sensor --calibrate")


def _rest_lines(rest: Rest | None) -> Iterator[str]:
    if rest is None:
        yield "  at rest     it was never still: lay it down, then look once more"
        return
    off = _mg(rest.size_m_s2 - STANDARD_GRAVITY_M_S2)
    yield f"  at rest     noise {_three(_mg(v) for v in rest.noise_m_s2)} mg · off 1 g by {off:+.1f} mg, not corrected"
    if rest.turn_bias_rad_s is not None and rest.turn_noise_rad_s is not None:
        bias, noise = (_three(_deg(v) for v in one) for one in (rest.turn_bias_rad_s, rest.turn_noise_rad_s))
        yield f"              turning: bias {bias} °/s · noise {noise} °/s"


def _ranges(info: Info) -> Iterator[str]:
    force_g, turn_deg_s = ranges(info)
    yield f"±{force_g:g} g"
    if info.axes == 6:
        yield f"±{turn_deg_s:g} °/s"


def _three(values: Iterator[float]) -> str:
    return " ".join(f"{value:.2f}" for value in values)


def _mg(acceleration_m_s2: float) -> float:
    return 1000 * acceleration_m_s2 / STANDARD_GRAVITY_M_S2


def _deg(rate_rad_s: float) -> float:
    return rate_rad_s * 57.29577951308232
