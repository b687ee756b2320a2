"""The beam table of `firmware_notes/mounting.md`, by the formulas it names, and by integrating the beam equation."""

import math
import re
from pathlib import Path

import numpy as np
import pytest

TEXT = (Path(__file__).parents[2] / "firmware_notes" / "mounting.md").read_text(encoding="utf-8")
ROWS = [
    [float(cell) for cell in row.split("|")[1:-1]] for row in re.findall(r"^\|(?: [\d.]+ \|){6}$", TEXT, re.MULTILINE)
]
LOAD_N, MODULUS_PA = 700.0, 200e9


def by_integration(diameter_m, length_m):
    """Slope and sag along half the beam, from its bending moment: E I w'' = P x / 2, w(0) = 0, w'(L/2) = 0."""
    stiffness = MODULUS_PA * math.pi * diameter_m**4 / 64
    x = np.linspace(0.0, length_m / 2, 100_001)
    step = x[1]
    curvature = LOAD_N * x / 2 / stiffness
    slope = np.concatenate(([0.0], np.cumsum((curvature[1:] + curvature[:-1]) / 2 * step)))
    slope = slope[-1] - slope
    return x, slope, float(np.sum((slope[1:] + slope[:-1]) / 2 * step))


@pytest.mark.parametrize("row", ROWS, ids=str)
def test_beam_table(row):
    d_mm, length_m, sag_mm, slope_mrad, slope_deg, near_mrad = row
    x, slope, sag_m = by_integration(d_mm / 1e3, length_m)
    assert sag_mm == pytest.approx(sag_m * 1e3, abs=0.006)
    assert slope_mrad == pytest.approx(slope[0] * 1e3, abs=0.006)
    assert slope_deg == pytest.approx(math.degrees(slope[0]), abs=0.006)
    assert near_mrad == pytest.approx(np.interp(length_m / 2 - 0.2, x, slope) * 1e3, abs=0.006)


def test_the_table_has_the_published_case():
    assert len(ROWS) == 4
    # P = 700 N, d = 28 mm, L = 1.31 m, E = 200 GPa: sag 5.43 mm, end slope 12.44 mrad (beam tables).
    assert ROWS[1][2:4] == [5.43, 12.44]
