"""Fit the weights of `analysis.motion.trust` on the virtual trainee: `python -m tests.bench.trust [FIRST] [SESSIONS]`.

Draws sessions on a body, reads each with and without its gyro, and fits by Newton's method (ridge on all weights but
the base) whether the count of a set was right. Nothing is read from a recording.
"""

from __future__ import annotations

import sys
from dataclasses import astuple, fields

import numpy as np

from analysis.motion.found import Found
from analysis.motion.grid import Gridder, Stretch, joined
from analysis.motion.mounts import Mount
from analysis.motion.parameters import DEFAULTS
from analysis.motion.refine import found_sets
from analysis.motion.samples import FloatArray, Samples
from analysis.motion.trust import Signs, trimmed
from analysis.motion.upright import walking
from tests.bench.trainee_corpus import Session, draw_session

_RIDGE = 3.0


def examples(session: Session, *, gyro: bool) -> tuple[list[tuple[float, ...]], list[bool]]:
    """Return the signs of every set read in a session, and whether its count was right."""
    signs: list[tuple[float, ...]] = []
    right: list[bool] = []
    stretch = _stretch(session, gyro=gyro)
    walks = walking(stretch, DEFAULTS.grid.rate_hz)
    for one in found_sets(stretch, Mount.BODY, walks, float("-inf"), DEFAULTS):
        if one.signs is not None:
            signs.append(astuple(trimmed(one.signs)))
            right.append(_is_right(one, session))
    return signs, right


def fit(signs: FloatArray, right: FloatArray) -> FloatArray:
    """Return base and weights of the logistic regression."""
    middle, spread = signs.mean(axis=0), signs.std(axis=0) + 1e-9
    x = np.column_stack([np.ones(len(signs)), (signs - middle) / spread])
    ridge = _RIDGE * np.eye(x.shape[1])
    ridge[0, 0] = 0.0
    weights = np.zeros(x.shape[1])
    for _ in range(30):
        chance = 1.0 / (1.0 + np.exp(-x @ weights))
        curve = (x * (chance * (1.0 - chance))[:, None]).T @ x + ridge
        weights = weights + np.linalg.solve(curve, x.T @ (right - chance) - ridge @ weights)
    slopes = weights[1:] / spread
    return np.concatenate([[weights[0] - slopes @ middle], slopes])


def _stretch(session: Session, *, gyro: bool) -> Stretch:
    gridder = Gridder(DEFAULTS.grid)
    rising = np.diff(session.t_s, prepend=-np.inf) > 0
    rate = session.rate_rad_s[rising] if gyro else None
    samples = Samples(session.t_s[rising], session.force_m_s2[rising], rate)
    return joined([gridder.push(samples), gridder.finish()])


def _is_right(one: Found, session: Session) -> bool:
    begin_s, end_s = one.span_s
    for bout in session.bouts:
        reps = [session.reps[i] for i in bout.reps if session.reps[i].kind != "partial"]
        if bout.is_set and min(end_s, reps[-1].end_s) - max(begin_s, reps[0].start_s) > 0.3 * (
            reps[-1].end_s - reps[0].start_s
        ):
            return one.group.count == len(reps)
    return False


def main(first: int = 300, sessions: int = 105) -> None:
    """Draw, fit, print."""
    signs: list[tuple[float, ...]] = []
    right: list[bool] = []
    for seed in range(first, first + sessions):
        session = draw_session("body", seed)
        for gyro in (False, True):
            more, were_right = examples(session, gyro=gyro)
            signs, right = signs + more, right + were_right
    base, *weights = fit(np.array(signs), np.array(right, dtype=float))
    named = {field.name: round(float(weight), 3) for field, weight in zip(fields(Signs), weights, strict=True)}
    sys.stdout.write(f"{len(right)} sets, {sum(right)} right; base {base:.3f}, weights {named}\n")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:3]))
