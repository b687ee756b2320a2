"""Several people of the virtual trainee's kind in turn on one bar, and the table that its sensor gives."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from sensor.protocol import STANDARD_GRAVITY_M_S2
from sensor.table import COLUMNS
from sensor.virtual.course import Course, Grip, Move
from sensor.virtual.mounted import set_scene
from sensor.virtual.wear import draw_device, read
from tests.bench.trainee_corpus import MOUNTS
from tests.bench.trainee_sets import draw_habit, write_set

REACH_S, LET_GO_S = 0.8, 0.5
STILL_S, BREATH_S = 12.0, 0.8


def relay(path: Path, counts: Sequence[int], apart_s: Sequence[float], *, mount: str, seed: int = 1) -> list[float]:
    """Write the table of sets one after the other, each of so many ordinary reps of one second up and one down.

    Parameters
    ----------
    apart_s
        Before each set but the first: seconds from letting go to the next one's hanging.

    Returns
    -------
    When the last rep of each set ends, seconds.
    """
    rng = np.random.default_rng(seed)
    habit = replace(draw_habit(rng, "ordinary", 0.45), up_s=1.0, down_s=1.1, top_s=0.3, bottom_s=0.3, jitter=0.05)
    moves: list[Move] = []
    grips: list[Grip] = []
    ends_s: list[float] = []
    hang_s = STILL_S
    for count, gap_s in zip(counts, (*apart_s, 0.0), strict=True):
        written = write_set(np.random.default_rng(seed), habit, count, hang_s + BREATH_S)
        moves += written.moves
        off_s = written.at_s + BREATH_S
        grips.append(Grip(hang_s - REACH_S, hang_s, off_s, off_s + LET_GO_S, written.height_m))
        ends_s.append(written.at_s)
        hang_s = off_s + gap_s
    scene = set_scene(Course(tuple(moves), tuple(grips), (), hang_s + STILL_S))
    reading = read(MOUNTS[mount](scene, rng), draw_device(rng), rng)
    rows = [reading.t_s[:, None], reading.force_m_s2 / STANDARD_GRAVITY_M_S2, np.degrees(reading.rate_rad_s)]
    np.savetxt(path, np.hstack(rows), delimiter=",", header=",".join(COLUMNS), comments="", fmt="%.6f")
    return ends_s
