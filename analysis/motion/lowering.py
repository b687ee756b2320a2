"""Step 6b: when a slow lowering began and ended, from the whole run of its acceleration at once.

A speed that has drifted by 0.03 m/s, which 5 mg do in half a second, passes a threshold as much too early as the pause
beside it lasts. What does not drift is the form: a pause, with a constant acceleration; a short push down, a long way
at about even speed, a short push up; a pause; and the way down is as long as the way up was. So begins and ends, each
with several lengths of its push, are weighed by how likely they make the acceleration:

    speed = −V r((t − begin) / push) r((end − t) / brake) (1 + wobble),   r(x) = 3x² − 2x³

where V follows from the travel, and all that is not known (V, wobble, bias, sway, noise) is a Gaussian process, with
the likelihood of Rasmussen & Williams 2006, Gaussian Processes for Machine Learning, eq. 2.30. The spread of what is
likely is the boundary's sigma. Where the smoothed speed stops is mostly right and sometimes far off (a Cauchy
distribution): at the bottom, where sets are closed, it is asked as well; at the top, where drift is greatest, not.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

import numpy as np

from analysis.motion.described import parameter
from analysis.motion.samples import BoolArray, FloatArray


@dataclass(frozen=True, slots=True)
class LoweringParameters:
    """What is known of a slow lowering before it is seen."""

    least_s: float = parameter(2.5, unit="s", larger="fewer lowerings are weighed; quick ones show by their speed")
    push_s: float = parameter(0.4, unit="s", larger="sudden begins are found late")
    noise_m_s2: float = parameter(0.05, unit="m/s² in 0.08 s", larger="the travel counts more, the push less")
    sway_m_s2: float = parameter(0.03, unit="m/s²", larger="gentle pushes are taken for sway")
    sway_s: float = parameter(1.0, unit="s", larger="slower sway")
    bias_m_s2: float = parameter(
        0.1,
        unit="m/s²",
        larger="tilt may hide more",
        source="bias × tilt: 30 mg × sin 20° = 10 mg",
    )
    speed_sd: float = parameter(0.2, unit="of the speed", larger="the travel counts less")
    wobble: float = parameter(0.3, unit="of the speed", larger="pushes on the way are taken for wobble, begins unsure")
    wobble_s: float = parameter(0.3, unit="s", larger="slower wobble")
    travel_sd: float = parameter(0.08, unit="of the travel", larger="the travel counts less")
    stop_s: float = parameter(0.15, unit="s (Cauchy)", larger="where the speed stops says less of the end")
    turn_m_s2: float = parameter(0.4, unit="m/s²", larger="what is near a way up counts less")
    vigour_m_s2: float = parameter(1.0, unit="m/s²", larger="a gentle dismount is taken for part of the lowering")
    least_sd_s: float = parameter(0.02, unit="s", larger="no slow boundary is called surer than this")


@dataclass(frozen=True, slots=True)
class Between:
    """What a lowering lies between.

    Attributes
    ----------
    up_s, top_s
        Begin and end of the way up before it.
    down_s, stop_s
        About where it begins and ends.
    next_s
        Where the next way up begins; None after the last rep.
    travel_m
        How far it goes down.
    """

    up_s: float
    top_s: float
    down_s: float
    stop_s: float
    next_s: float | None
    travel_m: float


@dataclass(frozen=True, slots=True)
class Moment:
    """A moment, and its one sigma."""

    at_s: float
    sd_s: float


@dataclass(frozen=True, slots=True, eq=False)
class Seen:
    """What is seen: upward acceleration, gravity removed, at even times from 0; and where samples are missing."""

    upward_m_s2: FloatArray
    hole: BoolArray
    rate_hz: float


_BIN_S, _LEAST_BINS, _MOST_BINS = 0.2, 28, 64
"""The acceleration is averaged over so long; fewer and more bins than these are not taken."""
_COARSE_S, _FINE_S, _NEAR_S = 0.2, 0.1, 0.9
"""Steps in which begins are weighed: all, then those near the best."""
_SHORTEST_S = 0.8
"""No slow lowering is shorter."""
_LEFT = 0.144
"""Time that a minimum-jerk stroke goes on below 5 % of its peak, as a share of the time above: .1118 / .7764."""
_LEFT_SPEED = 0.09
"""5 % of its peak, as a share of its mean speed above: 5 % of 1.8."""
_UNSEEN_M_S2 = 3.0
"""How far the acceleration may be off in a hole."""
_PEAK = 1.25
"""Peak speed over even speed, by the wobble."""
_RISE = np.linspace(0.0, 1.0, 401)


def lowering(
    seen: Seen, between: Between, floor_m_s: float, share: float, parameters: LoweringParameters
) -> tuple[Moment, Moment]:
    """Return begin and end: where the speed passes max(`floor_m_s`, `share` × peak)."""
    wall_s = _wall_s(seen, between, parameters)
    form = _Form(seen, between, wall_s, parameters)
    top_s, stop_s = between.top_s, min(between.stop_s, wall_s - 0.04)
    long_s = stop_s - top_s
    pushes = np.geomspace(parameters.push_s, max(0.45 * long_s, 1.1 * parameters.push_s), 4)

    def begins(step_s: float, end: FloatArray) -> FloatArray:
        last_s = max(float(end[0]) - _SHORTEST_S, top_s + 0.1)
        return _moves(np.arange(top_s - 0.05, last_s, step_s), pushes, end, ending=False)

    moves = begins(_COARSE_S, np.array([stop_s, min(0.3 * long_s, 0.8)]))
    begin = moves[np.argmax(form.likelihood(moves)), :2]
    ends = np.arange(max(float(begin[0]), top_s) + _SHORTEST_S, wall_s + 0.06, 0.12)
    moves = _moves(ends, pushes, begin, ending=True)
    stops = form.edges(moves, floor_m_s, share)[1]
    likely = form.likelihood(moves) - np.log1p(((stops - between.stop_s) / parameters.stop_s) ** 2)
    last = _moment(likely, stops, parameters)
    moves = begins(_FINE_S, moves[np.argmax(likely), 2:])
    moves = moves[np.abs(moves[:, 0] - begin[0]) < _NEAR_S]
    return _moment(form.likelihood(moves), form.edges(moves, floor_m_s, share)[0], parameters), last


def _wall_s(seen: Seen, between: Between, p: LoweringParameters) -> float:
    """Return until when it may end: the next way up, or the dismount."""
    long_s = between.stop_s - between.top_s
    wall_s = between.next_s
    if wall_s is None:
        first = round((0.4 * between.down_s + 0.6 * between.stop_s) * seen.rate_hz)
        rough = np.flatnonzero(np.abs(seen.upward_m_s2[first:]) > p.vigour_m_s2)
        wall_s = between.stop_s + 1.0
        if len(rough):
            wall_s = min(wall_s, (first + float(rough[0])) / seen.rate_hz - 0.1)
    latest_s = min((len(seen.hole) - 1) / seen.rate_hz, between.stop_s + max(2.0, 0.5 * long_s))
    return max(min(wall_s, latest_s), between.top_s + 1.5)


def _moves(times: FloatArray, pushes: FloatArray, other: FloatArray, *, ending: bool) -> FloatArray:
    """Return rows of begin, push, end, brake: every one of `times` with every push, beside the `other` end."""
    at, push = (x.ravel() for x in np.meshgrid(times, pushes, indexing="ij"))
    others = np.tile(other, (len(at), 1))
    here = np.column_stack([at, push])
    moves = np.hstack([others, here] if ending else [here, others])
    return np.asarray(moves[push <= 0.75 * (moves[:, 2] - moves[:, 0]) + 0.1])


def _moment(likely: FloatArray, at_s: FloatArray, p: LoweringParameters) -> Moment:
    """Return mean and spread of `at_s`, weighed."""
    weight = np.exp(likely - likely.max())
    weight /= weight.sum()
    mean = float(weight @ at_s)
    return Moment(mean, hypot(p.least_sd_s, float(np.sqrt(weight @ (at_s - mean) ** 2))))


def _ramp(x: FloatArray) -> FloatArray:
    x = np.clip(x, 0.0, 1.0)
    return np.asarray(x * x * (3.0 - 2.0 * x))


class _Form:
    """The Gaussian process of one lowering: what its acceleration and its travel should be."""

    def __init__(self, seen: Seen, between: Between, wall_s: float, p: LoweringParameters) -> None:
        span_s = wall_s - between.top_s
        bins = int(np.clip(round(span_s / _BIN_S), _LEAST_BINS, _MOST_BINS))
        self._t = np.linspace(between.top_s, wall_s, bins + 1)
        self._step_s = span_s / bins
        self._travel_m = between.travel_m
        trapezoid = np.full(bins + 1, self._step_s)
        trapezoid[[0, -1]] /= 2
        self._trapezoid = trapezoid
        apart = np.abs(self._t[:, None] - self._t) * 3.0**0.5 / p.wobble_s
        self._speed = p.speed_sd**2 + p.wobble**2 * (1.0 + apart) * np.exp(-apart)
        self._seen, turning = self._observed(seen, between, wall_s)
        self._noise = self._noises(seen, turning, p)

    def _observed(self, seen: Seen, between: Between, wall_s: float) -> tuple[FloatArray, BoolArray]:
        """Mean acceleration of each bin and the travel, without what is left of the ways up; and where that is."""
        a, t = seen.upward_m_s2, np.arange(len(seen.hole)) / seen.rate_hz
        speed = np.concatenate([[0.0], np.cumsum(0.5 * (a[1:] + a[:-1]))]) / seen.rate_hz
        at = np.interp(self._t, t, speed)
        up_s = between.top_s - between.up_s
        rest = _LEFT_SPEED * between.travel_m / up_s
        left_s = _LEFT * up_s
        middle = 0.5 * (self._t[1:] + self._t[:-1])
        turning = middle < between.top_s + left_s + self._step_s / 2
        at = at - rest * np.clip(1.0 - (self._t - between.top_s) / left_s, 0.0, 1.0) ** 2
        if between.next_s is not None:
            left_s = max(0.15, 1.5 * left_s)
            at = at - rest * np.clip(1.0 - (wall_s - self._t) / left_s, 0.0, 1.0) ** 2
            turning |= middle > wall_s - left_s - self._step_s / 2
        return np.append(np.diff(at) / self._step_s, -between.travel_m), turning

    def _noises(self, seen: Seen, turning: BoolArray, p: LoweringParameters) -> FloatArray:
        """Covariance of what is observed, apart from the movement."""
        middle = 0.5 * (self._t[1:] + self._t[:-1])
        holes = np.interp(middle, np.arange(len(seen.hole)) / seen.rate_hz, seen.hole.astype(float)) > 0
        own = p.noise_m_s2**2 * 0.08 / self._step_s + (p.turn_m_s2 * turning) ** 2 + (_UNSEEN_M_S2 * holes) ** 2
        n = len(middle)
        noise = np.zeros((n + 1, n + 1))
        noise[:n, :n] = p.sway_m_s2**2 * np.exp(-np.abs(middle[:, None] - middle) / p.sway_s) + p.bias_m_s2**2
        noise[np.arange(n), np.arange(n)] += own
        noise[n, n] = (p.travel_sd * self._travel_m) ** 2 + 0.01**2
        return noise

    def _even_m_s(self, moves: FloatArray) -> FloatArray:
        """Even speed with which `moves` go all the way."""
        begin, push, end, brake = moves.T
        return np.asarray(self._travel_m / np.maximum(end - begin - 0.5 * (push + brake), 0.3 * (end - begin)))

    def edges(self, moves: FloatArray, floor_m_s: float, share: float) -> tuple[FloatArray, FloatArray]:
        """Return where the speeds of `moves` pass the threshold."""
        even = self._even_m_s(moves)
        passed = np.interp(np.maximum(floor_m_s / even, _PEAK * share), _ramp(_RISE), _RISE)
        return moves[:, 0] + passed * moves[:, 1], moves[:, 2] - passed * moves[:, 3]

    def likelihood(self, moves: FloatArray) -> FloatArray:
        """Return the logarithm of how likely each of `moves` makes what is seen."""
        begin, push, end, brake = moves.T[:, :, None]
        speed = _ramp((self._t - begin) / push) * _ramp((end - self._t) / brake) * self._even_m_s(moves)[:, None]
        n = len(self._t) - 1
        along = speed[:, :, None] * self._speed * speed[:, None, :]
        joint = np.zeros((len(moves), n + 2, n + 2))
        travel = along @ self._trapezoid
        joint[:, :n, :n] = np.diff(np.diff(along, axis=1), axis=2) / self._step_s**2
        joint[:, n, :n] = joint[:, :n, n] = np.diff(travel, axis=1) / self._step_s
        joint[:, n, n] = travel @ self._trapezoid
        joint[:, : n + 1, : n + 1] += self._noise
        # The last row of the factor of the covariance bordered by the residual is the whitened residual.
        joint[:, n + 1, :n] = np.diff(speed, axis=1) / self._step_s
        joint[:, n + 1, n] = speed @ self._trapezoid
        joint[:, n + 1, : n + 1] += self._seen
        joint[:, n + 1, n + 1] = 1e9
        factor = np.linalg.cholesky(joint)
        spread = np.log(np.diagonal(factor, axis1=1, axis2=2)[:, : n + 1]).sum(1)
        return np.asarray(-0.5 * (factor[:, n + 1, : n + 1] ** 2).sum(1) - spread)
