"""Motion of a sensor that errs by a known bias and gain, as tables that the virtual sensor plays."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from sensor.virtual.script import DEMO_BEAT, regular_script
from sensor.virtual.trainee import Imperfections, perform

Array = NDArray[np.float64]

G = 9.80665  # m/s², exact: 3rd CGPM (1901)
MG = G / 1000
BIAS = np.array([60.0, -40.0, 50.0]) * MG
GAIN = np.array([1.01, 0.99, 1.015])
SCRIPT = regular_script(trainee="Mara Lindt", sets=1, reps=5, beat=DEMO_BEAT, rest_s=10)
SIDES = G * np.array([[1, 0, 0], [-1, 0, 0], [0, 1, 0], [0, -1, 0], [0, 0, 1], [0, 0, -1]], float)


def misread(true: Array) -> Array:
    """What the sensor reads of `true`."""
    return np.asarray(true / GAIN + BIAS)


def write(path: Path, t_s: Array, force_m_s2: Array, rate_rad_s: Array | None = None) -> Path:
    """Write a table."""
    columns = [t_s[:, None], force_m_s2 / G] + ([] if rate_rad_s is None else [np.degrees(rate_rad_s)])
    header = "t_s,ax_g,ay_g,az_g" + ("" if rate_rad_s is None else ",gx_dps,gy_dps,gz_dps")
    np.savetxt(path, np.hstack(columns), delimiter=",", header=header, comments="", fmt="%.6f")
    return path


def session_table(path: Path) -> Path:
    """One set of the virtual trainee, with a sensor that errs by nothing but `BIAS` and `GAIN`."""
    done = perform(SCRIPT, 1, imperfections=Imperfections(0.0, 1e-3, 0.0, 1e-4))
    return write(path, done.t_s, misread(done.force_m_s2), done.rate_rad_s)


def turned_table(path: Path, postures: Array, *, held_s: float = 4.0, rate_hz: float = 50.0) -> Path:
    """A sensor held in one posture after the other, turned over in a second between."""
    parts = []
    for before, now in pairwise(postures):
        share = np.linspace(0, 1, round(rate_hz))[:, None]
        lifted = 1 + 0.3 * np.sin(np.pi * share) + 0.1 * np.sin(14 * np.pi * share)
        parts += [np.tile(before, (round(held_s * rate_hz), 1)), ((1 - share) * before + share * now) * lifted]
    force = np.concatenate([*parts, np.tile(postures[-1], (round((held_s + 2) * rate_hz), 1))])
    noise = np.random.default_rng(1).normal(0, 2 * MG, force.shape)
    return write(path, np.arange(len(force)) / rate_hz, misread(force) + noise)
