"""How a sensor does: rate, clock, loss, noise and bias at rest, from what it sent in the last minute; pure."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sensor.assembly import Block, Item, Lost, Restart
from sensor.clock import DeviceClock, Timekeeping

FloatArray = NDArray[np.float64]

SPAN_S = 60.0
"""Loss and rest are those of so much of the past, device seconds."""
WINDOW_S = 1.0
STILL_M_S2 = 0.1
"""Three axes together scatter less than this about their mean in a second of rest: no hand holds so still.

Noise densities of consumer sensors, 60 to 300 µg/√Hz, make 0.01 to 0.05 m/s² at 100 Hz (common practice, no source)."""
_ALIKE = 4.0
"""Windows whose variance is within so much of the quietest one are as still as it is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rest:
    """What the sensor reads when nothing moves it.

    Attributes
    ----------
    noise_m_s2, turn_noise_rad_s
        One sigma of each axis of accelerometer and gyro; the latter None without one.
    size_m_s2
        Length of the mean force; 9.80665 where bias and gain are right.
    turn_bias_rad_s
        Mean of each axis of the gyro; None without one.
    windows
        Seconds of rest that were found.
    """

    noise_m_s2: tuple[float, ...]
    size_m_s2: float
    turn_noise_rad_s: tuple[float, ...] | None
    turn_bias_rad_s: tuple[float, ...] | None
    windows: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Health:
    """How a sensor does.

    Attributes
    ----------
    rate_hz
        Samples a second of the host's clock; None before there were two.
    clock_ppm, clock_sd_ppm
        By how much the device's clock is slow (host seconds per device second, less 1), and one sigma.
    loss
        Share of samples that did not come, 0–1, of the last `SPAN_S`.
    span_s
        Device seconds that were seen, `SPAN_S` at most.
    rest
        None where it was never still.
    """

    rate_hz: float | None
    clock_ppm: float
    clock_sd_ppm: float
    loss: float
    span_s: float
    rest: Rest | None


class Checkup:
    """Takes what the assembler gives, says how the sensor does."""

    def __init__(self) -> None:
        self._blocks: deque[Block] = deque()
        self._losses: deque[tuple[float, int]] = deque()
        """Device time of the sample before, and how many were lost."""
        self._clock = DeviceClock()

    def push(self, items: Iterable[Item], keeping: Timekeeping | None = None) -> None:
        """Take in what came next; `keeping` is what is thought of the sensor's clock."""
        if not self._blocks:
            self._clock = DeviceClock(keeping)
        for item in items:
            match item:
                case Restart():
                    self._blocks.clear()
                    self._losses.clear()
                    self._clock = DeviceClock(keeping)
                case Lost():
                    self._losses.append((self._end_s, item.end_index - item.first_index))
                case Block():
                    self._blocks.append(item)
                    self._clock.push(self._end_s, item.arrival_s)
                    self._forget(self._end_s - SPAN_S)

    def health(self) -> Health:
        """Return how the sensor does, as far as it was seen."""
        blocks = list(self._blocks)
        lost = sum(count for _, count in self._losses)
        got = sum(len(block) for block in blocks)
        clock = self._clock.estimate()
        t_s = np.concatenate([block.t_s for block in blocks]) if blocks else np.empty(0)
        step_s = float(np.median(np.diff(t_s))) if got > 1 else 0.0
        return Health(
            rate_hz=1.0 / (step_s * clock.ratio) if step_s else None,
            clock_ppm=(clock.ratio - 1.0) * 1e6,
            clock_sd_ppm=clock.sd_ppm,
            loss=lost / max(1, lost + got),
            span_s=float(t_s[-1] - t_s[0]) if got else 0.0,
            rest=_rest(blocks, round(WINDOW_S / step_s)) if step_s else None,
        )

    @property
    def _end_s(self) -> float:
        return float(self._blocks[-1].t_s[-1]) if self._blocks else 0.0

    def _forget(self, before_s: float) -> None:
        while self._blocks[0].t_s[-1] < before_s:
            self._blocks.popleft()
        while self._losses and self._losses[0][0] < before_s:
            self._losses.popleft()


def _rest(blocks: list[Block], size: int) -> Rest | None:
    force = _windows(np.concatenate([block.force_m_s2 for block in blocks]), size)
    if not len(force):
        return None
    variance = force.var(axis=1, ddof=1).sum(axis=1)
    if variance.min() > STILL_M_S2**2:
        return None
    still = variance <= max(_ALIKE * variance.min(), np.finfo(float).tiny)
    rates = [block.rate_rad_s for block in blocks if block.rate_rad_s is not None]
    turn = _windows(np.concatenate(rates), size)[still] if len(rates) == len(blocks) else None
    return Rest(
        noise_m_s2=_scatter(force[still]),
        size_m_s2=float(np.median(np.linalg.norm(force[still].mean(axis=1), axis=1))),
        turn_noise_rad_s=None if turn is None else _scatter(turn),
        turn_bias_rad_s=None if turn is None else tuple(np.median(turn.mean(axis=1), axis=0).tolist()),
        windows=int(still.sum()),
    )


def _windows(samples: FloatArray, size: int) -> FloatArray:
    """Cut (n, 3) samples into (k, size, 3) whole windows; k is 0 where there is none."""
    whole = len(samples) // max(size, 2)
    return samples[: whole * max(size, 2)].reshape(whole, max(size, 2), 3)


def _scatter(windows: FloatArray) -> tuple[float, ...]:
    return tuple(np.sqrt(windows.var(axis=1, ddof=1).mean(axis=0)).tolist())
