"""The upper edge of all hills of a session, worked out once: from far away only the highest of each column is drawn."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.motion.samples import FloatArray
from tui.retrace.signals import envelope
from tui.retrace.view import SeenRep
from tui.session.messages import Hill
from tui.widgets.hill import is_gap, knees, outline

STEP_S = 0.1
"""Finer than any column in which a rep is too narrow to be a hill."""


@dataclass(frozen=True, slots=True, eq=False)
class Skyline:
    """Points on the outlines, in order of time; nothing between the reps.

    Attributes
    ----------
    t_s, level : (n,) arrays
        Sensor seconds, and height 0–1.
    """

    t_s: FloatArray
    level: FloatArray

    def levels(self, from_s: float, to_s: float, columns: int) -> tuple[float, ...]:
        """Return the highest level in each column; 0 where there is no rep."""
        found = envelope(self.t_s, self.level, from_s, to_s, columns)
        return tuple(0.0 if one is None else one[1] for one in found)


def skyline(reps: tuple[SeenRep, ...], target: Hill | None) -> Skyline:
    """Return the upper edge of the reps; what was not measured of them is as long as in `target`."""
    times, levels = [np.empty(0)], [np.empty(0)]
    for rep in reps:
        if is_gap(rep.hill):
            continue
        corners = knees(outline(rep.hill, target))
        at_s, level = (np.array([corner[side] for corner in corners]) for side in (0, 1))
        points = np.union1d(np.arange(0.0, rep.until_s - rep.start_s, STEP_S), at_s[at_s < rep.until_s - rep.start_s])
        times.append(rep.start_s + points)
        levels.append(np.interp(points, at_s, level))
    return Skyline(np.concatenate(times), np.concatenate(levels))
