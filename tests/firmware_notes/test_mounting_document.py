"""The beam table of `firmware_notes/mounting.md`, by the formulas it names, and by integrating the beam equation."""

import math
import re
from pathlib import Path

import numpy as np
import pytest
from interpreters import NOTES

from analysis.motion.events import Phase
from analysis.training.words import WHY_WORDS
from tui.widgets import plan_panel
from tui.widgets.labels import PHASE_WORDS

TEXT = (NOTES / "mounting.md").read_text(encoding="utf-8")
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


def test_a_clamped_bar_by_integration():
    # E I w'' = P x / 2 − M, w'(0) = w'(L/2) = 0, w(0) = 0: M = P L / 8, and the sag is a quarter.
    _, _, simply_m = by_integration(0.028, 1.31)
    x = np.linspace(0.0, 1.31 / 2, 100_001)
    curvature = (LOAD_N * x / 2 - LOAD_N * 1.31 / 8) / (MODULUS_PA * math.pi * 0.028**4 / 64)
    slope = np.concatenate(([0.0], np.cumsum((curvature[1:] + curvature[:-1]) / 2 * x[1])))
    assert slope[-1] == pytest.approx(0, abs=1e-9)
    assert -np.trapezoid(slope, x) == pytest.approx(simply_m / 4, rel=1e-4)
    assert "sag a quarter" in TEXT


def test_what_the_screen_says_is_what_the_screen_says():
    table = TEXT.split("## See on the screen", 1)[1].split("##", 1)[0]
    quoted = set(re.findall(r"`([A-Z][A-Z ]+)`", table)) | set(
        re.findall(r"\"(the [^\"]+|this [^\"]+|up [^\"]+)\"", table)
    )
    code = Path(plan_panel.__file__).read_text(encoding="utf-8")
    known = set(PHASE_WORDS.values()) | set(WHY_WORDS.values()) | set(re.findall(r'"([A-Z][A-Z ]+)"', code))
    assert quoted <= known
    assert {PHASE_WORDS[phase] for phase in (Phase.HANG, Phase.UP, Phase.TOP, Phase.DOWN)} <= quoted
    assert len(quoted) == 12
