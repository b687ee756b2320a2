"""The reading from taking hold to letting go, on strokes made by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from analysis.motion.grammar import Reader, Scene
from analysis.motion.held import HeldReader
from analysis.motion.lobes import Lobes
from analysis.motion.mounts import Mount
from analysis.motion.on_mount import in_grip
from analysis.motion.parameters import DEFAULTS
from analysis.motion.words import Kind

PARAMETERS = in_grip(DEFAULTS, Mount.SUSPENSION)
STEP = 40
"""Grid points from one stroke to the next; each takes 25, a second."""


def scene(sides: list[int]) -> Scene:
    """Strokes of 5° each, without any change of posture."""
    n = len(sides)
    start = 100 + STEP * np.arange(n)
    pieces = Lobes(start, start + 25, np.array(sides), np.full(n, 5.0), np.full(n, 9.0))
    length = int(start[-1]) + 200
    return Scene(pieces, np.tile([0.0, 0.0, 1.0], (length, 1)), np.zeros(length, np.bool_))


@pytest.mark.parametrize("turned", [False, True])
def test_a_stroke_left_over_in_the_hang_tells_the_wrong_direction(turned: bool) -> None:
    """Up, down, … read the other way leaves the first and the last stroke over: twice the price of taking hold."""
    right = scene([1, -1] * 5)
    n = len(right.direction)
    ends = np.ones(n, np.bool_) if turned else np.zeros(n, np.bool_)
    gains = []
    for sides in ([1, -1] * 5, [-1, 1] * 5):
        words = HeldReader(scene(sides), ends, 2.0, PARAMETERS).read()
        gains.append((len(words), sum(word.gain for word in words)))
    (count, gain), (other, rival) = gains
    assert (count, other) == (5, 4)
    usual = [sum(w.gain for w in Reader(scene(sides), 2.0, PARAMETERS).read()) for sides in ([1, -1] * 5, [-1, 1] * 5)]
    beyond = (gain - rival) - (usual[0] - usual[1])
    skip = PARAMETERS.template.skip
    assert beyond == pytest.approx(0.0 if turned else 2 * skip * (PARAMETERS.grip.left_over - 1.0), abs=0.01)


def test_the_gains_add_up_to_what_the_reading_saves() -> None:
    """A stroke left over among the reps is paid by a rep: it is in the sum, wherever it stands."""
    plain = sum(w.gain for w in HeldReader(scene([1, -1] * 5), np.zeros(900, np.bool_), 2.0, PARAMETERS).read())
    broken = HeldReader(scene([1, -1] * 3 + [1] + [1, -1] * 3), np.zeros(900, np.bool_), 2.0, PARAMETERS).read()
    assert len(broken) == 6
    assert sum(w.gain for w in broken) < plain * 6 / 5


@pytest.mark.parametrize(("mount", "kind"), [(Mount.FIXED_BAR, Kind.FULL), (Mount.SUSPENSION, Kind.PARTIAL)])
def test_a_rep_tilts_a_bar_by_its_pull_too_and_may_be_smaller_than_on_a_strap(mount: Mount, kind: Kind) -> None:
    """A bar's tilt is of pull and wrist, not of height: a rep of 0.58 of the others' is one there."""
    whole = scene([1, -1] * 6)
    travel = whole.lobes.travel.copy()
    travel[6:8] *= 0.58
    seen = replace(whole, lobes=replace(whole.lobes, travel=travel))
    words = HeldReader(seen, np.zeros(len(seen.direction), np.bool_), 2.0, in_grip(DEFAULTS, mount)).read()
    assert [word.kind for word in words] == [Kind.FULL] * 3 + [kind] + [Kind.FULL] * 2
