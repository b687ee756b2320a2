"""The recordings beside this repository, for tests that skip without them."""

from __future__ import annotations

import csv
import gzip
import json
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from analysis.motion.parameters import STANDARD_GRAVITY_M_S2
from analysis.motion.samples import Samples

DATA = Path(__file__).resolve().parents[4] / "shared" / "data"
needs_data = pytest.mark.skipif(
    not DATA.is_dir(), reason="the folder with the recordings is not beside this repository"
)


def recording(path: Path, *, gyro: bool = False) -> Samples:
    """A table of motion, g and °/s, as samples; without its gyro unless asked for."""
    with gzip.open(path, "rt") as file:
        data = np.loadtxt(file, delimiter=",", skiprows=1)
    rate = np.radians(data[:, 4:7]) if gyro else None
    return Samples(data[:, 0], data[:, 1:4] * STANDARD_GRAVITY_M_S2, rate)


def session(name: str, *, gyro: bool = False) -> tuple[Samples, dict[str, Any]]:
    """A simulated session and its truth."""
    truth: dict[str, Any] = json.loads((DATA / "sim" / f"{name}.truth.json").read_text())
    return recording(DATA / "sim" / f"{name}.csv.gz", gyro=gyro), truth


@cache
def real(source: str) -> tuple[dict[str, str], ...]:
    """Rows of the table of real recordings whose file begins with `source`."""
    with (DATA / "real" / "truth.csv").open() as file:
        return tuple(row for row in csv.DictReader(file) if row["file"].startswith(source))


def window(samples: Samples, start_s: float, end_s: float) -> Samples:
    """The samples between two times."""
    kept = (samples.t_s >= start_s) & (samples.t_s < end_s)
    rate = None if samples.rate_rad_s is None else samples.rate_rad_s[kept]
    return Samples(samples.t_s[kept], samples.force_m_s2[kept], rate)
