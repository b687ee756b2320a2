"""Runs of True: one way of finding where something begins and ends."""

from __future__ import annotations

import numpy as np

from analysis.motion.samples import BoolArray


def runs(mask: BoolArray) -> list[tuple[int, int]]:
    """Return start and stop of every run of True, half-open."""
    edges = np.flatnonzero(np.diff(mask.astype(np.int8), prepend=0, append=0))
    return [(int(start), int(stop)) for start, stop in edges.reshape(-1, 2)]
