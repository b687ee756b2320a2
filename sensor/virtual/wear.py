"""From the motion under a sensor to what a real one reads of it: flaws, slips, gaps, a clock of its own."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.signal import butter, sosfiltfilt

from sensor.virtual.jets import FloatArray, Jet
from sensor.virtual.mounted import DEGREE, Mounted
from sensor.virtual.plan import Rng
from sensor.virtual.tracks import FINE_HZ, Track, wander
from sensor.virtual.trainee import STANDARD_GRAVITY_M_S2, angular_rate, random_rotation, specific_force


@dataclass(frozen=True, slots=True)
class Device:
    """One sensor, drawn by :func:`draw_device`.

    Attributes
    ----------
    rate_hz, clock_ratio
        Samples a second of its own clock, and how many of its seconds a true second has.
    force_noise_m_s2, rate_noise_rad_s
        White noise, per √Hz.
    force_bias_m_s2, rate_bias_rad_s, rate_wander_rad_s, scale
        Of the axes; `wander` comes and goes over tens of seconds, `drift` comes with warmth.
    full_scale_m_s2, bits
        Range and resolution of the accelerometer.
    pass_hz
        Cut-off before sampling; faster vibrations alias where it lies above half the rate.
    slips_rad
        How far the clip turns, each time it does.
    loss, bursts
        Share of packets lost, and number of long gaps.
    packet
        Samples a packet.
    """

    rate_hz: float
    clock_ratio: float
    force_noise_m_s2: float
    rate_noise_rad_s: float
    force_bias_m_s2: tuple[float, float, float]
    rate_bias_rad_s: tuple[float, float, float]
    rate_wander_rad_s: float
    scale: tuple[float, float, float]
    drift_m_s2: float
    full_scale_m_s2: float
    bits: int
    pass_hz: float
    slips_rad: tuple[float, ...]
    loss: float
    bursts: int
    packet: int


@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """What arrives; (n,) and (n, 3) arrays. Times are of the sensor's own clock."""

    t_s: FloatArray
    force_m_s2: FloatArray
    rate_rad_s: FloatArray


def draw_device(rng: Rng) -> Device:
    """Draw a sensor from the classes of datasheets (from memory), somewhat wider."""
    rate = rng.uniform(50, 110) if rng.random() < 0.5 else rng.choice([25, 26, 50, 52, 52, 100, 104, 104, 200, 208])
    bias = 10 ** rng.uniform(-0.5, 2, 3) * rng.choice([-1, 1], 3) * 1e-3 * STANDARD_GRAVITY_M_S2
    low, high = np.log(25), np.log(300)
    return Device(
        rate_hz=float(rate),
        clock_ratio=1 + rng.uniform(-0.015, 0.015) if rng.random() < 0.5 else 1 + rng.normal() * 1e-3,
        force_noise_m_s2=float(np.exp(rng.uniform(low, high))) * 1e-6 * STANDARD_GRAVITY_M_S2,
        rate_noise_rad_s=10 ** rng.uniform(-2.5, -1.3) * DEGREE,
        force_bias_m_s2=(float(bias[0]), float(bias[1]), float(bias[2])),
        rate_bias_rad_s=tuple(float(b) * DEGREE for b in rng.uniform(-1, 1, 3)),  # type: ignore[arg-type]
        rate_wander_rad_s=10 ** rng.uniform(-2, 0.3) * DEGREE,
        scale=tuple(float(s) for s in 1 + rng.uniform(-0.02, 0.02, 3)),  # type: ignore[arg-type]
        drift_m_s2=rng.normal() * 5e-3 * STANDARD_GRAVITY_M_S2,
        full_scale_m_s2=float(rng.choice([2, 4, 4, 8, 8, 16])) * STANDARD_GRAVITY_M_S2,
        bits=int(rng.choice([12, 14, 16], p=[0.15, 0.15, 0.7])),
        pass_hz=float(rate) * (rng.uniform(0.35, 0.5) if rng.random() < 0.6 else rng.uniform(0.5, 3)),
        slips_rad=_slips(rng),
        loss=rng.uniform(0, 0.1) if rng.random() < 0.5 else 0.0,
        bursts=int(rng.choice([0, 1, 2], p=[0.6, 0.25, 0.15])),
        packet=int(rng.integers(3, 21)),
    )


def read(mounted: Mounted, device: Device, rng: Rng) -> Reading:
    """Return what the sensor reads and what of it arrives."""
    force = specific_force(mounted.motion) + mounted.shake_m_s2
    rate = angular_rate(mounted.motion)
    if mounted.twist is not None:
        force, rate = turned(force, rate, np.array([0.0, 0.0, 1.0]), mounted.twist)
    mounting = random_rotation(rng)
    force, rate = force @ mounting.T, rate @ mounting.T
    for slip_rad in device.slips_rad:
        angle = Track(len(force))
        angle.step(rng.uniform(0.05, 0.95) * len(force) / FINE_HZ, rng.uniform(0.05, 0.5), slip_rad)
        axis = rng.normal(size=3)
        force, rate = turned(force, rate, axis / np.linalg.norm(axis), angle.jet())
    return _sample(force, rate, device, rng)


def turned(force: FloatArray, rate: FloatArray, axis: FloatArray, angle: Jet) -> tuple[FloatArray, FloatArray]:
    """Return the readings of a sensor that turns by `angle` about `axis` against what it is clipped to.

    Rodrigues' formula with the angle reversed, since the axes turn and not the vectors; and the turning itself adds
    to the angular rate.
    """
    cosine, sine = np.cos(angle.x)[:, None], np.sin(angle.x)[:, None]

    def seen(vector: FloatArray) -> FloatArray:
        along = (vector @ axis)[:, None] * axis
        turned_back: FloatArray = along + (vector - along) * cosine - np.cross(axis, vector) * sine
        return turned_back

    return seen(force), seen(rate) + angle.v[:, None] * axis


def _sample(force: FloatArray, rate: FloatArray, device: Device, rng: Rng) -> Reading:
    true_rate_hz = device.rate_hz * device.clock_ratio
    n = int((len(force) - 2) * true_rate_hz / FINE_HZ)
    at = np.arange(n) * (FINE_HZ / true_rate_hz)
    both = _smoothed(np.hstack([force, rate]), device.pass_hz)
    i = at.astype(int)
    share = (at - i)[:, None]
    both = both[i] * (1 - share) + both[i + 1] * share
    t_s = np.arange(n) / device.rate_hz
    force = quantised(_flawed_force(both[:, :3], t_s, device, rng), device.full_scale_m_s2, device.bits)
    rate = quantised(_flawed_rate(both[:, 3:], device, rng), float(rng.choice([250, 500, 1000, 2000])) * DEGREE, 16)
    kept = arriving(n, device, rng)
    return Reading(t_s[kept], force[kept], rate[kept])


def _smoothed(x: FloatArray, pass_hz: float) -> FloatArray:
    """Low-pass without delay: that of real sensors is a few milliseconds, and not told apart from the radio's."""
    if pass_hz > 0.4 * FINE_HZ:
        return x
    return np.asarray(sosfiltfilt(butter(1, pass_hz, fs=FINE_HZ, output="sos"), x, axis=0), dtype=np.float64)


def _flawed_force(force: FloatArray, t_s: FloatArray, device: Device, rng: Rng) -> FloatArray:
    noise = device.force_noise_m_s2 * np.sqrt(device.rate_hz / 2) * rng.normal(size=force.shape)
    warmth = 1 - np.exp(-t_s / rng.uniform(60, 600))
    drift = device.drift_m_s2 * warmth[:, None] * rng.normal(size=3)
    flawed: FloatArray = force * device.scale + device.force_bias_m_s2 + drift + noise
    return flawed


def _flawed_rate(rate: FloatArray, device: Device, rng: Rng) -> FloatArray:
    noise = device.rate_noise_rad_s * np.sqrt(device.rate_hz / 2) * rng.normal(size=rate.shape)
    slow_hz = rng.uniform(0.01, 0.1) * device.rate_hz / FINE_HZ
    coming = device.rate_wander_rad_s * wander(rng, len(rate), slow_hz)[:, None] * rng.normal(size=3)
    flawed: FloatArray = rate + device.rate_bias_rad_s + coming + noise
    return flawed


def quantised(x: FloatArray, full_scale: float, bits: int) -> FloatArray:
    """Round to steps of the converter, and stop at the ends of its range."""
    steps = 2 ** (bits - 1)
    counts = np.clip(np.round(x * (steps / full_scale)), -steps, steps - 1)
    rounded: FloatArray = counts * (full_scale / steps)
    return rounded


def arriving(samples: int, device: Device, rng: Rng) -> NDArray[np.bool_]:
    """Return which samples arrive: packets are lost in short runs, and all are in a few long gaps of 0.3 to 3 s."""
    packets = samples // device.packet + 1
    lost = rng.random(packets) < device.loss * (0.5 if device.loss else 0)
    lost[1:] |= lost[:-1] & (rng.random(packets - 1) < 0.5)
    kept = ~np.repeat(lost, device.packet)[:samples]
    for _ in range(device.bursts):
        first = int(rng.integers(0, samples))
        kept[first : first + int(device.rate_hz * 0.3 * 10 ** rng.uniform(0, 1))] = False
    return kept


def _slips(rng: Rng) -> tuple[float, ...]:
    times = int(rng.choice([0, 1, 2, 4], p=[0.8, 0.1, 0.05, 0.05]))
    return tuple(float(s) for s in rng.choice([-1, 1], times) * rng.uniform(5, 40, times) * DEGREE)
