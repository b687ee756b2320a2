"""On recorded people: what was learnt from the recordings before makes the next one read 1 g where it is still."""

from __future__ import annotations

from itertools import groupby
from pathlib import Path

import numpy as np
import pytest

from sensor.calibrate import Belief, off_1g_m_s2, refine
from sensor.calibration import Correction
from sensor.postures import Postures, Seen
from sensor.table import read_table

G = 9.80665  # m/s², exact: 3rd CGPM (1901)
RECORDED = Path(__file__).parents[3] / "shared" / "data" / "real"
UNITS = sorted(RECORDED.glob("pte-uci730/*_u2_*.csv.gz"))
"""Therapy exercises, Yurtman & Barshan 2014 (UCI 730): five people, one after the other, sensor unit 2 on the leg."""


def seen_in(path: Path) -> Seen:
    table, postures = read_table(path), Postures()
    postures.push(table.t_s, table.force_m_s2)
    return postures.seen()


def later_off_1g_mg(paths: list[Path]) -> tuple[float, float]:
    """Root mean square of |f| − 1 g over the postures of all files but the first: as read, and corrected before it."""
    known: Belief | None = None
    squares: list[tuple[float, float, int]] = []
    for path in paths:
        seen = seen_in(path)
        if known is not None:
            read, corrected = (off_1g_m_s2(seen.readings, one) for one in (Correction(), known.correction))
            squares.append((read**2 * len(seen), corrected**2 * len(seen), len(seen)))
        known = refine(seen, known) or known
    read2, corrected2, n = np.sum(squares, axis=0)
    return float(np.sqrt(read2 / n)) / G * 1000, float(np.sqrt(corrected2 / n)) / G * 1000


@pytest.mark.skipif(len(UNITS) < 10, reason="the open recordings are not beside this checkout (../shared/data/real)")
@pytest.mark.parametrize("odd", [True, False], ids=["people 1, 3, 5", "people 2, 4"])
def test_the_same_sensor_on_the_next_person_reads_nearer_to_1g(odd: bool) -> None:
    people = groupby(UNITS, key=lambda path: path.name.split("_")[0])
    paths = [path for name, files in people if (int(name[1:]) % 2 == 1) is odd for path in files]
    as_read, corrected = later_off_1g_mg(paths)
    assert as_read > 4.0
    assert corrected < 0.6 * as_read
