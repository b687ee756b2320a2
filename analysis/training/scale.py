"""From the sensor's clock to true seconds.

A sensor's clock may run 1.5 % fast or slow; the link learns by how much. Reps and bouts stay as measured everywhere
(they point into the recording); a scaled copy is made for judging.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import hypot
from typing import overload

from analysis.motion.results import Bout, Hold, Rep, TimingSd


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueTime:
    """How a sensor's clock goes against true seconds.

    Attributes
    ----------
    ratio
        True seconds in one second of the sensor's clock, > 0.
    ratio_sd
        One sigma of it.
    moment_sd_s
        One sigma of a single moment, beyond what the motion says: of a sensor that does not tell the time. Seconds.
    """

    ratio: float = 1.0
    ratio_sd: float = 0.0
    moment_sd_s: float = 0.0


@overload
def scaled(measured: Rep, ratio: float) -> Rep: ...
@overload
def scaled(measured: Hold, ratio: float) -> Hold: ...
@overload
def scaled(measured: Bout, ratio: float) -> Bout: ...
def scaled(measured: Rep | Hold | Bout, ratio: float) -> Rep | Hold | Bout:
    """Return a copy in true seconds.

    Times and their one-sigmas are multiplied by the ratio; so are speeds, and travel by its square: an accelerometer
    measures force, and speed and travel are its first and second integral over time.

    Parameters
    ----------
    measured
        A rep, a hold or a bout on the sensor's own clock.
    ratio
        True seconds in one second of the sensor's clock, > 0.

    Raises
    ------
    ValueError
        When the ratio is not above 0.
    """
    if not ratio > 0:
        raise ValueError(f"the clock ratio must be above 0, not {ratio}")
    match measured:
        case Rep():
            return _rep(measured, ratio)
        case Hold():
            return replace(measured, start_s=measured.start_s * ratio, end_s=measured.end_s * ratio)
        case Bout():
            return _bout(measured, ratio)


def in_true_time(rep: Rep, clock: TrueTime) -> Rep:
    """Return a rep in true seconds, its boundaries as unsure as the clock makes them."""
    sd = rep.timing_sd
    sds = (sd.start_s, sd.top_s, sd.down_s, sd.end_s)
    blurred = (None if one is None else hypot(one, clock.moment_sd_s / clock.ratio) for one in sds)
    return scaled(replace(rep, timing_sd=TimingSd(*blurred)), clock.ratio)


def _times(value: float | None, ratio: float) -> float | None:
    return None if value is None else value * ratio


def _bout(bout: Bout, ratio: float) -> Bout:
    return replace(
        bout,
        start_s=bout.start_s * ratio,
        end_s=bout.end_s * ratio,
        reps=tuple(scaled(rep, ratio) for rep in bout.reps),
        holds=tuple(scaled(hold, ratio) for hold in bout.holds),
    )


def _rep(rep: Rep, ratio: float) -> Rep:
    sd = rep.timing_sd
    return replace(
        rep,
        start_s=rep.start_s * ratio,
        top_s=_times(rep.top_s, ratio),
        down_s=_times(rep.down_s, ratio),
        end_s=rep.end_s * ratio,
        hold_top_s=_times(rep.hold_top_s, ratio),
        bottom_pause_s=_times(rep.bottom_pause_s, ratio),
        half_pause_s=_times(rep.half_pause_s, ratio),
        shrug_start_s=_times(rep.shrug_start_s, ratio),
        travel_m=_times(rep.travel_m, ratio * ratio),
        mean_velocity_m_s=_times(rep.mean_velocity_m_s, ratio),
        peak_velocity_m_s=_times(rep.peak_velocity_m_s, ratio),
        mean_velocity_sd_m_s=_times(rep.mean_velocity_sd_m_s, ratio),
        peak_velocity_sd_m_s=_times(rep.peak_velocity_sd_m_s, ratio),
        timing_sd=TimingSd(*(_times(value, ratio) for value in (sd.start_s, sd.top_s, sd.down_s, sd.end_s))),
        provisional_s=_times(rep.provisional_s, ratio),
        emitted_s=_times(rep.emitted_s, ratio),
    )
