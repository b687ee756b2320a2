"""Runs of True: one way of finding where something begins and ends."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from analysis.motion.samples import BoolArray


def runs(mask: BoolArray) -> list[tuple[int, int]]:
    """Return start and stop of every run of True, half-open."""
    edges = changes(mask).tolist()
    return list(zip(edges[::2], edges[1::2], strict=True))


def changes(x: NDArray[Any]) -> NDArray[np.int64]:
    """Return where a sequence changes from one place to the next, zero before and after it included."""
    wide = np.zeros(len(x) + 2, x.dtype)
    wide[1:-1] = x
    return np.flatnonzero(wide[1:] != wide[:-1])
