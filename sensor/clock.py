"""The device's clock against the host's, from arrivals alone; pure.

A packet arrives some jitter after its last sample, never before. So in the plane of device time and arrival time the
points lie above a line, the host's time, and the fastest ones close to it. For jitter that thins out exponentially from
that line (any density that does not vanish there looks so to the fastest of many packets), every line below all points
has a likelihood that grows with its height; the ratio is the mean over all of them, its sd their spread. That is the
Pitman estimator: less spread than the single highest line, and it knows its own uncertainty.

Bounded state: of each stretch of time only the fastest packet is kept, and stretches double as the span grows.
The offset holds the least delay of the link within it, which arrivals in one direction cannot tell.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

_STRETCHES_MAX = 64
_STRETCHES_MIN = 8
_FIRST_STRETCH_S = 0.25
_LEAST_JITTER_S = 1e-5
_SLOPES = np.linspace(-1.0, 1.0, 801)


@dataclass(frozen=True, slots=True)
class Timekeeping:
    """What is thought of a device's clock before it is measured.

    Attributes
    ----------
    largest_error
        A share; on-chip oscillators err by about ±1.5 % (no source). Twice as much is not believed, and is three sigma.
    moment_sd_s
        One sigma of a single packet's time where the device tells none and only counting its packets does; else 0.
    """

    largest_error: float = 0.015
    moment_sd_s: float = 0.0

    @property
    def plausible(self) -> float:
        """Largest error that is believed, a share."""
        return 2.0 * self.largest_error

    @property
    def prior_sd(self) -> float:
        """One sigma of the error, a share."""
        return self.plausible / 3.0


PRIOR_SD_PPM = 1e6 * Timekeeping().prior_sd
"""What is thought of a device clock before it is measured, parts per million."""


@dataclass(frozen=True, slots=True)
class ClockEstimate:
    """What is known of a device clock.

    Attributes
    ----------
    ratio
        Host seconds per device second.
    offset_s
        Host time at device time 0, least delay of the link included.
    sd_ppm
        One sigma of `ratio`, parts per million. Optimistic (by a factor of 3 to 5, measured) on a link where hardly any
        packet comes fast.
    span_s
        Device time over which it was measured.
    moment_sd_s
        One sigma of a single moment of the device's time, seconds; 0 where the device itself tells the time.
    """

    ratio: float
    offset_s: float
    sd_ppm: float
    span_s: float
    moment_sd_s: float = 0.0

    def to_device(self, host_s: float) -> float:
        """Return the device time of a host time."""
        return (host_s - self.offset_s) / self.ratio

    def to_host(self, device_s: float) -> float:
        """Host time of a device time."""
        return self.offset_s + self.ratio * device_s


class DeviceClock:
    """Learns one boot id's clock from pairs of device time and arrival time. After a restart, make a new one.

    Parameters
    ----------
    keeping
        What is thought of it before.
    """

    def __init__(self, keeping: Timekeeping | None = None) -> None:
        self._keeping = keeping or Timekeeping()
        self._origin: tuple[float, float] | None = None
        self._width_s = _FIRST_STRETCH_S
        self._fastest: dict[int, tuple[float, float]] = {}
        self._slope = 1.0
        self._known: ClockEstimate | None = None
        """What follows from the packets that are kept; None: not worked out since the last of them came."""

    def push(self, device_s: float, arrival_s: float) -> None:
        """Take in that the packet whose last sample was taken at `device_s` arrived at `arrival_s`, in any order."""
        if self._origin is None:
            self._origin = (device_s, arrival_s)
        # Times relative to the first pair: the differences that matter would drown in the digits of an uptime.
        point = (device_s - self._origin[0], arrival_s - self._origin[1])
        number = int(point[0] // self._width_s)
        if number not in self._fastest and len(self._fastest) % _STRETCHES_MIN == 0:
            self._slope = self._fit()[0]
        self._keep(self._fastest, number, point)
        if len(self._fastest) > _STRETCHES_MAX:
            self._double()

    def estimate(self) -> ClockEstimate:
        """Return what is known so far; before any pair, ratio 1 and offset 0."""
        if self._known is None:
            self._known = self._estimate()
        return self._known

    def _estimate(self) -> ClockEstimate:
        prior_ppm, moment_sd_s = 1e6 * self._keeping.prior_sd, self._keeping.moment_sd_s
        if self._origin is None:
            return ClockEstimate(1.0, 0.0, prior_ppm, 0.0, moment_sd_s)
        ratio, sd = self._fit()
        x, y = self._points()
        if abs(ratio - 1.0) > self._keeping.plausible:
            # No clock is so wrong: the host has fallen behind. Nothing is known of the ratio; the last pair is now.
            offset_s = self._origin[1] + float(y[-1]) - (self._origin[0] + float(x[-1]))
            return ClockEstimate(1.0, offset_s, prior_ppm, 0.0, moment_sd_s)
        late_s = y - ratio * x
        least_s = float(np.min(late_s))
        if moment_sd_s:  # what was lost unseen, or came late for long, stands out from the line
            moment_sd_s = float(np.hypot(moment_sd_s, np.mean(late_s) - least_s))
        offset_s = self._origin[1] + least_s - ratio * self._origin[0]
        return ClockEstimate(ratio, offset_s, sd * 1e6, float(x[-1] - x[0]), moment_sd_s)

    def to_host(self, device_s: float) -> float:
        """Host time of a device time, as known so far."""
        return self.estimate().to_host(device_s)

    def _keep(self, fastest: dict[int, tuple[float, float]], number: int, point: tuple[float, float]) -> None:
        kept = fastest.get(number)
        if kept is None or point[1] - self._slope * point[0] < kept[1] - self._slope * kept[0]:
            fastest[number], self._known = point, None

    def _double(self) -> None:
        self._width_s *= 2
        doubled: dict[int, tuple[float, float]] = {}
        for number, point in self._fastest.items():
            self._keep(doubled, number // 2, point)
        self._fastest = doubled

    def _points(self) -> tuple[FloatArray, FloatArray]:
        x, y = np.array(sorted(self._fastest.values())).T
        return x, y

    def _fit(self) -> tuple[float, float]:
        """Ratio and its sd: that of the points, and the prior, weighted by their precision."""
        prior_sd = self._keeping.prior_sd
        if len(self._fastest) < _STRETCHES_MIN:
            return 1.0, prior_sd
        slope, sd = _slope_below(*self._points())
        weight = prior_sd**2 / (prior_sd**2 + sd**2)
        return 1.0 + weight * (slope - 1.0), sd * float(np.sqrt(weight))


def _slope_below(x: FloatArray, y: FloatArray) -> tuple[float, float]:
    """Mean and sd of the slopes of all lines below the points, weighted by their likelihood.

    For a slope b the highest line below all points has the height h(b) = min(y − b (x − x̄)) at the mean of x. With
    exponential jitter of mean s a slope's likelihood, integrated over the heights, is proportional to exp(n h(b) / s).
    """
    n, centred = len(x), x - x.mean()
    hull = _lower_hull(centred, y)
    best = _highest(centred[hull], y[hull])
    height = float(np.min(y - best * centred))
    # Two parameters are fitted, so n − 2 of the excesses are free.
    scale_s = max(float(np.sum(y - height)) / (n - 2), _LEAST_JITTER_S)
    slopes = best + _SLOPES * (100 * scale_s / (n * (x[-1] - x[0])))
    heights = np.min(y[hull] - slopes[:, None] * centred[hull], axis=1)
    weights = np.exp((heights - height) * n / scale_s)
    weights /= weights.sum()
    slope = float(weights @ slopes)
    return slope, float(np.sqrt(weights @ (slopes - slope) ** 2))


def _highest(x: FloatArray, y: FloatArray) -> float:
    """Slope of the hull's edge over x = 0: of all lines below the hull the one that is highest there."""
    right = int(np.clip(np.searchsorted(x, 0.0), 1, len(x) - 1))
    return float((y[right] - y[right - 1]) / (x[right] - x[right - 1]))


def _lower_hull(x: FloatArray, y: FloatArray) -> list[int]:
    """Return the indices of the lower convex hull (Andrew's monotone chain, 1979); x rises."""
    hull: list[int] = []
    for i in range(len(x)):
        while len(hull) > 1 and _turns_right(x, y, hull[-2], hull[-1], i):
            hull.pop()
        hull.append(i)
    return hull


def _turns_right(x: FloatArray, y: FloatArray, a: int, b: int, c: int) -> bool:
    return bool((x[b] - x[a]) * (y[c] - y[a]) <= (y[b] - y[a]) * (x[c] - x[a]))
